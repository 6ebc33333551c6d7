"""Squared distances, against SciPy's exact Euclidean distance transform, and against OpenCV's."""

from ctypes import c_bool, c_int, c_int32, c_uint16

import tap

np, cv2, ndimage = tap.needs("numpy", "cv2", "scipy.ndimage")
import judged
import masks

INT32_MAX = 2**31 - 1


def full(mask, edge, n_threads=1):
    with judged.mask(mask) as m:
        out = judged.call("tb_distance_full", m, c_bool(edge), judged.job(n_threads))
    return judged.take_array(out, c_int32, mask.shape)


def capped(mask, cap, edge, n_threads=1):
    with judged.mask(mask) as m:
        out = judged.call("tb_distance_capped", m, c_int(cap), c_bool(edge), judged.job(n_threads))
    return judged.take_array(out, c_uint16, mask.shape)


def scipy_squares(mask, edge):
    padded = np.pad(mask, 1) if edge else mask
    if padded.all():
        return np.full(mask.shape, INT32_MAX, np.int64)
    y, x = ndimage.distance_transform_edt(padded, return_distances=False, return_indices=True)
    rows, columns = np.indices(padded.shape)
    squares = (rows - y) ** 2 + (columns - x) ** 2
    return squares[1:-1, 1:-1] if edge else squares


@tap.test
def full_distance_agrees_with_scipy():
    for name, mask in masks.samples():
        for edge in (False, True):
            assert (full(mask, edge) == scipy_squares(mask, edge)).all(), f"{name}, edge {edge}"


@tap.test
def capped_distance_is_the_full_one_cut_off():
    for name, mask in masks.samples():
        for edge in (False, True):
            squares = scipy_squares(mask, edge)
            for cap in (1, 2, 7, 20, 127, 128, 255):
                ours = capped(mask, cap, edge)
                assert (ours == np.minimum(squares, cap * cap)).all(), f"{name}, {edge}, {cap}"


@tap.test
def openings_have_their_own_distance():
    for name, mask in masks.samples():
        theirs = np.minimum(scipy_squares(1 - mask, True), 400)
        with judged.mask(mask) as m:
            out = judged.call("tb_distance_in_openings", m, c_int(20), judged.job(1))
        assert (judged.take_array(out, c_uint16, mask.shape) == theirs).all(), name


@tap.test
def large_pictures_agree_with_opencv():
    mask = masks.framed(900, 1100, 6, 25)
    theirs = cv2.distanceTransform(mask, cv2.DIST_L2, cv2.DIST_MASK_PRECISE).astype(np.float64)
    ours = full(mask, False)
    # OpenCV gives roots in float32: seven digits.
    assert np.allclose(np.sqrt(ours), theirs, rtol=1e-6)
    assert (capped(mask, 30, False) == np.minimum(ours, 900)).all()


@tap.test
def threads_change_nothing():
    mask = masks.framed(700, 500, 7)
    assert (full(mask, True, 1) == full(mask, True, 3)).all()
    assert (capped(mask, 20, True, 1) == capped(mask, 20, True, 3)).all()
    assert (capped(mask, 200, True, 1) == capped(mask, 200, True, 3)).all()


tap.run()
