"""How a speed program measures, and says what it measured.

    bench.row("pieces", "A4 at 300 dpi", ours, {"OpenCV": theirs}, megapixels=8.7, limit_ms=5)
    bench.process("check", "A4 at 300 dpi", [bench.TOMBOLO, "check", path], limit_ms=250)

`ours` and `theirs` are functions without arguments. They take turns, each once to warm up, and the
median counts. A process is timed from fork to exit, with the peak of its memory.
"""

import json
import os
import pathlib
import statistics
import subprocess
import sys
import time

TOMBOLO = os.environ.get("TOMBOLO", "tombolo")
sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "tests/judges"))


def _say(**row):
    print(json.dumps(row), flush=True)


def _once(function):
    begin = time.perf_counter()
    function()
    return (time.perf_counter() - begin) * 1000


def row(subject, case, ours, others=None, megapixels=None, limit_ms=None, turns=9):
    functions = {"": ours, **(others or {})}
    times = {name: [] for name in functions}
    for turn in range(turns + 1):
        for name, function in functions.items():
            ms = _once(function)
            if turn > 0:
                times[name].append(ms)
    medians = {name: statistics.median(list_) for name, list_ in times.items()}
    _say(subject=subject, case=case, ms=medians.pop(""), others=medians, megapixels=megapixels,
         limit_ms=limit_ms)


def told(subject, case, ours_ms, others, megapixels=None, limit_ms=None, turns=9):
    """As row(), for work that tells itself how many milliseconds it took."""
    ours, theirs = [], {name: [] for name in others}
    for turn in range(turns + 1):
        ms = ours_ms()
        if turn > 0:
            ours.append(ms)
        for name, function in others.items():
            theirs[name].append(_once(function))
    _say(subject=subject, case=case, ms=statistics.median(ours), megapixels=megapixels,
         others={name: statistics.median(list_[1:]) for name, list_ in theirs.items()},
         limit_ms=limit_ms)


def process(subject, case, command, megapixels=None, limit_ms=None, limit_peak_mb=None, turns=5,
            statuses=(0, 1)):
    """statuses: exit statuses that count as having done the work."""
    times, peak_mb = [], 0
    for turn in range(turns + 1):
        # From a process of its own: a child inherits the peak of the one that starts it.
        done = subprocess.run([sys.executable, __file__, *command], stdout=subprocess.PIPE, check=True)
        ms, peak_kb, status = json.loads(done.stdout)
        if status not in statuses:
            print(f"{command}: exit status {status}", file=sys.stderr)
            sys.exit(1)
        if turn > 0 or turns == 1:
            times.append(ms)
        peak_mb = max(peak_mb, peak_kb / 1024)
    _say(subject=subject, case=case, ms=statistics.median(times), others={}, megapixels=megapixels,
         peak_mb=peak_mb, limit_ms=limit_ms, limit_peak_mb=limit_peak_mb)


def _run_once(command):
    begin = time.perf_counter()
    child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(child.pid, 0)
    ms = (time.perf_counter() - begin) * 1000
    child.returncode = os.waitstatus_to_exitcode(status)
    print(json.dumps([ms, used.ru_maxrss, child.returncode]))


if __name__ == "__main__":
    _run_once(sys.argv[1:])
