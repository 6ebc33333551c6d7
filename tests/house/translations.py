"""Every word the app shows has a translation: judged by the gettext tools."""

import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
MARK = re.compile(r'\bN?_\("|\bngettext\("|translatable="yes"')
HOLE = re.compile(r"%[-0-9.]*(?:<PRI\w+>|(?:ll|z|l)?[sdugi])")
SPEAKING = ("pattern", "facts", "photo", "project", "sheet", "flow")

if not all(shutil.which(tool) for tool in ("xgettext", "msgcmp", "msgfmt")):
    print("1..0 # SKIP missing: gettext")
    sys.exit(0)



def sentences(keywords, paths):
    """The English sentences that these calls take, each hole as %s."""
    template = subprocess.run(["xgettext", "--from-code=UTF-8", "--no-wrap", "-k", *keywords, "-o", "-",
                               *map(str, paths)], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    told = re.findall(r'^msgid ((?:".*"\n)+)', template, re.M)
    whole = ("".join(line[1:-1] for line in text.splitlines()) for text in told)
    return {HOLE.sub("%s", text).replace("%%", "%") for text in whole} - {"", "%s", "%s: %s"}


listed = (ROOT / "po/POTFILES.in").read_text().split()
marked = sorted([str(path.relative_to(ROOT)) for room in ("app", "flow") for path in (ROOT / "src" / room).rglob("*")
                 if path.suffix in (".c", ".h", ".ui") and MARK.search(path.read_text())] +
                [f"data/{path.name}" for path in (ROOT / "data").glob("*.in")
                 if path.name.endswith((".desktop.in", ".xml.in"))])
languages = (ROOT / "po/LINGUAS").read_text().split()
number, wrong = 1, listed != marked
print(f"1..{2 + 2 * len(languages)}")
print("not ok" if wrong else "ok", "1 - POTFILES.in lists the files with words to translate")

said = sentences(["-ktb_fail:3", "-ktb__advise:2", "-ktb__say:2", "-kTB__SAID"],
                 [path for room in SPEAKING for path in (ROOT / "src" / room).glob("*.c")])
unknown = said - sentences(["-kN_"], [ROOT / "src/flow/local-words.c"])
number, wrong = 2, wrong or len(unknown) > 0
print("not ok" if unknown else "ok", "2 - the app knows every sentence of the rooms below it")
print(*(f"# {text}" for text in sorted(unknown)), sep="\n")


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
