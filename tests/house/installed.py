"""What is installed is whole: the programs run from there and find what is theirs.

installed.py BUILD   Installs into a folder of its own, with the folders of the build's prefix.
"""

import configparser
import re
import shutil
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


def options_of_verbs():
    """Every verb with its options, as --help has them."""
    verbs = re.findall(r"^  ([a-z]+)  ", run(PREFIX / "bin/tombolo", "--help").stdout, re.M)
    for verb in verbs:
        text = run(PREFIX / "bin/tombolo", verb, "--help").stdout
        yield verb, set(re.findall(r"^ +(?:-\w, )?(--[a-z-]+)", text, re.M))


@tap.test
def bash_completes_every_option():
    script = SHARE / "bash-completion/completions/tombolo"
    for verb, options in options_of_verbs():
        offered = run("bash", "-c", f"source '{script}'; COMP_WORDS=(tombolo {verb} --); COMP_CWORD=2; _tombolo; "
                      "echo ${COMPREPLY[*]}").stdout.split()
        assert offered and options <= set(offered), f"{verb}: {options - set(offered)}"


@tap.test
def fish_completes_every_option():
    if not shutil.which("fish"):
        tap.skip("no fish here")
    script = SHARE / "fish/vendor_completions.d/tombolo.fish"

    def offered(line):
        said = run("fish", "--no-config", "-c", f"source '{script}'; complete -C '{line}'", HOME=FOLDER.name)
        assert not said.stderr, said.stderr
        return {row.split("\t")[0] for row in said.stdout.splitlines()}

    verbs = dict(options_of_verbs())
    assert set(verbs) <= offered("tombolo "), offered("tombolo ")
    for verb, options in verbs.items():
        assert options <= offered(f"tombolo {verb} --"), f"{verb}: {options - offered(f'tombolo {verb} --')}"
    assert "walnut-6" in offered("tombolo make --stock wal") and "hatch" in offered("tombolo sheets --ink ")


@tap.test
def zsh_completes_every_option():
    """Its own completion, asked by Tab in a shell of its own; that takes a while, so of three verbs."""
    if not shutil.which("zsh"):
        tap.skip("no zsh here")
    folder = SHARE / "zsh/site-functions"
    assert run("zsh", "-n", folder / "_tombolo").returncode == 0
    ask = """
        zmodload zsh/zpty
        zpty shell zsh -f -i
        zpty -w shell "PROMPT=; stty columns 400; fpath=($1 \\$fpath); autoload -U compinit; compinit -D -u"
        zpty -w shell "zstyle ':completion:*' list-prompt ''; LISTMAX=0; setopt auto_list no_beep; bindkey '^I' complete-word"
        zpty -n -w shell "$2"$'\t\t'
        repeat 600 {
            while zpty -r -t shell part; do all+=$part; done
            [[ $all == *$3* ]] && break
            sleep 0.05
        }
        while zpty -r -t shell part; do all+=$part; done
        print -r -- $all
        zpty -d shell
    """
    for verb, options in [row for row in options_of_verbs() if row[0] in ("check", "sheets", "note")]:
        said = run("zsh", "-fc", ask, "ask", folder, f"tombolo {verb} --", max(options), HOME=FOLDER.name, TERM="xterm").stdout
        offered = set(re.findall(r"--[a-z-]+", said))
        assert options <= offered, f"{verb}: {options - offered}: {said}"


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
