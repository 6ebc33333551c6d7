"""The complete inspection of A4 at 300 dpi, beside what OpenCV and Leptonica need for a few of its
parts."""

import json
import subprocess

import cv2
import numpy as np

import bench
import leptonica
import patterns


def inspect_ms(path):
    """As the report tells it: read and inspect, in milliseconds."""
    done = subprocess.run([bench.TOMBOLO, "check", path, "--json"], stdout=subprocess.PIPE,
                          check=False)
    return json.loads(done.stdout)["timings_ms"]


def opencv_parts(mask):
    """Pieces of both tones, both distances, three openings: with its memory reused."""
    openings = 1 - mask
    labels = np.empty(mask.shape, np.int32)
    floats = np.empty(mask.shape, np.float32)
    opened = np.empty(mask.shape, np.uint8)
    discs = [cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (n, n)) for n in (5, 9, 19)]

    def run():
        for tone, connectivity in ((mask, 4), (openings, 8)):
            cv2.connectedComponentsWithStats(tone, labels, connectivity=connectivity)
            cv2.distanceTransform(tone, cv2.DIST_L2, cv2.DIST_MASK_PRECISE, floats)
        for disc in discs:
            cv2.morphologyEx(mask, cv2.MORPH_OPEN, disc, opened)
    return run


def leptonica_parts(mask):
    """The same, of one bit a pixel; its distances are not exact. One thread: it knows no more."""
    wood, openings, opened = (leptonica.pix(tone) for tone in (mask, 1 - mask, mask))
    discs = [leptonica.disc(n) for n in (5, 9, 19)]

    def run():
        for tone, connectivity in ((wood, 4), (openings, 8)):
            leptonica.pieces(tone, connectivity)
            leptonica.distances(tone)
        for disc in discs:
            leptonica.open_into(opened, wood, disc)
    return run


def main():
    path, mask = patterns.a4(), patterns.a4_mask()
    others = {"OpenCV (pieces, distances, openings alone)": opencv_parts(mask)}
    if leptonica.lib:
        others["Leptonica (the same)"] = leptonica_parts(mask)
    cv2.setNumThreads(2)
    bench.told("inspection, complete", "A4 at 300 dpi, 2 threads",
               lambda: inspect_ms(path)["inspect"],
               others, megapixels=8.7, limit_ms=120)


main()
