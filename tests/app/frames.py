"""No frame of the bench takes long, and one that is painted on redraws only the tiles it touches.

frames.py FRAME_TIMES KEEPER; exit 77 without what makes a display. What is wanted is 16 ms a frame;
what is failed here is three times that, for the machines that tests run on.
"""

import os
import shutil
import subprocess
import sys
import tempfile

WANTED_MS, PATIENCE = 16, 3

if not shutil.which("xvfb-run"):
    print("1..0 # SKIP missing: xvfb-run")
    sys.exit(77)
times, keeper = sys.argv[1:3]
with tempfile.TemporaryDirectory(prefix="tombolo-frames-") as folder:
    subprocess.run([keeper, "--width", "600", f"{folder}/photo.jpg"], check=True, stdout=subprocess.DEVNULL)
    env = {**os.environ, "GSK_RENDERER": "cairo", "GTK_A11Y": "none", "GSETTINGS_BACKEND": "memory"}
    told = subprocess.run(["xvfb-run", "-a", "-s", "-screen 0 1920x1080x24 -nolisten tcp", times,
                           f"{folder}/photo.jpg", "48"], env=env, capture_output=True, text=True)
rows = [line.split() for line in told.stdout.splitlines()]
print(f"1..{1 + 2 * len(rows)}")
print("ok" if told.returncode == 0 and len(rows) == 5 else "not ok", "1 - the bench is driven", told.stderr[-200:])
number, failed = 1, told.returncode != 0 or len(rows) != 5
for name, median, high, tiles in rows:
    limit = WANTED_MS * PATIENCE if "paint" not in name else WANTED_MS
    for good, what in ((float(median) < limit, f"{name}: {median} ms a frame, 95 % under {high} ms"),
                       ("zoom" in name or float(tiles) < 6, f"{name}: {tiles} tiles a frame")):
        number, failed = number + 1, failed or not good
        print("ok" if good else "not ok", f"{number} - {what}")
sys.exit(1 if failed else 0)
