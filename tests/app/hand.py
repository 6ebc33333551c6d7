"""The designer's hand: tools taken up, strokes drawn by the pointer, and what was done taken back."""

import time

import bus
from bus import done, pointed, state, wait


def place_on_bench(app, across, down):
    """A place on the screen, in shares of the bench."""
    place = bus.extents(app.find("Bench"))
    return int(place.x + place.width * across), int(place.y + place.height * down)


def take(app, tool):
    node = app.press(tool)
    wait("the tool in hand", lambda: state(node, "PRESSED") or state(node, "CHECKED"))
    wait("the focus", app.activate)
    time.sleep(0.3)  # the window manager hands over the pointer


def undone(app, what, before):
    """One action came of it; taken back and done again, the project says so."""
    wait(f"{what} in the project", lambda: done(app.folder)[0] == before[0] + 1)
    app.window_action("win.undo")
    wait(f"the undo of {what}", lambda: done(app.folder)[1] == before[1])
    app.window_action("win.redo")
    wait(f"the redo of {what}", lambda: done(app.folder)[1] != before[1])
    app.window_action("win.undo")
    wait(f"the undo of {what}, again", lambda: done(app.folder)[1] == before[1])
    app.rest()


def brush(app, width_mm):
    wait("the brush", lambda: app.find("Brush", "slider")).set_current_value(width_mm)


def dragged(app, across, down, *steps):
    """A stroke from a place in shares of the bench, by steps in pixels."""
    x, y = place_on_bench(app, across, down)
    pointed(f"mousemove {x - 3} {y}", f"mousemove {x} {y}", "mousedown 1",
            *(f"mousemove {x + dx} {y + dy}" for dx, dy in steps), "mouseup 1")


def stroke_kept(app, tool, *stroke):
    before = done(app.folder)
    take(app, tool)
    dragged(app, *stroke)
    wait(f"{tool} in the project", lambda: done(app.folder)[0] > before[0])
    app.rest()


def mended(app, word):
    before = done(app.folder)
    app.act(wait(f"'{word}'", lambda: app.control(f"{word}, ")), "click")
    undone(app, word, before)
