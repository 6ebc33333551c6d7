"""What another program gives: photographs and patterns dropped on the window, and pasted into it; and what
only looks like one.

given_walk.py APP KEEPER TOMBOLO GIVER   Needs a display of its own, which it makes; exit 77 where it can't.
"""

import pathlib
import subprocess
import sys
import tempfile
import time

import bus
from bus import wait
from hand import brush, mended, stroke_kept

bus.enter("1366x768", "convert")


class Giver:
    """Another program that holds a file: the pointer takes it from the middle of its window."""

    def __init__(self, program, way, path):
        self.process = subprocess.Popen([program, way, str(path)], stdout=subprocess.PIPE, text=True)
        assert self.process.stdout.readline() == "ready\n"
        self.window = wait("the giver's window", self.find)

    def find(self):
        return subprocess.run(["xdotool", "search", "--onlyvisible", "--name", "^giver$"],
                              capture_output=True, text=True).stdout.split()

    def drag_to(self, x, y):
        window = self.window[-1]
        bus.pointed(f"windowmove {window} 4 560", f"windowraise {window}", f"mousemove --window {window} 60 60",
                    "mousedown 1")
        for share in (0.1, 0.2, 0.4, 0.6, 0.8, 0.9, 1, 1):
            bus.pointed(f"mousemove {64 + int((x - 64) * share)} {620 + int((y - 620) * share)}")
            time.sleep(0.1)
        bus.pointed("mouseup 1")

    def end(self):
        self.process.terminate()
        self.process.wait()


def n_projects(app):
    return len(list(pathlib.Path(app.folder, "data/tombolo/projects").glob("*.tombolo")))


def taken(app, before, what):
    wait(f"{what} to be taken", lambda: n_projects(app) == before + 1)
    return app.verdict()


def drop(app, path):
    giver = Giver(GIVER, "drag", path)
    try:
        giver.drag_to(620, 330)
        time.sleep(0.5)
    finally:
        giver.end()


def photograph_dropped(app):
    app.start()
    wait("the first page", lambda: app.find("Choose a photograph"))
    before = n_projects(app)
    drop(app, PHOTO)
    taken(app, before, "the photograph")
    assert app.find("Turn a quarter"), "a photograph begins with its frame"


def pattern_dropped(app):
    before = n_projects(app)
    drop(app, PATTERN)
    wait("the pattern, told", lambda: app.text("it stays as it was drawn"))
    taken(app, before, "the pattern")
    assert bus.in_view(app.find("Mend all that must be mended") or app.control("Thin bridge")), "not at the check"


def openings_mended(app):
    """A line sawn through the pattern's wood, too narrow for any drill: nothing but the user mends it."""
    app.press("Pattern")
    brush(app, 0.4)
    stroke_kept(app, "Saw away", 0.634, 0.222, (12, 6), (24, 12))
    app.press("Check")
    wait("the finding", lambda: app.text("1 tight opening"))
    for word in ("Widen", "Close"):
        mended(app, word)
    app.window_action("win.undo")
    app.rest()


def hostile_dropped(app):
    """What was on the bench stays, and one line says why."""
    before, verdict = n_projects(app), app.verdict()
    for number, content in enumerate((b"\xff\xd8\xff\xe0" + bytes(range(256)) * 40,
                                      b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + b"\x7f\xff\xff\xff" * 2 + bytes(70),
                                      b"SQLite format 3\0" + b"\x10\0\1\1\0@  " + b"\xff" * 4000, b"")):
        path = pathlib.Path(app.folder, f"hostile {number}.jpg")
        path.write_bytes(content)
        drop(app, path)
        # The screen is read once: a line that tells why is gone after some seconds.
        wait("why not", lambda: any(why in (node.get_name() or "") for node in app.all()
                                    for why in ("damaged", "pixels", "empty", "this is no")))
        time.sleep(0.5)
    assert app.process.poll() is None
    assert n_projects(app) == before and app.verdict() == verdict


def pasted(app):
    for way in ("copy", "picture"):
        giver = Giver(GIVER, way, PHOTO)
        before = n_projects(app)
        app.window_action("win.paste")
        taken(app, before, f"what was pasted ({way})")
        giver.end()


def main():
    global GIVER, PHOTO, PATTERN
    program, keeper, tombolo, GIVER = sys.argv[1:5]
    parts = (photograph_dropped, pattern_dropped, openings_mended, hostile_dropped, pasted)
    print(f"1..{len(parts) + 1}")
    with tempfile.TemporaryDirectory(prefix="tombolo-given-") as folder:
        PHOTO, PATTERN = f"{folder}/keeper.png", f"{folder}/set/pattern.png"
        subprocess.run([keeper, "--width", "600", f"{folder}/keeper.jpg"], check=True, stdout=subprocess.DEVNULL)
        subprocess.run(["convert", f"{folder}/keeper.jpg", PHOTO], check=True)
        subprocess.run([tombolo, "make", PHOTO, "-o", f"{folder}/set", "--width", "120mm"], check=False,
                       stdout=subprocess.DEVNULL)
        app, bad = bus.App(program, folder), 0
        try:
            for number, part in enumerate(parts, 1):
                part(app)
                print(f"ok {number} - {part.__name__.replace('_', ' ')}", flush=True)
            bad = app.close()
            print("not ok" if bad else "ok", f"{len(parts) + 1} - it leaves without a word: {bad}")
        except AssertionError as wrong:
            bad = 1
            print(f"not ok {number} - {part.__name__}: {wrong}", flush=True)
        finally:
            app.end()
    return bad != 0


sys.exit(main())
