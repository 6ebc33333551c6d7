"""Every tool of the hand and its undo, every mend and its undo, on the bench, through the
accessibility bus and by the pointer.

tools_walk.py APP [PICTURES]   as walk.py, whose first page it begins with.
"""

import math
import subprocess
import sys
import time

import bus
import walk
from bus import done, last_action, pointed, state, wait
from hand import brush, dragged, mended, place_on_bench, stroke_kept, take, undone

BRUSHED = {"Tone": ("Lighten", "Darken", "Keep detail", "Keep this in", "Leave this out"),
           "Pattern": ("Paint wood", "Saw away", "No bridge here")}


def fills_screen(app):
    window = subprocess.run(["xdotool", "search", "--onlyvisible", "--pid", str(app.process.pid)],
                            capture_output=True, text=True, check=True).stdout.split()[-1]
    told = subprocess.run(["xprop", "-id", window, "_NET_WM_STATE"], capture_output=True, text=True, check=True).stdout
    return "_NET_WM_STATE_MAXIMIZED" in told


def nothing_to_undo(app):
    """Presses on the buttons that have nothing to do end there: the title bar beneath would fill the screen."""
    for name in ("Undo", "Redo"):
        node = app.find(name)
        assert not state(node, "SENSITIVE"), name
        place = bus.extents(node)
        pointed(f"mousemove {place.x + place.width // 2} {place.y + place.height // 2}",
                "click --repeat 3 --delay 60 1")
        time.sleep(1)
        assert not fills_screen(app), name


def no_size(app):
    """What can't be a size changes nothing, and what can be one is told."""
    before = done(app.folder)
    for text in ("99999999", "abc", "-5"):
        place = bus.extents(app.find("Width", "spin button"))
        pointed(f"mousemove {place.x + 25} {place.y + place.height // 2}", "click --repeat 2 --delay 60 1",
                f"type -- {text}", "key Return")
        wait(f"the limits after {text}", lambda: app.text("Only numbers from 20 to "))
        wait("the toast's end", lambda: not app.text("Only numbers from 20 to "))
    assert done(app.folder) == before


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


def in_vain(app):
    """A brush on the tone that changes nothing says so: the frame is wood whatever the tone."""
    app.press("Tone")
    brush(app, 3)
    before = done(app.folder)
    stroke_kept(app, "Darken", 0.298, 0.4, (0, 6), (0, 12))
    wait("that nothing changed", lambda: app.text("That changed nothing yet"))
    app.window_action("win.undo")
    wait("the undo", lambda: done(app.folder)[1] == before[1])
    app.press("Pattern")


def bridge(app):
    take(app, "Place a bridge")
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
    take(app, "Write a note")
    before = done(app.folder)
    x, y = place_on_bench(app, 0.5, 0.4)
    pointed(f"mousemove {x - 3} {y}", f"mousemove {x} {y}", "click 1")
    time.sleep(1)
    pointed("type --delay 20 softer-about-the-eye-as-in-the-second-photograph", "key Return")
    wait("the note in the project", lambda: done(app.folder)[0] == before[0] + 1)
    app.rest()
    pointed(f"mousemove {x - 9} {y - 2}", f"mousemove {x - 3} {y - 2}", f"mousemove {x - 2} {y - 2}")
    wait("the whole note", lambda: app.text("as-in-the-second-photograph"))
    app.look("note")
    pointed(f"mousemove {x - 90} {y - 90}")
    undone(app, "the note", before)


def pressed_in_the_middle(app):
    """One press of the brush there, as the project keeps it: where on the board, and how broad."""
    before = done(app.folder)
    x, y = place_on_bench(app, 0.5, 0.5)
    pointed(f"mousemove {x - 4} {y}", f"mousemove {x} {y}", "click 1")
    wait("the stroke in the project", lambda: done(app.folder)[0] == before[0] + 1)
    app.window_action("win.undo")
    wait("the undo", lambda: done(app.folder)[1] == before[1])
    app.rest()
    return last_action(app.folder)


def set_aside(app):
    """A change after two undone ones leaves them; the bench says so, and History puts them back."""
    take(app, "Paint wood")
    before = done(app.folder)
    for x in (0.3, 0.4):
        dragged(app, x, 0.5, (0, 6), (0, 12))
        time.sleep(0.5)
    wait("two strokes", lambda: done(app.folder)[0] == before[0] + 2)
    two = done(app.folder)[1]
    for _ in range(2):
        app.window_action("win.undo")
    wait("both undone", lambda: done(app.folder)[1] == before[1])
    dragged(app, 0.5, 0.5, (0, 6), (0, 12))
    wait("the word", lambda: app.text("2 undone changes are set aside"))
    app.window_action("win.history")
    wait("what was set aside", lambda: app.text("2 changes"))
    app.look("history")
    app.press("Put back")
    wait("it is back", lambda: app.text("is back"))
    bus.keys("Escape")
    assert done(app.folder)[0] == two + 2
    for _ in range(2):
        app.window_action("win.undo")
    wait("all of it undone", lambda: done(app.folder)[1] == before[1])
    app.rest()


def by_hand(app):
    """A finding's place comes into view with a brush in hand, and stays in view from step to step."""
    walk.unfold(app)
    app.act(wait("a finding to mend by hand", lambda: app.control("By hand, ")), "click")
    time.sleep(1.5)  # the bench glides there
    near = pressed_in_the_middle(app)
    app.press("Pattern")
    take(app, "Paint wood")
    assert pressed_in_the_middle(app) == near
    app.press("Whole board")
    assert pressed_in_the_middle(app) != near


def refused(app):
    before = done(app.folder)
    node = wait("a bridge to refuse", lambda: app.control("Refuse bridge"))
    app.act(node, "click")
    undone(app, "the refusal", before)


def frame(app):
    app.press("Photo")
    app.rest()
    for button in ("Turn a quarter", "Width for height"):
        before = done(app.folder)
        app.press(button)
        undone(app, button, before)


def frame_pulled(app):
    """The left side of the frame, by the pointer: another crop."""
    app.press("Photo")
    app.rest()
    app.window_action("win.fit")
    before, place = done(app.folder), bus.extents(app.find("Bench"))
    w, h = place.width - 56, place.height - 56  # what the bench leaves free around the photograph
    shown = min(w, h * 4 / 5)  # the keeper's is 4 by 5
    x, y = int(place.x + (place.width - shown) / 2), place.y + place.height // 2
    pointed(f"mousemove {x - 4} {y}", f"mousemove {x} {y}", "mousedown 1",
            *(f"mousemove {x + 9 * i} {y}" for i in (1, 2, 4, 6)), "mouseup 1")
    wait("the crop in the project", lambda: done(app.folder)[0] == before[0] + 1)
    undone(app, "the crop", before)


def mends(app):
    """Without ties there is something to mend of many kinds; each kind of mend is made once."""
    app.press("Pattern")
    app.act(wait("the switch of ties", lambda: app.control("Tie loose pieces by bridges")), "toggle")
    app.rest()
    app.press("Check")
    app.rest()
    for word in ("Tie", "Take out", "Thicken"):
        mended(app, word)


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


def no_way(app):
    """Wood painted by hand, and sawn away all around it: the strip says that no bridge can reach it, and that the
    pattern in view is another; the first undo brings the verdict back."""
    app.press("Pattern")
    app.act(wait("the switch of ties", lambda: app.control("Tie loose pieces by bridges")), "toggle")
    verdict = app.verdict()
    brush(app, 12)
    ring = [(int(44 * math.cos(i * math.pi / 8)) - 44, int(44 * math.sin(i * math.pi / 8))) for i in range(17)]
    stroke_kept(app, "Saw away", 0.55, 0.5, *ring)
    brush(app, 5)
    before = done(app.folder)
    take(app, "Paint wood")
    x, y = place_on_bench(app, 0.55, 0.5)
    pointed(f"mousemove {x - 41} {y}", f"mousemove {x - 44} {y}", "mousedown 1", f"mousemove {x - 43} {y}", "mouseup 1")
    wait("the wood in the project", lambda: done(app.folder)[0] > before[0])
    wait("the trouble", lambda: app.text("✗  no bridge can reach the wood painted"))
    assert app.text("the pattern from before the last change")
    for _ in range(2):
        app.window_action("win.undo")
        app.rest()
    wait("the verdict from before", lambda: app.text(verdict))


TOOLS = (walk.first_page, nothing_to_undo, no_size, brushes, in_vain, bridge, pieces, note, set_aside, by_hand, refused, frame, frame_pulled, mends,
         all_mends, no_way)


if __name__ == "__main__":
    sys.exit(walk.walk(TOOLS))
