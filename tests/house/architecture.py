"""architecture.py BUILD: keeps the house in order (ARCHITECTURE.md, the include rule).

Reads every include in src/, and the symbols of the archives in the build folder: the core may call
libc and libm only, and of those nothing that reaches files, the clock, the environment or the
locale; it keeps no variable outside a function's own.
"""

import os
import re
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "judges"))
import tap  # noqa: E402

ROOT = HERE.parent.parent
BUILD = Path(sys.argv[1] if len(sys.argv) > 1 else "build")

# A room may include itself and every room of a lower level.
LEVEL = {"base": 0, "image": 1, "graph": 1, "pattern": 2, "facts": 2,
         "photo": 3, "sheet": 3, "project": 3, "flow": 4, "cli": 5, "app/model": 5, "app/ui": 6,
         "app": 7}
PURE = ("base", "image", "graph", "pattern", "facts")
PURE_HEADERS = {"assert.h", "ctype.h", "float.h", "inttypes.h", "limits.h", "math.h", "stdalign.h",
                "stdarg.h", "stdatomic.h", "stdbool.h", "stddef.h", "stdint.h", "stdio.h",
                "stdlib.h", "string.h"}
# base alone shares work out to threads and asks for huge pages.
BASE_HEADERS = PURE_HEADERS | {"threads.h", "sys/mman.h", "malloc.h"}
NOT_PURE = re.compile(
    r"^(f?open(64)?|fdopen|freopen|tmpfile|fread|fwrite|read|write|p?(read|write)(64)?|"
    r"remove|rename|unlink|stat|mkdir|(__)?v?f?printf(_chk)?|puts|putchar|fputs|fputc|v?f?scanf|"
    r"__isoc99_\w*scanf|strto[df]|strtold|ato[fil]|time|clock|clock_gettime|gettimeofday|localtime|"
    r"gmtime|strftime|getenv|secure_getenv|setenv|setlocale|localeconv|newlocale|uselocale|rand|"
    r"s?random|[dlmnj]rand48|exit|_exit|system|popen|fork|exec\w*|signal|sigaction|strtok|strerror|"
    r"stdin|stdout|stderr)$")


def room_of(path):
    parts = path.relative_to(ROOT / "src").parts[:-1]
    return "/".join(parts[:2]) if parts[:1] == ("app",) else (parts[0] if parts else "")


def includes():
    for path in sorted((ROOT / "src").rglob("*.[ch]")):
        text = path.read_text(encoding="utf-8")
        for mark, name in re.findall(r'^\s*#\s*include\s*([<"])([^>"]+)[>"]', text, re.MULTILINE):
            yield path, mark, name


def symbols(room):
    """(name, kind, section) of every symbol in the room's archives."""
    for archive in sorted((BUILD / "src" / room).glob("libtb-*.a")):
        listing = subprocess.run(["objdump", "-t", archive], capture_output=True, text=True, check=True)
        for line in listing.stdout.splitlines():
            # value, seven letters of flags, section, a tab, size, name
            found = re.match(r"^[0-9a-f]+ (.{7}) (\S+)\t[0-9a-f]+\s+(?:\.hidden )?(\S+)$", line)
            if found:
                yield found[3], found[1], found[2]


@tap.test
def includes_point_one_way():
    wrong = []
    for path, mark, name in includes():
        room, target = room_of(path), name.rsplit("/", 1)[0] if "/" in name else ""
        if mark == "<" or target not in LEVEL or room not in LEVEL:
            continue
        if target != room and LEVEL[target] >= LEVEL[room]:
            wrong.append(f"{path.relative_to(ROOT)}: {name}")
    assert not wrong, "\n".join(wrong)


@tap.test
def our_own_headers_are_named_from_src():
    wrong = [f"{path.relative_to(ROOT)}: {name}" for path, mark, name in includes()
             if mark == '"' and not (ROOT / "src" / name).is_file()
             and not name.endswith(("-resources.h", "config.h"))]
    assert not wrong, "\n".join(wrong)


@tap.test
def the_pure_rooms_include_standard_headers_only():
    wrong = []
    for path, mark, name in includes():
        room = room_of(path)
        if mark == "<" and room in PURE and name not in (BASE_HEADERS if room == "base" else PURE_HEADERS):
            wrong.append(f"{path.relative_to(ROOT)}: <{name}>")
    assert not wrong, "\n".join(wrong)


@tap.test
def glib_stays_above_flow():
    wrong = [f"{path.relative_to(ROOT)}: <{name}>" for path, mark, name in includes()
             if mark == "<" and re.match(r"(glib|gio|gtk|adwaita|gdk)", name)
             and LEVEL.get(room_of(path), 9) < LEVEL["photo"]]
    assert not wrong, "\n".join(wrong)


@tap.test
def the_pure_rooms_reach_no_file_clock_or_environment():
    wrong = [f"{room}: {name}" for room in PURE for name, _, section in symbols(room)
             if section == "*UND*" and NOT_PURE.match(name)]
    assert not wrong, "\n".join(wrong)


@tap.test
def the_pure_rooms_call_libc_and_libm_only():
    known = set()
    for name in ("libc.so.6", "libm.so.6", "libgcc_s.so.1"):
        path = subprocess.run(["gcc", f"-print-file-name={name}"], capture_output=True, text=True,
                              check=True).stdout.strip()
        assert os.path.isabs(path), f"no {name}"
        listing = subprocess.run(["nm", "-D", "--defined-only", path], capture_output=True, text=True,
                                 check=True).stdout
        known |= {line.split()[-1].split("@")[0] for line in listing.splitlines() if line.split()}
    own = {name for room in PURE for name, _, section in symbols(room) if section != "*UND*"}
    assert len(own) > 10, f"no archives in {BUILD}"
    wrong = [f"{room}: {name}" for room in PURE for name, _, section in symbols(room)
             if section == "*UND*" and name not in known | own
             and not re.match(r"_GLOBAL_OFFSET_TABLE_$|__cpu_", name)]
    assert not wrong, "\n".join(wrong)


@tap.test
def the_pure_rooms_keep_no_variables():
    # Tables of pointers that the loader fills once (.data.rel.ro) are constants.
    wrong = [f"{room}: {name} in {section}" for room in PURE for name, flags, section in symbols(room)
             if re.match(r"\.(data|bss|tdata|tbss)(\.|$)|\*COM\*", section)
             and not section.startswith(".data.rel.ro") and "O" in flags]
    assert not wrong, "\n".join(wrong)


tap.run()
