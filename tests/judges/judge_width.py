"""Opening, closing and growing by discs, against SciPy's binary morphology."""

from ctypes import c_bool, c_double

import tap

np, cv2, ndimage = tap.needs("numpy", "cv2", "scipy.ndimage")
import judged
import masks


def disc(diameter, even):
    """Offsets of the pixels whose centres lie within diameter / 2 of the disc's centre."""
    reach = int(diameter / 2) + 2
    offsets = np.arange(-reach, reach)
    y, x = np.meshgrid(offsets + (0.5 if even else 0), offsets + (0.5 if even else 0))
    across = np.ceil(diameter * (1 - 1e-9))
    least = ((across - 1) ** 2 + 1) / 4 if even else 0
    inside = x * x + y * y <= max(diameter * diameter / 4 * (1 + 1e-9), least)
    return np.argwhere(inside) - reach


def shifted_all(mask, offsets, outside, centre):
    """For each pixel, whether it is 1 at all offsets from it."""
    reach = np.abs(offsets).max() + 1
    padded = np.pad(mask, reach, constant_values=outside)
    out = np.ones_like(mask)
    for dy, dx in offsets * centre:
        out &= padded[reach + dy:reach + dy + mask.shape[0], reach + dx:reach + dx + mask.shape[1]]
    return out


def open_by(mask, diameter, outside):
    across = int(np.ceil(diameter * (1 - 1e-9)))
    offsets = disc(diameter, across % 2 == 0)
    room = across + 2
    padded = np.pad(mask, room, constant_values=outside)
    centres = shifted_all(padded, offsets, outside, 1)
    opened = 1 - shifted_all(1 - centres, offsets, 0 if outside else 1, -1)
    return opened[room:-room, room:-room]


def ours(function, mask, size_px, *more, n_threads=1, px_per_mm=10.0):
    with judged.mask(mask, px_per_mm) as m:
        out = judged.call(function, m, c_double(size_px / px_per_mm), *more, judged.job(n_threads))
    return judged.take_mask(out)


DIAMETERS = (0, 1, 1.5, 2, 3, 4, 4.4, 5, 8, 12.7, 16)


@tap.test
def opening_agrees_with_its_definition():
    for name, mask in masks.samples():
        for edge in (False, True):
            for diameter in DIAMETERS:
                theirs = open_by(mask, diameter, 0 if edge else 1) if diameter > 1 else mask
                got = ours("tb_open_wood", mask, diameter, c_bool(edge))
                assert (got == theirs).all(), f"{name}, {diameter}, edge {edge}"


@tap.test
def odd_discs_agree_with_opencv_and_scipy():
    mask = masks.framed(500, 700, 8, 12)
    for diameter in (3, 9, 25, 61, 101):
        kernel = np.zeros((diameter, diameter), np.uint8)
        for dy, dx in disc(diameter, False):
            kernel[dy + diameter // 2, dx + diameter // 2] = 1
        got = ours("tb_open_wood", mask, diameter, c_bool(True))
        room = np.pad(mask, diameter)
        theirs = cv2.morphologyEx(room, cv2.MORPH_OPEN, kernel)[diameter:-diameter,
                                                                diameter:-diameter]
        assert (got == theirs).all(), diameter
        if diameter < 30:
            theirs = ndimage.binary_opening(room, kernel)[diameter:-diameter, diameter:-diameter]
            assert (got == theirs).all(), diameter


@tap.test
def closing_is_the_opening_of_the_openings():
    for name, mask in masks.samples():
        for diameter in DIAMETERS[1:]:
            theirs = 1 - open_by(1 - mask, diameter, 0) if diameter > 1 else mask
            assert (ours("tb_close_wood", mask, diameter) == theirs).all(), f"{name}, {diameter}"


@tap.test
def growing_agrees_with_scipy_distance():
    for name, mask in masks.samples():
        for radius in (0, 0.5, 1, 2.3, 7, 40):
            if mask.any():
                theirs = ndimage.distance_transform_edt(1 - mask) <= radius + 1e-6
            else:
                theirs = mask
            assert (ours("tb_grow_wood", mask, radius) == theirs).all(), f"{name}, {radius}"


@tap.test
def the_largest_disc_agrees_with_opencv():
    mask = masks.framed(700, 900, 9, 60, 130)
    kernel = np.zeros((255, 255), np.uint8)
    for dy, dx in disc(255, False):
        kernel[dy + 127, dx + 127] = 1
    room = np.pad(mask, 255)
    eroded = cv2.distanceTransform(room, cv2.DIST_L2, cv2.DIST_MASK_PRECISE) > 127.5
    theirs = cv2.dilate(eroded.astype(np.uint8), kernel)[255:-255, 255:-255]
    assert (ours("tb_open_wood", mask, 255, c_bool(True)) == theirs).all()


@tap.test
def a_strip_survives_exactly_its_own_width():
    for n in range(1, 60):
        mask = np.zeros((n + 40, 300), np.uint8)
        mask[20:20 + n] = 1
        for diameter, survives in ((n, True), (n + 0.01, False), (n - 0.99, True)):
            got = ours("tb_open_wood", mask, diameter, c_bool(False))
            # Discs that stand mostly in the wood outside may still poke into the strip's ends.
            assert (got[20:20 + n, 70:-70] == survives).all(), f"{n}, {diameter}"
            assert not got[:20].any() and not got[20 + n:].any()


@tap.test
def threads_change_nothing():
    mask = masks.framed(700, 500, 10)
    for diameter in (5, 16, 33):
        for function, more in (("tb_open_wood", [c_bool(False)]), ("tb_close_wood", []),
                               ("tb_grow_wood", [])):
            one = ours(function, mask, diameter, *more, n_threads=1)
            assert (one == ours(function, mask, diameter, *more, n_threads=3)).all()


@tap.test
def sizes_out_of_limits_are_refused():
    for size in (-1, 256, float("nan"), float("inf")):
        try:
            ours("tb_open_wood", np.ones((5, 5), np.uint8), size, c_bool(True))
        except judged.Failed as failure:
            assert failure.status == -1
        else:
            raise AssertionError(f"{size} was taken")


tap.run()
