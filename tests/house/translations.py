"""Every word the app shows has a translation: judged by the gettext tools."""

import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
MARK = re.compile(r'\bN?_\("|\bngettext\("|translatable="yes"')

if not all(shutil.which(tool) for tool in ("xgettext", "msgcmp", "msgfmt")):
    print("1..0 # SKIP missing: gettext")
    sys.exit(0)

listed = (ROOT / "po/POTFILES.in").read_text().split()
marked = sorted(str(path.relative_to(ROOT)) for path in (ROOT / "src/app").rglob("*")
                if path.suffix in (".c", ".h", ".ui") and MARK.search(path.read_text()))
languages = (ROOT / "po/LINGUAS").read_text().split()
number, wrong = 1, listed != marked
print(f"1..{1 + 2 * len(languages)}")
print("not ok" if wrong else "ok", "1 - POTFILES.in lists the files with words to translate")


def judge(what, *command):
    global number, wrong
    number += 1
    told = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    wrong |= told.returncode != 0
    print("not ok" if told.returncode else "ok", f"{number} - {what}")
    print(*(f"# {line}" for line in told.stderr.splitlines()), sep="\n")


with tempfile.TemporaryDirectory() as folder:
    template = f"{folder}/tombolo.pot"
    subprocess.run(["xgettext", "--from-code=UTF-8", "-k_", "-kN_", "-kngettext:1,2", "-o", template,
                    *marked], cwd=ROOT, check=True)
    for language in languages:
        po = f"po/{language}.po"
        judge(f"{po} has every word", "msgcmp", po, template)
        judge(f"{po} is well-formed", "msgfmt", "--check", "-o", f"{folder}/out.mo", po)
sys.exit(wrong)
