"""The core, called from Python.

judged.lib is the loaded library. Masks and planes go in and out as numpy arrays:

    with judged.mask(array, px_per_mm=10) as m:            # tb_mask * of an array of 0 and 1
        out = judged.call("tb_open_wood", m, c_double(1.6), False, None)   # first result, a pointer
        opened = judged.take_mask(out)                     # copied, and the tb_mask freed

call() adds the pointer for the first output and the tb_error, and raises Failed on a bad status.
"""

import contextlib
import ctypes
import os
from ctypes import POINTER, c_char, c_double, c_float, c_int, c_uint8, c_void_p

import numpy as np

lib = ctypes.CDLL(os.environ["TOMBOLO_JUDGED"])


class Error(ctypes.Structure):
    _fields_ = [("code", c_int), ("text", c_char * 240)]


class Mask(ctypes.Structure):
    _fields_ = [("width_px", c_int), ("height_px", c_int), ("px_per_mm", c_double),
                ("px", POINTER(c_uint8))]


class Plane(ctypes.Structure):
    _fields_ = [("width_px", c_int), ("height_px", c_int), ("px_per_mm", c_double),
                ("px", POINTER(c_float))]


class Job(ctypes.Structure):
    _fields_ = [("n_threads", c_int), ("stop", c_void_p), ("progress_cb", c_void_p),
                ("payload", c_void_p)]


class Failed(Exception):
    def __init__(self, status, text):
        super().__init__(f"{status}: {text}")
        self.status = status


for _name in ("tb_free", "tb_mask_free", "tb_plane_free"):
    getattr(lib, _name).argtypes = [c_void_p]
    getattr(lib, _name).restype = None


def job(n_threads):
    return ctypes.byref(Job(n_threads, None, None, None))


def call(name, *arguments, out=c_void_p):
    """Calls lib.name(&result, *arguments, &error) and returns result.

    Python floats go as double, True and False as bool, ints as int, None as NULL.
    """
    result, error = out(), Error()
    native = [c_double(a) if isinstance(a, float) else a for a in arguments]
    status = getattr(lib, name)(ctypes.byref(result), *native, ctypes.byref(error))
    if status != 0:
        raise Failed(status, error.text.decode())
    return result if out is c_void_p or not hasattr(result, "value") else result.value


@contextlib.contextmanager
def _picture(kind, dtype, element, array, px_per_mm):
    pixels = np.ascontiguousarray(array, dtype=dtype)
    height, width = pixels.shape
    yield ctypes.byref(
        kind(width, height, px_per_mm, pixels.ctypes.data_as(POINTER(element))))


def mask(array, px_per_mm=10.0):
    """A tb_mask * that borrows the array: not 0 = wood. Holds within the with block."""
    return _picture(Mask, np.uint8, c_uint8, np.asarray(array) != 0, px_per_mm)


def plane(array, px_per_mm=10.0):
    """A tb_plane * that borrows the array."""
    return _picture(Plane, np.float32, c_float, array, px_per_mm)


def _take(kind, free, address):
    picture = ctypes.cast(address, POINTER(kind)).contents
    shape = (picture.height_px, picture.width_px)
    copy = np.ctypeslib.as_array(picture.px, shape).copy()
    free(address)
    return copy


def take_mask(address):
    return _take(Mask, lib.tb_mask_free, address)


def take_plane(address):
    return _take(Plane, lib.tb_plane_free, address)


def take_array(address, element, shape):
    """An array that the core gave to be freed by tb_free(), copied and freed."""
    copy = np.ctypeslib.as_array(ctypes.cast(address, POINTER(element)), shape).copy()
    lib.tb_free(address)
    return copy
