"""One more inspection after a stroke; and masks that are ugly, or as large as may be."""

import ctypes
import sys
from ctypes import c_void_p

import cv2
import numpy as np

import bench
import inspected
import judged
import masks

lib = judged.lib
lib.tb_inspector_new.restype = c_void_p
lib.tb_inspector_free.argtypes = [c_void_p]
lib.tb_inspection_free.argtypes = [c_void_p]
A4_300_DPI = 300 / 25.4


def whole(case, mask, px_per_mm, limit_ms=None):
    limits = inspected.Limits(**inspected.DEFAULTS)
    with judged.mask(mask, px_per_mm) as m:
        bench.row("inspection, whole", case, lambda: lib.tb_inspection_free(
            judged.call("tb_inspect", m, ctypes.byref(limits), judged.job(2))),
            megapixels=mask.size / 1e6, limit_ms=limit_ms, turns=3)


def after_stroke(case, mask, px_per_mm, limit_ms):
    limits, dice = inspected.Limits(**inspected.DEFAULTS), np.random.default_rng(3)
    inspector = c_void_p(lib.tb_inspector_new())
    side = int(20 * px_per_mm)
    with judged.mask(mask, px_per_mm) as m:

        def look():
            lib.tb_inspection_free(judged.call("tb_reinspect", inspector, m, ctypes.byref(limits),
                                               judged.job(2)))

        def stroke():
            x, y = (int(dice.integers(80, n - side - 80)) for n in mask.shape[::-1])
            cv2.line(mask, (x + 18, y + 18), (x + side - 18, y + side - 18),
                     int(dice.integers(2)), 30)
            look()

        look()
        bench.row("inspection after a stroke", case, stroke, megapixels=mask.size / 1e6,
                  limit_ms=limit_ms)
    lib.tb_inspector_free(inspector)


def main():
    a4 = masks.framed(3508, 2480, 1, 26, 71)
    after_stroke("A4 at 300 dpi, 20 × 20 mm", a4.copy(), A4_300_DPI, limit_ms=30)
    for name, mask in masks.ugly(3508, 2480).items():
        try:
            whole(f"A4 at 300 dpi, {name}", mask, A4_300_DPI)
        except judged.Failed as refused:
            print(f"{name}: refused ({refused})", file=sys.stderr)
    large = np.tile(masks.framed(3500, 3500, 3, 26, 71), (4, 4))
    whole("14,000 × 14,000", large, 23.6, limit_ms=3000)


main()
