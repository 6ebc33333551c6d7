"""The bench without a pointer: a stroke, its undo, and every control of a step by keys alone.

keys.py APP KEEPER   Needs a display of its own, which it makes; exit 77 where it can't.
"""

import subprocess
import sys
import tempfile

import bus

bus.enter("1366x768")
Atspi = bus.atspi()


def focused(app):
    return next((n for n in app.all() if n.get_state_set().contains(Atspi.StateType.FOCUSED) and
                 n.get_role_name() != "frame"), None)


def by_key(app, word, what, ask):
    app.activate()
    bus.keys(*word.split())
    return bus.wait(what, ask)


def stroke(app):
    bench = app.find("Bench")
    by_key(app, "alt+3", "the pattern's tools", lambda: app.find("Paint wood"))
    by_key(app, "F6", "the focus on the bench", lambda: focused(app) and focused(app).get_name() == "Bench")
    before = bus.done(app.folder)
    by_key(app, "1 Right Down", "the cursor's place, told", lambda: "across" in (bench.get_description() or ""))
    by_key(app, "space Right Right Right Right space", "the stroke", lambda: bus.done(app.folder)[0] == before[0] + 1)
    by_key(app, "ctrl+z", "the undo", lambda: bus.done(app.folder)[1] == before[1])
    by_key(app, "ctrl+shift+z", "the redo", lambda: bus.done(app.folder)[1] != before[1])


def every_control(app):
    """Tab goes round: what it meets holds everything of the step's panel."""
    for number, wanted in ((2, {"Darkness", "Outlines", "Detail", "Lighten", "Leave this out"}),
                           (3, {"Paint wood", "Write a note", "Brush"}),
                           (5, {"Paper", "Ink", "Print…", "Share a copy…", "Title", "Permission"})):
        by_key(app, f"alt+{number}", "the step", lambda: True)
        met = set()
        for _ in range(70):
            bus.keys("Tab")
            node = focused(app)
            if node:
                met.add(node.get_name())
            if wanted <= met:
                break
        assert wanted <= met, f"step {number}: {wanted - met} is not reached"


def main():
    program, keeper = sys.argv[1:3]
    parts = (stroke, every_control)
    print(f"1..{len(parts)}")
    with tempfile.TemporaryDirectory(prefix="tombolo-keys-") as folder:
        photo = f"{folder}/photo.jpg"
        subprocess.run([keeper, "--width", "600", photo], check=True, stdout=subprocess.DEVNULL)
        app = bus.App(program, folder).start(photo)
        bad = 0
        try:
            bus.wait("a verdict", lambda: next(
                (n for n in app.all() if (n.get_name() or "").startswith(("✓", "✗"))), None))
            for number, part in enumerate(parts, 1):
                try:
                    part(app)
                    print(f"ok {number} - {part.__name__.replace('_', ' ')}", flush=True)
                except AssertionError as wrong:
                    bad += 1
                    print(f"not ok {number} - {part.__name__}: {wrong}", flush=True)
        finally:
            app.end()
    return bad > 0


sys.exit(main())
