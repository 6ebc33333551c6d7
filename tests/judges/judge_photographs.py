"""Real photographs through `tombolo make`, and what comes out against OpenCV.

Whatever the photograph, the pattern is one piece of wood whose every joint is as wide as the
limit, its openings take the drill, and the report tells the truth about it. OpenCV counts the
pieces, measures the distances and opens the wood; none of our own code takes part.
"""

import json
import os
import subprocess
import sys
from pathlib import Path

import tap

cv2, np, jsonschema = tap.needs("cv2", "numpy", "jsonschema")
sys.path.insert(0, str(Path(__file__).resolve().parent.parent))
import photographs  # noqa: E402

TOMBOLO = os.environ["TOMBOLO"]
FOLDER = Path(os.environ["TOMBOLO_PHOTOGRAPHS"])
ROOT = Path(__file__).resolve().parents[2]
SCHEMA = json.loads((ROOT / "docs" / "report.schema.json").read_text(encoding="utf-8"))
PX_PER_MM = 10
# A disc of pixels is judged to half a pixel on each side.
PIXEL_MM = 1 / PX_PER_MM

try:
    PHOTOGRAPHS = photographs.fetch(FOLDER)
except photographs.Unreachable as why:
    print(f"1..0 # SKIP {why}")
    sys.exit(0)


def make(name):
    out = FOLDER / "out" / name
    done = subprocess.run([TOMBOLO, "make", PHOTOGRAPHS[name], "-o", out, "--width", "200mm", "--force"],
                          capture_output=True, text=True, stdin=subprocess.DEVNULL, check=False)
    assert done.returncode == 0, f"exit status {done.returncode}: {done.stderr}"
    report = json.loads((out / "report.json").read_text(encoding="utf-8"))
    return report, cv2.imread(str(out / "pattern.png"), cv2.IMREAD_UNCHANGED)


def disc(diameter_mm):
    """The pixels whose centres lie within the disc, as a kernel."""
    radius = diameter_mm * PX_PER_MM / 2
    reach = int(radius)
    y, x = np.ogrid[-reach:reach + 1, -reach:reach + 1]
    return (x * x + y * y <= radius * radius).astype(np.uint8)


def pieces(mask, connectivity):
    n, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=connectivity)
    return n - 1, labels, stats


def check_wood(report, wood):
    assert pieces(wood, 4)[0] == 1 == report["pieces"]
    assert wood[0].all() and wood[-1].all() and wood[:, 0].all() and wood[:, -1].all(), "the edge"
    # What is left of the wood under a disc a pixel thinner than the bridges still hangs together,
    # but for crumbs: nothing is held by less.
    bridge_mm = report["limits"]["bridge_must_mm"]
    padded = cv2.copyMakeBorder(wood, 40, 40, 40, 40, cv2.BORDER_CONSTANT, value=1)
    rooms = cv2.morphologyEx(padded, cv2.MORPH_OPEN, disc(bridge_mm - PIXEL_MM))
    n, _, stats = pieces(rooms, 8)
    assert n == 1, f"{n} rooms held by thin wood, areas {sorted(stats[1:, 4])[:-1]} px"


def check_openings(report, wood):
    limits = report["limits"]
    openings = (1 - wood).astype(np.uint8)
    n, labels, _ = pieces(openings, 8)
    assert n == report["openings"] and n > 0, f"{n} openings, the report says {report['openings']}"
    distance = cv2.distanceTransform(openings, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    widest = np.zeros(n + 1)
    np.maximum.at(widest, labels.ravel(), distance.ravel())
    disc_mm = (2 * widest[1:] - 1) / PX_PER_MM
    least = limits["drill_mm"] + limits["drill_room_mm"]
    assert disc_mm.min() >= least - PIXEL_MM, f"an opening takes {disc_mm.min():.2f} mm, not {least}"
    check_holes(report, labels, distance, n)


def check_holes(report, labels, distance, n):
    drilled = set()
    for hole in report["entry_holes"]:
        x, y = int(hole["x_mm"] * PX_PER_MM), int(hole["y_mm"] * PX_PER_MM)
        assert labels[y, x] > 0, f"an entry hole in the wood at {x}, {y}"
        drilled.add(labels[y, x])
        room_mm = (distance[y, x] + 0.5) / PX_PER_MM - hole["drill_mm"] / 2
        assert room_mm >= report["limits"]["hole_clear_mm"] - PIXEL_MM, \
            f"the entry hole at {x}, {y} leaves {room_mm:.2f} mm"
    assert len(drilled) == n, f"{n - len(drilled)} openings without an entry hole"


def judge(name):
    def photograph():
        report, picture = make(name)
        jsonschema.validate(report, SCHEMA)
        assert set(np.unique(picture)) == {0, 255}, "two tones and no other"
        wood = (picture == 255).astype(np.uint8)
        assert report["size_mm"] == [wood.shape[1] / PX_PER_MM, wood.shape[0] / PX_PER_MM]
        assert not [f for f in report["findings"] if f["severity"] == "must"]
        check_wood(report, wood)
        check_openings(report, wood)

    photograph.__name__ = name
    return tap.test(photograph)


for name_ in PHOTOGRAPHS:
    judge(name_)
tap.run()
