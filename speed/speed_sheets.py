"""Sheets, share copies and previews: what a pattern costs on its way to paper."""

import os
import sys
import tempfile

import numpy as np
from PIL import Image

import bench

rng = np.random.default_rng(6)


def blobs(width, height, n, radius):
    """A board with n round openings of wavy outline, in rows."""
    mask = np.full((height, width), 255, np.uint8)
    across = max(1, round((n * width / height) ** 0.5))
    down = -(-n // across)
    y, x = np.mgrid[-radius:radius, -radius:radius]
    for i in range(n):
        cx = int((i % across + 0.5) * width / across)
        cy = int((i // across + 0.5) * height / down)
        a, r, phase = np.arctan2(y, x), np.hypot(x, y), rng.random(3) * 6.28
        edge = radius * (0.62 + 0.16 * np.sin(3 * a + phase[0]) + 0.1 * np.sin(7 * a + phase[1]))
        part = mask[cy - radius:cy + radius, cx - radius:cx + radius]
        part[r < edge] = 0
    return mask


def save(mask, path):
    """10 px to the millimetre."""
    Image.fromarray(mask).save(path, dpi=(254, 254), compress_level=1)


with tempfile.TemporaryDirectory() as folder:
    common, large = folder + "/common.png", folder + "/large.png"
    save(blobs(2000, 2500, 150, 70), common)
    save(blobs(12000, 12000, 400, 260), large)
    # Processes, so reading the picture and inspecting it are in the times.
    bench.process("sheets", "200 × 250 mm, 150 openings", [bench.TOMBOLO, "sheets", common, "-o",
                  folder + "/a.pdf", "--force"], limit_ms=400)
    print(f"sheets.pdf: {os.path.getsize(folder + '/a.pdf') // 1000} kB (at most 300)", file=sys.stderr)
    bench.process("sheets", "1.2 m square on A4", [bench.TOMBOLO, "sheets", large, "-o",
                  folder + "/b.pdf", "--force"], limit_ms=6000)
    bench.process("share", "200 × 250 mm as JPEG", [bench.TOMBOLO, "share", common, "-o",
                  folder + "/c.jpg", "--force"])
