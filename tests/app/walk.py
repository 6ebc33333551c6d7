"""The whole way on the bench, through the accessibility bus: from the first page to sheets on paper.

walk.py APP [PICTURES]   with PICTURES, a folder, the screen is kept there at every step.
Needs a display of its own, which it makes; exit 77 where the programs for that are missing.
"""

import os
import pathlib
import subprocess
import sys
import tempfile
import time

import bus
from bus import below, done, in_view, state, wait

SCREEN = os.environ.get("WALK_SCREEN", "1366x768")
bus.enter(SCREEN, "pdfinfo")
Atspi = bus.atspi()


def first_page(app):
    app.start()
    wait("the first page", lambda: app.find("Choose a photograph"))
    app.look("first")
    app.press("Try it with our example")
    assert "one piece" in app.verdict()
    app.look("photo")


def every_step(app):
    for step in ("Tone", "Pattern"):
        app.press(step)
        app.look(step.lower())


def stroke_and_undo(app):
    before = done(app.folder)
    tool = app.press("Paint wood")
    wait("the tool in hand", lambda: state(tool, "PRESSED") or state(tool, "CHECKED"))
    wait("the focus", app.activate)
    time.sleep(0.5)  # the window manager hands over the pointer
    bench = app.find("Bench")
    place = bench.get_extents(Atspi.CoordType.WINDOW)
    x, y = place.x + place.width // 2, place.y + place.height // 2
    for word in (f"mousemove {x - 9} {y}", f"mousemove {x} {y}", "mousedown 1", f"mousemove {x + 20} {y + 9}",
                 f"mousemove {x + 40} {y + 18}", "mouseup 1"):
        subprocess.run(["xdotool", *word.split()], check=True)
        time.sleep(0.1)
    wait("the stroke in the project", lambda: done(app.folder)[0] == before[0] + 1)
    app.window_action("win.undo")
    wait("the undo", lambda: done(app.folder)[1] == before[1])
    app.window_action("win.redo")
    wait("the redo", lambda: done(app.folder)[1] != before[1])


def unfold(app):
    """The thin bridges that Check lists."""
    app.press("Check")
    app.rest()
    fold = wait("what could be better", lambda: next(
        (n for n in below(app.top) if (n.get_name() or "").startswith("Thin bridge: ")
         and n.get_n_actions() and n.get_role_name() == "push button"), None))
    app.act(fold, "activate")


def mend(app):
    unfold(app)
    app.look("check")
    before = done(app.folder)
    app.act(wait("a mend that was tried", lambda: app.control("Thicken, ")), "click")
    wait("the mend in the project", lambda: done(app.folder)[0] == before[0] + 1)
    assert "one piece" in app.verdict()


def units(app):
    app.window_action("win.inches")
    wait("inches", lambda: app.text(" ft to saw"))
    app.window_action("win.inches")
    wait("millimetres", lambda: app.text(" m to saw"))


def first_page_and_back(app):
    """The pattern lies on the first page then, and opens again though its last work may still be at it."""
    before = done(app.folder)
    app.press("Tone")
    wait("darkness", lambda: app.find("Darkness", "slider")).set_current_value(12)
    app.window_action("win.first-page")
    app.press("keeper")
    wait("the bench again", lambda: app.find("Next: Tone") and in_view(app.find("Next: Tone")))
    app.window_action("win.undo")
    assert "one piece" in app.verdict()
    wait("the undo", lambda: done(app.folder)[1] == before[1])


def sheets(app):
    path = pathlib.Path(app.folder, "out.pdf")
    app.press("Sheets")
    wait("the count of pages", lambda: app.text(" pages"))
    page = wait("the pages", lambda: next((n for n in below(app.top) if n.get_name() == "Page A1, 2 of 4" and
                                           n.get_n_actions()), None))
    app.look("sheets")
    app.act(page, "page.open")
    sheet = wait("the page, near to", lambda: next((n for n in below(app.top) if n.get_name() == "Page A1, 2 of 4" and
                                                    state(n, "FOCUSED")), None))
    app.look("sheet")
    app.activate()
    bus.keys("Right")
    wait("the next page", lambda: sheet.get_name() == "Page B1, 3 of 4")
    bus.keys("Escape")
    wait("all pages again", lambda: app.find("Page B1, 3 of 4") and state(app.find("Page B1, 3 of 4"), "FOCUSED"))
    app.press("Save as PDF…")
    time.sleep(1.5)  # the dialog is the toolkit's own: it takes keys when it is there
    for word in ("key ctrl+a", f"type --delay 20 {path}", "key Return"):
        subprocess.run(["xdotool", *word.split()], check=True)
        time.sleep(0.3)
    wait("the sheets", path.exists)
    told = subprocess.run(["pdfinfo", path], capture_output=True, text=True, check=True).stdout
    pages = int(next(line for line in told.splitlines() if line.startswith("Pages")).split()[1])
    assert pages >= 3, told


def crash(app):
    before = done(app.folder)
    app.kill()
    assert done(app.folder) == before
    app.start(str(next(pathlib.Path(app.folder, "data/tombolo/projects").glob("*.tombolo"))))
    assert "one piece" in app.verdict()
    assert done(app.folder) == before


def answers_while_at_work(app):
    """How long the window leaves a question unanswered while a pattern is made anew."""
    app.press("Tone")
    darkness = wait("darkness", lambda: app.find("Darkness", "slider"))
    frame, longest_ms = app.top.get_child_at_index(0), 0
    darkness.set_current_value(20)
    end = time.monotonic() + 3
    while time.monotonic() < end:
        begun = time.monotonic()
        frame.clear_cache()
        frame.get_extents(Atspi.CoordType.WINDOW)
        longest_ms = max(longest_ms, 1000 * (time.monotonic() - begun))
    print(f"# longest silence of the window while it worked: {longest_ms:.0f} ms")
    assert longest_ms < 1000, longest_ms


def hostile(app):
    left = app.close()
    assert left == 0, left
    path = pathlib.Path(app.folder, "photo.jpg")
    path.write_bytes(b"\xff\xd8\xff\xe0" + bytes(range(256)) * 40)
    app.start(str(path))
    wait("the first page, still", lambda: app.find("Choose a photograph"))
    assert app.process.poll() is None


WALK = (first_page, every_step, stroke_and_undo, mend, units, first_page_and_back, sheets, crash,
        answers_while_at_work, hostile)


def walk(parts):
    pictures = sys.argv[2] if len(sys.argv) > 2 else None
    print(f"1..{len(parts) + 1}", flush=True)
    with tempfile.TemporaryDirectory(prefix="tombolo-walk-") as folder:
        app = bus.App(sys.argv[1], folder, pictures, SCREEN)
        try:
            for i, part in enumerate(parts, 1):
                begun = time.monotonic()
                part(app)
                print(f"ok {i} - {part.__name__.replace('_', ' ')}"
                      f" # {time.monotonic() - begun:.1f} s", flush=True)
            left = app.close()
            print("not ok" if left else "ok", f"{i + 1} - it leaves without a word: {left}", flush=True)
            return left != 0
        except AssertionError as wrong:
            print(f"not ok {i} - {part.__name__}: {wrong}", flush=True)
            app.look("wrong")
            return 1
        finally:
            app.end()


if __name__ == "__main__":
    sys.exit(walk(WALK))
