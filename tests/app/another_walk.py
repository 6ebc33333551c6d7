"""Another picture while the findings of the first are in view, and pictures of which no pattern comes: what was
found is never offered for another pattern, and every step says what is the matter.

another_walk.py APP [PICTURES]   as walk.py, whose first page it begins with.
"""

import pathlib
import subprocess
import sys
import time

import bus
import walk
from bus import below, in_view, state, wait


def choose(app, path):
    wait("the focus", app.activate)
    bus.keys("ctrl+n")
    time.sleep(1.5)  # the dialog is the toolkit's own: it takes keys when it is there
    subprocess.run(["xdotool", "type", "--delay", "20", str(path)], check=True)
    time.sleep(0.5)
    bus.keys("Return")
    time.sleep(0.5)


def shown(app, begins):
    return [node for node in app.all() if (node.get_name() or "").startswith(begins) and node.get_n_actions()
            and in_view(node) and state(node, "SENSITIVE")]


def unfold(app):
    walk.unfold(app)
    wait("a mend", lambda: shown(app, "Thicken, "))


def white(app):
    path = pathlib.Path(app.folder, "white.png")
    subprocess.run(["convert", "-size", "600x750", "xc:white", str(path)], check=True)
    choose(app, path)
    wait("the trouble", lambda: app.text("✗  the photograph is all of one tone"))
    app.press("Check")
    wait("the verdict", lambda: app.find("Not yet."))
    assert not app.find("It can be sawn.")
    assert not shown(app, "Thicken, "), "a mend of the picture before"
    wait("what to do", lambda: app.text("Take another photograph"))
    app.look("white-check")


def no_sheets(app):
    app.press("Sheets")
    wait("why there are no pages", lambda: app.find("No pages"))
    assert not app.text("The pages are being drawn")
    for name in ("Print…", "Save as PDF…", "Share a copy…", "Everything in a folder…"):
        assert not state(wait(name, lambda name=name: app.find(name)), "SENSITIVE"), name
    app.look("white-sheets")


def good(app):
    """The mends are looked for from the moment the picture is chosen until it has been looked over."""
    path = pathlib.Path(app.folder, "good.png")
    kept = next(pathlib.Path(app.folder).rglob("keeper*.jpg"))
    subprocess.run(["convert", str(kept), "-flop", str(path)], check=True)
    choose(app, path)
    app.press("Check")
    wait("the picture of one tone to leave nothing behind",
         lambda: not list(pathlib.Path(app.folder, "data").rglob("white*.tombolo")))

    def looked_over():  # what is read may go meanwhile: wait() takes it up again
        assert app.process.poll() is None, f"the app ended with {app.process.poll()}"
        for button in shown(app, "Thicken, "):
            app.act(button, "click")
        return app.text("✓  ")
    wait("the other picture's verdict", looked_over)
    app.press("Sheets")
    for name in ("Print…", "Save as PDF…"):
        wait(f"{name}, of pages", lambda name=name: state(app.find(name), "SENSITIVE"))
    app.look("good-sheets")


if __name__ == "__main__":
    sys.exit(walk.walk((walk.first_page, unfold, white, no_sheets, good)))
