"""What is needed of Leptonica, through ctypes; None where it isn't installed."""

import ctypes
import ctypes.util
from ctypes import POINTER, byref, c_int, c_uint32, c_void_p

import numpy as np

_name = ctypes.util.find_library("lept") or ctypes.util.find_library("leptonica")
lib = ctypes.CDLL(_name) if _name else None

if lib:
    for _function in ("pixCreate", "pixOpen", "pixConnCompBB", "pixDistanceFunction",
                      "selCreateFromPix", "pixCreateHeader"):
        getattr(lib, _function).restype = c_void_p
    lib.pixGetData.restype = POINTER(c_uint32)


def pix(mask):
    """A picture of one bit a pixel."""
    height, width = mask.shape
    made = c_void_p(lib.pixCreate(c_int(width), c_int(height), c_int(1)))
    words = lib.pixGetWpl(made)
    padded = np.zeros((height, words * 32), np.uint8)
    padded[:, :width] = mask
    packed = np.packbits(padded, axis=1).view(">u4").astype(np.uint32)
    ctypes.memmove(lib.pixGetData(made), packed.ctypes.data, packed.nbytes)
    return made


def free(made):
    lib.pixDestroy(byref(made))


def disc(diameter):
    """A structuring element."""
    reach = diameter // 2
    y, x = np.indices((diameter, diameter)) - reach
    kernel = (x * x + y * y <= diameter * diameter / 4).astype(np.uint8)
    made = pix(kernel)
    element = c_void_p(lib.selCreateFromPix(made, c_int(reach), c_int(reach), b"disc"))
    free(made)
    return element


def open_into(to, from_, element):
    lib.pixOpen(to, from_, element)


def distances(made):
    """To the line, in steps over sides and corners; Leptonica has no exact ones. 16 bits a pixel;
    it gives new memory each time."""
    far = c_void_p(lib.pixDistanceFunction(made, c_int(8), c_int(16), c_int(1)))
    free(far)


def pieces(made, connectivity):
    boxes = c_void_p(lib.pixConnCompBB(made, c_int(connectivity)))
    lib.boxaDestroy(byref(boxes))
