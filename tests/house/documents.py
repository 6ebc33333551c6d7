"""What the documents promise is there: links lead to files, the map names every room."""

import re
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "judges"))
import tap  # noqa: E402

ROOT = HERE.parent.parent
DOCUMENTS = sorted([*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md"), *(ROOT / "demo").glob("*.md")])


@tap.test
def links_lead_to_files():
    wrong = []
    for document in DOCUMENTS:
        for target in re.findall(r"\]\(([^)#]+)[^)]*\)", document.read_text(encoding="utf-8")):
            if "://" not in target and not (document.parent / target).exists():
                wrong.append(f"{document.relative_to(ROOT)}: {target}")
    assert not wrong, "\n".join(wrong)


@tap.test
def the_map_names_every_room():
    text = (ROOT / "ARCHITECTURE.md").read_text(encoding="utf-8")
    rooms = {path.parent.relative_to(ROOT).as_posix() for path in ROOT.glob("src/**/*.c")}
    missing = [room for room in rooms if f"`{room}/`" not in text and room not in ("src/app",)]
    assert not missing, f"ARCHITECTURE.md does not name {missing}"


@tap.test
def the_script_names_every_word():
    script = (ROOT / "dev").read_text(encoding="utf-8")
    words = re.findall(r"^word_(\w+)\(\)", script, re.MULTILINE)
    assert len(words) > 5
    for word in words:
        assert re.search(rf"^  {word} ", script, re.MULTILINE), f"./dev does not explain {word}"


@tap.test
def the_log_of_changes_knows_this_version():
    version = re.search(r"version: '([^']+)'", (ROOT / "meson.build").read_text(encoding="utf-8"))[1]
    assert f"## {version}" in (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")


tap.run()
