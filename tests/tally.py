#!/usr/bin/env python3
"""tally.py BUILD…: sums up the last `meson test` of each build folder, test by test.

Every line of a TAP program counts as one test; a program that speaks no TAP, or that died before
its plan was done, counts as one. The last line is "N passed, N failed", with ", N skipped" where
some were. Exit status 1 if any failed, or if a folder has no result.
"""

import json
import re
import sys

LINE = re.compile(r"^\s*(not )?ok\b(.*)$", re.MULTILINE)


def count(program):
    """(passed, failed, skipped) of one program, and the names of what failed."""
    result, counts, failed = program["result"], [0, 0, 0], []
    for bad, rest in LINE.findall(program.get("stdout", "")):
        if re.search(r"#\s*(SKIP|TODO)", rest, re.IGNORECASE):
            counts[2] += 1
        elif bad:
            counts[1] += 1
            failed.append(rest.strip())
        else:
            counts[0] += 1
    if result in ("FAIL", "ERROR", "TIMEOUT", "INTERRUPT", "UNEXPECTEDPASS") and not failed:
        counts[1] += 1
        failed.append(f"{result.lower()}, exit status {program.get('returncode')}")
    elif sum(counts) == 0:
        counts[2 if result == "SKIP" else 0] = 1
    return counts, failed


def main(folders):
    total, broken = [0, 0, 0], False
    for folder in folders:
        here = [0, 0, 0]
        try:
            with open(f"{folder}/meson-logs/testlog.json", encoding="utf-8") as log:
                programs = [json.loads(line) for line in log]
        except OSError as why:
            print(f"{folder}: no tests were run ({why.strerror})")
            broken = True
            continue
        for program in programs:
            counts, failed = count(program)
            here = [a + b for a, b in zip(here, counts)]
            for name in failed:
                print(f"{folder}: FAILED {program['name']}: {name}")
        print(f"{folder}: {len(programs)} programs, {here[0]} passed, {here[1]} failed, {here[2]} skipped")
        total = [a + b for a, b in zip(total, here)]
    total[1] += broken
    print(f"{total[0]} passed, {total[1]} failed" + (f", {total[2]} skipped" if total[2] else ""))
    return 1 if total[1] else 0


sys.exit(main(sys.argv[1:]))
