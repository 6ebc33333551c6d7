"""Pieces, distances and openings, beside OpenCV and Leptonica with their memory reused too."""

import ctypes
from ctypes import c_bool, c_double, c_int, c_void_p

import cv2
import numpy as np

import bench
import judged
import leptonica
import masks

lib = judged.lib
lib.tb_labels_free.argtypes = [c_void_p]
cv2.setNumThreads(1)
DIAMETER = 17


def measure(case, mask, turns=9):
    megapixels = mask.size / 1e6
    with judged.mask(mask) as m:
        for threads in (1, 2):
            cv2.setNumThreads(threads)
            job = judged.job(threads)
            measure_each(f"{case}, {threads} thread{'s' * (threads > 1)}", mask, m, job,
                         dict(megapixels=megapixels, turns=turns))


def measure_each(case, mask, m, job, how):
    labels = np.empty(mask.shape, np.int32)
    floats = np.empty(mask.shape, np.float32)
    opened = np.empty(mask.shape, np.uint8)
    bits = leptonica.pix(mask) if leptonica.lib else None
    others = {"OpenCV": lambda: cv2.connectedComponentsWithStats(mask, labels, connectivity=4)}
    if bits:
        others["Leptonica"] = lambda: leptonica.pieces(bits, 4)
    bench.row("pieces of wood", case,
              lambda: lib.tb_labels_free(judged.call("tb_label_wood", m, job)), others, **how)

    precise = {"OpenCV": lambda: cv2.distanceTransform(
        mask, cv2.DIST_L2, cv2.DIST_MASK_PRECISE, floats)}
    bench.row("distance, full", case,
              lambda: lib.tb_free(judged.call("tb_distance_full", m, False, job)), precise, **how)
    bench.row("distance, 20 px", case,
              lambda: lib.tb_free(judged.call("tb_distance_capped", m, 20, False, job)), precise,
              **how)

    kernel = np.zeros((DIAMETER, DIAMETER), np.uint8)
    y, x = np.indices(kernel.shape) - DIAMETER // 2
    kernel[x * x + y * y <= DIAMETER * DIAMETER / 4] = 1
    others = {"OpenCV": lambda: cv2.morphologyEx(mask, cv2.MORPH_OPEN, kernel, opened)}
    if bits:
        target, element = leptonica.pix(mask), leptonica.disc(DIAMETER)
        others["Leptonica"] = lambda: leptonica.open_into(target, bits, element)
    bench.row(f"opening, {DIAMETER} px disc", case, lambda: lib.tb_mask_free(
        judged.call("tb_open_wood", m, DIAMETER / 10, False, job)), others, **how)
    if bits:
        leptonica.free(target)
        leptonica.free(bits)


def main():
    a4 = masks.framed(3508, 2480, 1, 40, 71)
    measure("A4 at 300 dpi", a4)
    measure("50 % noise", masks.noise(2000, 2000, 2), turns=5)
    large = np.tile(masks.framed(3500, 3500, 3, 40, 71), (4, 4))
    with judged.mask(large) as m:
        job = judged.job(2)
        how = dict(megapixels=large.size / 1e6, turns=3)
        case = "14,000 × 14,000, 2 threads"
        bench.row("pieces of wood", case,
                  lambda: lib.tb_labels_free(judged.call("tb_label_wood", m, job)), **how)
        bench.row("distance, 20 px", case,
                  lambda: lib.tb_free(judged.call("tb_distance_capped", m, 20, False, job)), **how)
        bench.row(f"opening, {DIAMETER} px disc", case, lambda: lib.tb_mask_free(
            judged.call("tb_open_wood", m, DIAMETER / 10, False, job)), **how)


main()
