"""Frames of the bench: what the main loop works for each, at 1920 × 1080 on the software renderer."""

import os
import pathlib
import shutil
import subprocess
import sys
import tempfile

import bench

SHOWN = "-screen 0 1920x1080x24 -nolisten tcp"
LIMIT_MS = 16
build = pathlib.Path(__file__).resolve().parent.parent / "build"
CASES = {"whole-paint": "paint, whole board", "whole-pan": "pan, whole board", "zoom": "zoom in and out",
         "near-paint": "paint, near", "near-pan": "pan, near"}

if not shutil.which("xvfb-run"):
    sys.exit("xvfb-run is missing: frames of the bench are not measured")
with tempfile.TemporaryDirectory() as folder:
    photo = f"{folder}/keeper.jpg"
    subprocess.run([build / "demo/keeper", photo], check=True, stdout=subprocess.DEVNULL)
    env = {**os.environ, "GSK_RENDERER": "cairo", "GTK_A11Y": "none", "GSETTINGS_BACKEND": "memory"}
    told = subprocess.run(["xvfb-run", "-a", "-s", SHOWN, build / "speed/frame_times", photo], env=env,
                          check=True, capture_output=True, text=True).stdout
for line in told.splitlines():
    name, median, high, _tiles = line.split()
    bench.told("frame of the bench", f"{CASES[name]} (95 %: {high} ms)", lambda ms=float(median): ms, {},
               limit_ms=LIMIT_MS, turns=1)
