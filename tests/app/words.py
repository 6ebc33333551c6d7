"""Every word on the screen can be translated, and every control has a name.

words.py APP KEEPER   The app runs in a language that is made here: each message accented, longer and
between brackets. What stands on the screen without brackets was never marked for translation. The
screen reader's view also tells what each control is called. Needs a display of its own, which it
makes; exit 77 where it can't.
"""

import pathlib
import re
import shutil
import struct
import subprocess
import sys
import tempfile
import time

import bus

bus.enter("1366x768", "xgettext", "msgen", "msgfmt")

ROOT = pathlib.Path(__file__).resolve().parents[2]
HOLE = re.compile(r"(%(?:\d\$)?[-0-9.]*(?:ll|z|l)?[sdugifc%])")
ACCENTS = str.maketrans("aeiouycnsAEIOUYCNS", "àéîöüýçñšÀÉÎÖÜÝÇÑŠ")
# What needs no translation: numbers with units, names of papers, keys, places of projects, the toolkit's word for nothing.
PLAIN = re.compile(r"[-+\d.,:/ ×%−_]*|[AB]\d|ANSI [A-E]|Letter|Legal|Tabloid|\(None\)|Tombolo|photo|/\S+\.tombolo|[A-Z?←↑→↓⇄]|F\d+|Gtk\w+|Adw\w+")
TOOLKIT = {"Minimize", "Maximize", "Close", "Restore", "Minimize the window", "Maximize the window", "Close the window",
           "Restore the window", "No Results Found", "Search Results", "Shortcuts", "Try a different search", "Alt",
           "Ctrl", "Shift", "Space", "Escape", "Return", "⏎", "Page_Up", "Page_Down", "␣", "Back", "Forward", "⋯", "…"}
# Roles that take the focus and have nothing to say: a window's parts.
SILENT = ("frame", "dialog", "alert", "filler", "panel", "unknown", "window", "label")
# Which part is ours of a window that the toolkit makes.
OWN = {"win.about": lambda node: "•" in (node.get_name() or ""),
       "win.show-help-overlay": lambda node: node.get_role_name() in ("label", "panel", "filler")}


def odd(text):
    """The translation of one message: its holes stay as they are."""
    parts = [part if i % 2 else part.translate(ACCENTS) for i, part in enumerate(HOLE.split(text))]
    return f"⟦{''.join(parts)}{'~' * (len(text) // 4)}⟧"


def make_language(path):
    """A message catalogue of everything that po/POTFILES.in lists, in the binary form of gettext."""
    def tool(*command, given=None):
        return subprocess.run(command, cwd=ROOT, input=given, capture_output=True, check=True).stdout

    files = (ROOT / "po/POTFILES.in").read_text().split()
    template = tool("xgettext", "--from-code=UTF-8", "-k_", "-kN_", "-kngettext:1,2", "-o", "-", *files)
    whole = tool("msgfmt", "--no-hash", "-o", "-", "-", given=tool("msgen", "-", given=template.replace(
        b"charset=CHARSET", b"charset=UTF-8")))
    n, ids, told = struct.unpack_from("<3I", whole, 8)

    def texts(table):
        for i in range(n):
            length, at = struct.unpack_from("<2I", whole, table + 8 * i)
            yield whole[at:at + length].decode()

    pairs = [(key, text if not key else "\0".join(map(odd, text.split("\0"))))
             for key, text in zip(texts(ids), texts(told))]
    assert len(pairs) > 100, "the catalogue is empty"
    heads, body, start = [], b"", 28 + 16 * n
    for text in [key for key, _ in pairs] + [text for _, text in pairs]:
        raw = text.encode()
        heads += [len(raw), start + len(body)]
        body += raw + b"\0"
    path.parent.mkdir(parents=True)
    path.write_bytes(struct.pack("<7I", 0x950412de, 0, n, 28, 28 + 8 * n, 0, 0) +
                     struct.pack(f"<{4 * n}I", *heads) + body)


class Judge:
    def __init__(self, app):
        self.app, self.number, self.bad = app, 0, 0

    def look(self, place, top=None, own=lambda node: True):
        """Judges what is there now; `own` picks what is ours where the toolkit shows a window of its own."""
        unmarked, nameless, n_marked = set(), set(), 0
        for node in filter(own, bus.below(top) if top else self.app.all()):
            name, told, role = node.get_name() or "", node.get_description() or "", node.get_role_name()
            n_marked += "⟦" in name
            unmarked |= {f"{role} '{text}'" for text in (name, told) if "⟦" not in text and
                         text not in TOOLKIT and not PLAIN.fullmatch(text) and role != "application"}
            if node.get_state_set().contains(bus.atspi().StateType.FOCUSABLE) and role not in SILENT and \
                    (not name or re.fullmatch(r"(Gtk|Adw|Tb)\w+", name)):
                nameless.add(f"{role} '{name}' in '{node.get_parent().get_name()}'")
        self.tell(f"{place}: every one of {n_marked} words is marked", unmarked or not n_marked and {"no words"})
        self.tell(f"{place}: every control has a name", nameless)

    def tell(self, what, wrong):
        self.number += 1
        self.bad += bool(wrong)
        print("not ok" if wrong else "ok", f"{self.number} - {what}", flush=True)
        for one in sorted(wrong or ()):
            print("#", one)


def another_window(app):
    return bus.wait("another window", lambda: app.windows()[1] if len(app.windows()) > 1 else None)


def close(app):
    bus.keys("Escape")
    bus.wait("the window to close", lambda: len(app.windows()) == 1)


def steps(app, judge):
    for number, name in enumerate(("Photo", "Tone", "Pattern", "Check", "Sheets"), 1):
        app.activate()
        bus.keys(f"alt+{number}")
        time.sleep(1)  # the pane is filled when it is seen
        judge.look(name)


def windows(app, judge):
    frame = app.windows()[0]
    for place, action in (("the history", "win.history"), ("the shortcuts", "win.show-help-overlay"), ("the cautions", "win.about")):
        app.act(frame, action)
        judge.look(place, another_window(app), OWN.get(action, lambda node: True))
        close(app)


def main():
    program, keeper = map(pathlib.Path, sys.argv[1:3])
    with tempfile.TemporaryDirectory(prefix="tombolo-words-") as folder:
        # The program looks for its languages beside itself.
        inside = pathlib.Path(folder, "src/app", program.name)
        inside.parent.mkdir(parents=True)
        shutil.copy(program, inside)
        make_language(pathlib.Path(folder, "po/qps/LC_MESSAGES/tombolo.mo"))
        subprocess.run([keeper, "--width", "600", f"{folder}/photo.jpg"], check=True, stdout=subprocess.DEVNULL)
        app = bus.App(inside, folder).start(f"{folder}/photo.jpg", LANGUAGE="qps")
        judge = Judge(app)
        try:
            bus.wait("a verdict", lambda: next(
                (n for n in app.all() if (n.get_name() or "").startswith(("✓", "✗"))), None))
            steps(app, judge)
            windows(app, judge)
        finally:
            app.end()
    print(f"1..{judge.number}")
    return judge.bad > 0


sys.exit(main())
