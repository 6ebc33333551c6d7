"""tombolo make as a process: a JPEG of 12 million pixels to the complete set, 200 × 250 mm."""

import tempfile

import bench
import patterns


def main():
    with tempfile.TemporaryDirectory() as folder:
        bench.process("make", "12 MP JPEG, 10 px/mm",
                      [bench.TOMBOLO, "make", patterns.photograph(), "-o", folder, "--width",
                       "200mm", "--height", "250mm", "--force"], 12, limit_ms=800,
                      limit_peak_mb=400)


main()
