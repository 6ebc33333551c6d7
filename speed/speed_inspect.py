"""The complete inspection of A4 at 300 dpi, beside what OpenCV needs for a few of its parts."""

import json
import subprocess

import cv2
import numpy as np

import bench
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


def main():
    path, mask = patterns.a4(), patterns.a4_mask()
    cv2.setNumThreads(2)
    bench.told("inspection, complete", "A4 at 300 dpi, 2 threads",
               lambda: inspect_ms(path)["inspect"],
               {"OpenCV (pieces, distances, openings alone)": opencv_parts(mask)}, megapixels=8.7,
               limit_ms=120)


main()
