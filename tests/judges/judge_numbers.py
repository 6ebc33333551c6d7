"""Numbers as text, against Python's decimal module (exact arithmetic) and its float()."""

import ctypes
import random
from ctypes import byref, c_char, c_char_p, c_double, c_int
from decimal import ROUND_HALF_UP, Decimal

import tap

tap.needs("numpy")
import judged


class Num(ctypes.Structure):
    _fields_ = [("text", c_char * 48)]


judged.lib.tb_num_fixed.restype = Num
judged.lib.tb_num_fixed.argtypes = [c_double, c_int]
judged.lib.tb_num_read.restype = ctypes.c_bool


def values(n):
    draw = random.Random(20)
    for _ in range(n):
        yield draw.uniform(-1, 1) * 10 ** draw.uniform(-6, 9), draw.randrange(10)


@tap.test
def fixed_decimals_agree_with_exact_arithmetic():
    for value, decimals in values(20000):
        ours = judged.lib.tb_num_fixed(value, decimals).text.decode()
        exact = Decimal(value).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)
        # The last digit may fall either way only where the value lies a rounding error from a half.
        off = abs(Decimal(ours) - Decimal(value)) - Decimal(5).scaleb(-decimals - 1)
        assert Decimal(ours) == exact or off <= abs(Decimal(value)) * Decimal("4e-16"), \
            f"{value!r} at {decimals}: {ours}, not {exact}"


@tap.test
def what_is_read_agrees_with_float():
    for value, _ in values(20000):
        text = repr(value).encode()
        end, ours = c_char_p(), c_double()
        assert judged.lib.tb_num_read(c_char_p(text), byref(end), byref(ours)), text
        assert abs(ours.value - value) <= 1e-15 * abs(value), f"{text}: {ours.value!r}"


tap.run()
