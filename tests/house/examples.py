"""Every command that the documents show is run, in a folder with a photo.jpg and a pattern.png.

An example may find that a pattern can't be sawn (exit status 1), but never be misspelt (2), refer to
what can't be read (3) or fail to write (4).
"""

import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "judges"))
import tap  # noqa: E402

ROOT = HERE.parent.parent
TOMBOLO = os.environ["TOMBOLO"]
FOLDER = Path(tempfile.mkdtemp(prefix="tombolo-examples-"))


def run(*words):
    return subprocess.run(words, cwd=FOLDER, capture_output=True, text=True, stdin=subprocess.DEVNULL,
                          check=False)


def commands():
    for document in [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]:
        text = document.read_text(encoding="utf-8")
        for block in re.findall(r"^```\n(.*?)^```", text, re.MULTILINE | re.DOTALL):
            for line in block.splitlines():
                found = re.match(r"(?:build/src/cli/)?tombolo (.*)", line)
                if found:
                    yield document.relative_to(ROOT).as_posix(), found[1]


def example(document, number, line):
    def runs():
        done = run(TOMBOLO, *shlex.split(line))
        assert done.returncode in (0, 1), f"tombolo {line}: exit status {done.returncode}: {done.stderr}"

    runs.__name__ = f"{document} command {number}"
    return tap.test(runs)


assert run(os.environ["KEEPER"], "--width", "320", "photo.jpg").returncode == 0
run(TOMBOLO, "make", "photo.jpg", "-o", "first", "--width", "200mm")
shutil.copy(FOLDER / "first" / "pattern.png", FOLDER)
for number_, (document_, line_) in enumerate(commands(), 1):
    example(document_, number_, line_)
try:
    tap.run()
finally:
    shutil.rmtree(FOLDER)
