"""Every tool of the hand and its undo, every mend and its undo, on the bench, through the
accessibility bus and by the pointer.

tools_walk.py APP [PICTURES]   as walk.py, whose first page it begins with.
"""

import subprocess
import sys
import time

import walk
from walk import Atspi, below, done, state, wait

BRUSHED = {"Tone": ("Lighten", "Darken", "Keep detail", "This belongs to it", "Leave this out"),
           "Pattern": ("Paint wood", "Saw away", "Keep open")}


def pointed(*words):
    for word in words:
        subprocess.run(["xdotool", *word.split()], check=True)
        time.sleep(0.1)


def place_on_bench(app, across, down):
    """A place on the screen, in shares of the bench."""
    place = app.find("Bench").get_extents(Atspi.CoordType.WINDOW)
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


def brushes(app):
    for step, tools in BRUSHED.items():
        app.press(step)
        for tool in tools:
            take(app, tool)
            before = done(app.folder)
            x, y = place_on_bench(app, 0.5, 0.55)
            pointed(f"mousemove {x - 5} {y}", f"mousemove {x} {y}", "mousedown 1", f"mousemove {x + 20} {y + 9}",
                    f"mousemove {x + 40} {y + 18}", "mouseup 1")
            undone(app, tool, before)


def bridge(app):
    take(app, "Bridge, bank to bank")
    before = done(app.folder)
    x, y = place_on_bench(app, 0.42, 0.3)
    pointed(f"mousemove {x - 5} {y}", f"mousemove {x} {y}", "mousedown 1", f"mousemove {x + 30} {y}",
            f"mousemove {x + 60} {y}", "mouseup 1")
    undone(app, "the bridge", before)


def press_until_done(app, tool, places):
    """A press where there is nothing to take out or to close does nothing: another place is tried."""
    take(app, tool)
    before = done(app.folder)
    for x, y in places:
        pointed(f"mousemove {x - 3} {y}", f"mousemove {x} {y}", "click 1")
        time.sleep(0.4)
        if done(app.folder)[0] > before[0]:
            return undone(app, tool, before)
    raise AssertionError(f"{tool} found nothing anywhere")


def pieces(app):
    places = [place_on_bench(app, 0.3 + 0.04 * i, 0.25 + 0.06 * k) for k in range(9) for i in range(9)]
    press_until_done(app, "Close an opening", places)
    press_until_done(app, "Take out a piece", places)


def note(app):
    take(app, "Ring a spot")
    before = done(app.folder)
    x, y = place_on_bench(app, 0.5, 0.4)
    pointed(f"mousemove {x - 3} {y}", f"mousemove {x} {y}", "click 1")
    time.sleep(1)
    pointed("type --delay 20 softer", "key Return")
    undone(app, "the note", before)


def refused(app):
    before = done(app.folder)
    node = wait("a bridge to refuse", lambda: next(
        (n for n in below(app.top) if (n.get_name() or "").startswith("Refuse bridge") and n.get_n_actions()),
        None))
    app.act(node, "click")
    undone(app, "the refusal", before)


def frame(app):
    app.press("Photo")
    app.rest()
    for button in ("Turn a quarter", "Width for height"):
        before = done(app.folder)
        app.press(button)
        undone(app, button, before)


def mends(app):
    """Without ties there is something to mend of many kinds; each kind of mend is made once."""
    app.press("Pattern")
    app.act(wait("the switch of ties", lambda: next(
        (n for n in below(app.top) if n.get_name() == "Tie islands, or drop them" and n.get_n_actions()
         and n.get_role_name() != "label"), None)), "toggle")
    app.rest()
    app.press("Check")
    app.rest()
    for mend in ("Tie", "Take out", "Thicken"):
        before = done(app.folder)
        node = wait(f"'{mend}'", lambda word=mend: next(
            (n for n in below(app.top) if (n.get_name() or "").startswith(f"{word}, ") and n.get_n_actions()
             and n.get_role_name() in ("push button", "button")), None))
        app.act(node, "click")
        undone(app, mend, before)


def all_mends(app):
    before = done(app.folder)
    app.press("Mend all that must be mended")
    wait("the account", lambda: app.text(" tied"))
    # It goes on in rounds; each is over when the window rests.
    end = time.monotonic() + 60
    last = None
    while last != done(app.folder) and time.monotonic() < end:
        last = done(app.folder)
        app.rest()
        time.sleep(2)
    app.press("Take all of it back")
    wait("all of it back", lambda: done(app.folder)[1] == before[1])


TOOLS = (walk.first_page, brushes, bridge, pieces, note, refused, frame, mends, all_mends)

if __name__ == "__main__":
    sys.exit(walk.walk(TOOLS))
