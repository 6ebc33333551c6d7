"""Tie: its times, and what it does to the picture beside the usual way.

The usual way: threshold by Otsu, drop specks, tie each island by the nearest straight bridge; here
with the same frame and limits as ours, on the same evened tone: bridges as wide, no wood narrower,
no opening too small for the drill. OpenCV does all of it, and measures both.

Likeness is measured anew here, by a Gaussian of 0.58 mm on the whole picture of what pattern and
picture differ by (src/pattern/likeness.h). Errors are root mean squares in thousandths. Added by
bridges: the error with bridges less the error of the same pattern without what they added; ours are
drawn as narrow as the usual ones for that, while the finished pattern has them wider where it may.
"""

import json
import os
import pathlib
import statistics
import subprocess
import sys
import tempfile

import cv2
import numpy as np

here = pathlib.Path(__file__).resolve().parent
build = here.parent / "build"
PX = 10  # pixels a millimetre
BRIDGE_MM, DISC_MM, SPECK_MM2, FRAME_MM, BLUR_MM = 1.6, 1.6, 2, 6, 0.58


def say(**row):
    print(json.dumps(row), flush=True)


def disc(mm):
    n = round(mm * PX)
    y, x = np.mgrid[:n, :n] - (n - 1) / 2
    return (x * x + y * y <= (mm * PX / 2) ** 2).astype(np.uint8)


def error(pattern, want):
    """Root mean square of the blurred difference."""
    difference = cv2.GaussianBlur(pattern.astype(np.float32) - want, (0, 0), BLUR_MM * PX)
    return float(np.sqrt(np.mean(difference * difference)))


def want_of(tone, cut):
    over = tone - cut
    return np.clip(0.5 + 0.5 * np.where(over < 0, over / cut, over / (100 - cut)), 0, 1)


def opened(mask, mm, edge):
    """Opening by a disc; beyond the edge lies `edge`."""
    wide = cv2.copyMakeBorder(mask, 20, 20, 20, 20, cv2.BORDER_CONSTANT, value=edge)
    return cv2.morphologyEx(wide, cv2.MORPH_OPEN, disc(mm))[20:-20, 20:-20]


def fill_tight(wood, speck_mm2=0):
    """Fills openings that are specks or have no room for the drill."""
    n, label, stats, _ = cv2.connectedComponentsWithStats(1 - wood, connectivity=8)
    roomy = np.zeros(n, bool)
    roomy[np.unique(label[opened(1 - wood, DISC_MM, 0) > 0])] = True
    roomy &= stats[:, cv2.CC_STAT_AREA] >= speck_mm2 * PX * PX
    roomy[0] = True
    return np.where(roomy[label], wood, 1).astype(np.uint8)


def nearest(island, other):
    """The nearest two pixels of an island (cropped to its box by the caller) and other wood."""
    distance, index = cv2.distanceTransformWithLabels(
        1 - other, cv2.DIST_L2, cv2.DIST_MASK_5, labelType=cv2.DIST_LABEL_PIXEL)
    y, x = np.nonzero(island)
    k = np.argmin(distance[y, x])
    there = np.argwhere((index == index[y[k], x[k]]) & (other > 0))[0]
    return (int(x[k]), int(y[k])), (int(there[1]), int(there[0]))


def usual_way(tone):
    """The pattern before and after its bridges, and its cut line."""
    grey = np.clip(tone * 2.55, 0, 255).astype(np.uint8)
    level, wood = cv2.threshold(grey, 0, 1, cv2.THRESH_BINARY + cv2.THRESH_OTSU)
    frame = FRAME_MM * PX
    wood[:frame] = wood[-frame:] = wood[:, :frame] = wood[:, -frame:] = 1
    wood = opened(fill_tight(wood, SPECK_MM2), BRIDGE_MM, 1)
    n, label, stats, _ = cv2.connectedComponentsWithStats(wood, connectivity=4)
    kept = stats[:, cv2.CC_STAT_AREA] >= SPECK_MM2 * PX * PX
    kept[0] = False
    loose = kept[label].astype(np.uint8)
    tied, n_bridges = loose.copy(), 0
    while True:
        tied = fill_tight(tied)
        n, label, stats, _ = cv2.connectedComponentsWithStats(tied, connectivity=4)
        if n <= 2:
            return loose, tied, n_bridges
        for i in range(1, n):
            if i == label[0, 0]:
                continue
            x, y, w, h = stats[i, :4]
            pad = 600
            box = np.s_[max(y - pad, 0):y + h + pad, max(x - pad, 0):x + w + pad]
            here_ = label[box]
            a, b = nearest(here_ == i, ((here_ > 0) & (here_ != i)).astype(np.uint8))
            cv2.line(tied[box], a, b, 1, round(BRIDGE_MM * PX))
            n_bridges += 1


def without_bridges(tied, loose, bridges):
    """Our pattern less what its bridges added."""
    swept = np.zeros_like(tied)
    for bridge in bridges:
        path = (np.array(bridge["path_mm"]) * PX).round().astype(np.int32)
        cv2.polylines(swept, [path.reshape(-1, 1, 2)], False, 1, round(bridge["width_mm"] * PX) + 3)
    return np.where((swept > 0) & (loose == 0), 0, tied).astype(np.uint8)


def compare(name, path, folder):
    done = subprocess.run([build / "speed/tie_cases", "photo", path, folder],
                          capture_output=True, text=True)
    if done.returncode:
        print(f"{name}: {done.stderr.strip()}", file=sys.stderr)
        return None
    ours = json.loads(done.stdout)
    shape = ours["height_px"], ours["width_px"]
    tone = np.fromfile(folder / "tone.raw", np.float32).reshape(shape)
    loose = np.fromfile(folder / "loose.raw", np.uint8).reshape(shape)
    tied = np.fromfile(folder / "tied.raw", np.uint8).reshape(shape)
    want = want_of(tone, ours["cut_line"])
    narrow = np.fromfile(folder / "narrow.raw", np.uint8).reshape(shape)
    bare = without_bridges(narrow, loose, ours["bridges"])
    their_loose, their_tied, n_theirs = usual_way(tone)
    return {"name": name, "pieces": ours["pieces_before"], "bridges": len(ours["bridges"]),
            "must": ours["n_must"], "gap": ours["gap_percent"], "ms": ours["ms"],
            "ours": 1e3 * error(tied, want), "theirs": 1e3 * error(their_tied, want),
            "our_bridges": 1e3 * (error(narrow, want) - error(bare, want)),
            "their_bridges": 1e3 * (error(their_tied, want) - error(their_loose, want)),
            "n_theirs": n_theirs}


def print_table(rows):
    write = lambda line: print(line, file=sys.stderr)  # noqa: E731
    write("\nTie beside the usual way: error of the finished pattern, and what bridges added to it")
    write(f"{'photograph':20} islands bridges must  gap %     error   usual   "
          "bridges   usual")
    for r in rows:
        write(f"{r['name']:20} {r['pieces'] - 1:7} {r['bridges']:7} {r['must']:4} {r['gap']:6.2f} "
              f"{r['ours']:9.2f} {r['theirs']:7.2f} {r['our_bridges']:9.3f} "
              f"{r['their_bridges']:7.3f}")
    tied = [r for r in rows if r["their_bridges"] > 0 and r["n_theirs"]]
    saved = statistics.median(1 - r["our_bridges"] / r["their_bridges"] for r in tied)
    better = sum(r["ours"] < r["theirs"] for r in rows)
    gaps = [r["gap"] for r in rows]
    write(f"better on {better} of {len(rows)}; added error of bridges lower by {100 * saved:.0f} % "
          f"in the median of {len(tied)}")
    edges = [0, 0.01, 1, 3, 5, 100]
    bars = [f"{lo:g} to {hi:g}: {sum(lo <= g < hi for g in gaps)}" for lo, hi in zip(edges, edges[1:])]
    write(f"gap to the proven bound, %: median {statistics.median(gaps):.2f}; " + ", ".join(bars) + "\n")


def time_rooms():
    for n_islands, limit in ((50, 300), (500, 2000)):
        done = subprocess.run([build / "speed/tie_cases", "rooms", str(n_islands)],
                              capture_output=True, text=True, check=True)
        ours = json.loads(done.stdout)
        say(subject="tie", case=f"2000 x 2500, {ours['rooms']} rooms", ms=ours["ms"], others={},
            megapixels=5, limit_ms=limit)


def main():
    time_rooms()
    cache = here.parent / "build/photographs"
    fetched = subprocess.run(["/usr/bin/python3", here.parent / "tests/photographs.py", cache],
                             stdout=subprocess.PIPE, text=True)
    if fetched.returncode:
        print("no photographs to be had; the comparison is left out", file=sys.stderr)
        return
    rows = []
    with tempfile.TemporaryDirectory() as folder:
        for line in fetched.stdout.splitlines():
            name, path = line.split(" ", 1)
            row = compare(name, path, pathlib.Path(folder))
            if row:
                rows.append(row)
                print(f"  {name}", file=sys.stderr)
    print_table(rows)
    out = here.parent / "out"
    out.mkdir(exist_ok=True)
    (out / "tie.json").write_text(json.dumps(rows, indent=1))


os.environ.setdefault("PYTHONDONTWRITEBYTECODE", "1")
main()
