"""What is installed is whole: the programs run from there and find what is theirs.

installed.py BUILD   Installs into a folder of its own, with the folders of the build's prefix.
"""

import configparser
import re
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "judges"))
import tap  # noqa: E402

BUILD = sys.argv[1]
FOLDER = tempfile.TemporaryDirectory(prefix="tombolo-installed-")
subprocess.run(["meson", "install", "-C", BUILD, "--no-rebuild", "--destdir", FOLDER.name], check=True,
               stdout=subprocess.DEVNULL)
PREFIX = next(Path(FOLDER.name).rglob("bin/tombolo")).parent.parent
SHARE = PREFIX / "share"


def run(*words, **env):
    return subprocess.run(words, capture_output=True, text=True, timeout=60,
                          env={"PATH": "/usr/bin:/bin", "LC_ALL": "C.UTF-8", **env})


@tap.test
def the_tool_runs():
    assert run(PREFIX / "bin/tombolo", "--version").stdout.startswith("tombolo ")


@tap.test
def it_finds_the_bench_beside_itself():
    done = run(PREFIX / "bin/tombolo", "open")
    assert "not installed" not in done.stderr, done.stderr
    assert "display" in done.stderr.lower(), done.stderr


@tap.test
def each_program_has_its_page():
    for program in ("tombolo", "tombolo-bench"):
        page = run("man", "--warnings", "-l", SHARE / f"man/man1/{program}.1")
        assert page.returncode == 0 and not page.stderr, page.stderr
        assert program in page.stdout


@tap.test
def the_shell_completes_every_option():
    script = SHARE / "bash-completion/completions/tombolo"
    verbs = re.findall(r"^  ([a-z]+)  ", run(PREFIX / "bin/tombolo", "--help").stdout, re.M)
    for verb in verbs:
        offered = run("bash", "-c", f"source '{script}'; COMP_WORDS=(tombolo {verb} --); COMP_CWORD=2; _tombolo; "
                      "echo ${COMPREPLY[*]}").stdout.split()
        options = re.findall(r"^ +(?:-\w, )?(--[a-z-]+)", run(PREFIX / "bin/tombolo", verb, "--help").stdout, re.M)
        missing = set(options) - set(offered)
        assert offered and not missing, f"{verb}: {missing}"


@tap.test
def the_desktop_knows_where_things_are():
    entry = configparser.ConfigParser(interpolation=None)
    entry.optionxform = str
    entry.read(SHARE / "applications/org.tombolo.Tombolo.desktop")
    assert (PREFIX / "bin" / entry["Desktop Entry"]["Exec"].split()[0]).exists()
    assert (SHARE / "icons/hicolor/scalable/apps" / f"{entry['Desktop Entry']['Icon']}.svg").exists()
    entry.read(SHARE / "thumbnailers/org.tombolo.Tombolo.thumbnailer")
    thumbnailer = entry["Thumbnailer Entry"]["TryExec"]
    assert Path(FOLDER.name + thumbnailer).exists(), thumbnailer
    kinds = (SHARE / "mime/packages/org.tombolo.Tombolo.xml").read_text()
    for kind in entry["Thumbnailer Entry"]["MimeType"].strip(";").split(";"):
        assert f'type="{kind}"' in kinds
    assert (SHARE / "glib-2.0/schemas/org.tombolo.Tombolo.gschema.xml").exists()
    assert (PREFIX / "libexec/tombolo/keeper").exists()


@tap.test
def languages_come_along():
    for language in (Path(__file__).resolve().parents[2] / "po/LINGUAS").read_text().split():
        assert (SHARE / f"locale/{language}/LC_MESSAGES/tombolo.mo").exists()


tap.run()
