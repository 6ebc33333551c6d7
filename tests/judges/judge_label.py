"""Connected pieces, against OpenCV's connectedComponentsWithStats."""

import ctypes
from ctypes import POINTER, c_bool, c_double, c_int, c_int32, c_int64, c_size_t, c_void_p

import tap

np, cv2 = tap.needs("numpy", "cv2")
import judged
import masks


class Run(ctypes.Structure):
    _fields_ = [(name, c_int32) for name in ("y_px", "x_px", "end_px", "piece")]


class Piece(ctypes.Structure):
    _fields_ = [("area_px", c_int64), ("left_px", c_int32), ("top_px", c_int32),
                ("right_px", c_int32), ("bottom_px", c_int32), ("x_px", c_double),
                ("y_px", c_double), ("first_run", c_int32), ("at_edge", c_bool)]


class Labels(ctypes.Structure):
    _fields_ = [("width_px", c_int), ("height_px", c_int), ("px_per_mm", c_double),
                ("runs", POINTER(Run)), ("n_runs", c_size_t), ("row_runs", POINTER(c_size_t)),
                ("pieces", POINTER(Piece)), ("n_pieces", c_int32)]


judged.lib.tb_labels_paint.argtypes = [c_void_p, POINTER(c_int32)]
judged.lib.tb_labels_paint.restype = None
judged.lib.tb_labels_free.argtypes = [c_void_p]
judged.lib.tb_labels_free.restype = None


def label(function, mask, n_threads=1, more=()):
    """The map of pieces, and a list of their records as tuples."""
    with judged.mask(mask) as m:
        address = judged.call(function, m, *more, judged.job(n_threads))
    labels = ctypes.cast(address, POINTER(Labels)).contents
    picture = np.empty(mask.shape, np.int32)
    judged.lib.tb_labels_paint(address, picture.ctypes.data_as(POINTER(c_int32)))
    pieces = [tuple(getattr(p, name) for name, _ in Piece._fields_)
              for p in labels.pieces[:labels.n_pieces]]
    judged.lib.tb_labels_free(address)
    return picture, pieces


def compare(function, connectivity, ones):
    for name, mask in masks.samples():
        ours, pieces = label(function, mask)
        source = mask if ones else 1 - mask
        n, theirs, stats, middles = cv2.connectedComponentsWithStats(
            source, connectivity=connectivity)
        assert len(pieces) == n - 1, f"{name}: {len(pieces)} pieces, not {n - 1}"
        assert ((ours >= 0) == (source == 1)).all(), name
        # The same partition: each of our pieces is one of theirs, and there are as many.
        pairs = np.unique(np.stack([ours[source == 1], theirs[source == 1]]), axis=1)
        assert pairs.shape[1] == n - 1, name
        for mine, other in pairs.T:
            area, left, top, right, bottom, x, y = pieces[mine][:7]
            s = stats[other]
            assert (left, top, right - left, bottom - top, area) == tuple(s), name
            assert np.allclose((x - 0.5, y - 0.5), middles[other], atol=1e-9), name


@tap.test
def wood_agrees_with_opencv_by_sides():
    compare("tb_label_wood", 4, True)


@tap.test
def openings_agree_with_opencv_by_sides_and_corners():
    compare("tb_label_openings", 8, False)


@tap.test
def pieces_are_numbered_by_their_first_pixel():
    ours, pieces = label("tb_label_wood", masks.noise(120, 150, 5))
    firsts = [np.flatnonzero(ours.ravel() == i)[0] for i in range(len(pieces))]
    assert firsts == sorted(firsts)


@tap.test
def what_a_closing_filled_agrees_with_opencv():
    for name, mask in masks.samples():
        closed = masks.blobs(*mask.shape, 11, 4)
        with judged.mask(closed) as c:
            ours, pieces = label("tb_label_filled", mask, more=[c])
        theirs, _ = cv2.connectedComponents(closed & (1 - mask), connectivity=8)
        assert len(pieces) == theirs - 1, name
        assert ((ours >= 0) == ((closed & (1 - mask)) == 1)).all(), name


@tap.test
def levels_of_a_map_agree_with_opencv():
    heights = (masks.blobs(300, 257, 12, 5) * 7 + masks.noise(300, 257, 13)).astype(np.uint16)
    address = heights.ctypes.data_as(POINTER(ctypes.c_uint16))
    for level in (0, 1, 7, 8, 9):
        ours, pieces = label("tb_label_level", np.zeros((300, 257)),
                             more=[address, ctypes.c_uint16(level)])
        theirs, _ = cv2.connectedComponents((heights == level).astype(np.uint8), connectivity=4)
        assert len(pieces) == theirs - 1 and ((ours >= 0) == (heights == level)).all(), level


@tap.test
def threads_change_nothing():
    for name, mask in masks.ugly(400, 300).items():
        for function in ("tb_label_wood", "tb_label_openings"):
            one, three = label(function, mask, 1), label(function, mask, 3)
            assert (one[0] == three[0]).all() and one[1] == three[1], name


tap.run()
