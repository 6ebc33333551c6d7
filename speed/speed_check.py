"""tombolo check as a process, from fork to exit, reading the PNG included."""

import bench
import patterns


def main():
    for name, path, megapixels, ms, peak_mb in (
            ("A4 at 300 dpi", patterns.a4(), 8.7, 250, None),
            ("14,000 × 14,000", patterns.large(), 196, 3000, 1000)):
        bench.process("check", name, [bench.TOMBOLO, "check", path, "--json"], megapixels,
                      limit_ms=ms, limit_peak_mb=peak_mb)
    for name, path in patterns.ugly().items():
        # Refused or not, it is to be over soon.
        bench.process("check", f"A4, {name}", [bench.TOMBOLO, "check", path, "--json"], 8.7,
                      limit_ms=3000, limit_peak_mb=1000, turns=1, statuses=(0, 1, 2, 3))


main()
