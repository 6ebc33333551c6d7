"""Nothing of ours is left behind: every step seen, a stroke, a page near to, what sheets are saved, then the
window is closed. Says something only in a build with sanitizers.

leaks.py APP KEEPER TOMBOLO   Needs a display of its own, which it makes; exit 77 where it can't.
"""

import subprocess
import sys
import tempfile
import time

import bus
from bus import wait

bus.enter("1024x600")


def steps(app):
    for step in ("Photo", "Tone", "Pattern", "Check"):
        app.press(step)
        time.sleep(1)


def stroke(app):
    before = bus.done(app.folder)
    app.activate()
    bus.keys("alt+3")
    wait("the tools", lambda: app.find("Paint wood"))
    bus.keys("F6", "1", "Right", "space", "Right", "Right", "space")
    wait("the stroke", lambda: bus.done(app.folder)[0] > before[0])
    app.rest()
    app.window_action("win.undo")
    app.rest()


def pages(app):
    app.press("Sheets")
    app.act(wait("the pages", lambda: app.first(lambda n: (n.get_name() or "").startswith("First page, 1 of") and
                                                n.get_n_actions())), "page.open")
    wait("the page", lambda: app.find("All pages"))
    time.sleep(2)
    app.window_action("win.fit")


def main():
    program, keeper, tombolo = sys.argv[1:4]
    with tempfile.TemporaryDirectory(prefix="tombolo-leaks-") as folder:
        photo, project = f"{folder}/keeper.jpg", f"{folder}/data/tombolo/projects/keeper.tombolo"
        app = bus.App(program, folder, leaks=True)
        subprocess.run([keeper, "--width", "400", photo], check=True, stdout=subprocess.DEVNULL)
        subprocess.run([tombolo, "make", photo, "-o", f"{folder}/set", "--width", "100mm"],
                       stdout=subprocess.DEVNULL)
        subprocess.run(["mkdir", "-p", f"{folder}/data/tombolo/projects"], check=True)
        subprocess.run(["cp", f"{folder}/set/project.tombolo", project], check=True)
        print("1..1")
        try:
            app.start(project)
            app.verdict()
            for part in (steps, stroke, pages):
                part(app)
            left = app.close()
            print("not ok" if left else "ok", f"1 - nothing of ours is left behind: {left}")
        except AssertionError as wrong:
            left = 1
            print(f"not ok 1 - {wrong}")
        finally:
            app.end()
    return left != 0


sys.exit(main())
