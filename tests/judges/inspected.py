"""tb_inspect, called from Python: inspect(array, px_per_mm, n_threads, **limits) -> Inspection."""

import ctypes
from ctypes import POINTER, Structure, c_char, c_char_p, c_double, c_int, c_size_t, c_void_p
from types import SimpleNamespace

import judged


def _fields(*groups):
    return [(name, kind) for kind, names in groups for name in names.split()]


class Limits(Structure):
    _fields_ = _fields((c_double, """bridge_must_mm bridge_should_mm kerf_mm slot_must_kerfs
        slot_should_kerfs drill_mm drill_room_mm hole_clear_mm turn_radius_mm frame_mm speck_mm2
        thickness_mm strength_along_mpa strength_across_mpa grain_rad safety load_n
        bridge_across_mm split_kerf_mm"""))


DEFAULTS = dict(zip((name for name, _ in Limits._fields_),
                    (1.6, 2.5, 0.33, 1, 2, 1.0, 0.5, 0.3, 1.1, 6, 2, 6.4, 50.9, 29.0,
                     1.5707963267948966, 2, 5, 0, 0)))


class Point(Structure):
    _fields_ = _fields((c_double, "x_mm y_mm"))


class Finding(Structure):
    _fields_ = [("kind", c_int), ("severity", c_int), ("x_mm", c_double), ("y_mm", c_double),
                ("measured", c_double), ("limit", c_double), ("unit", c_char_p),
                ("extent", POINTER(Point)), ("n_extent", c_size_t), ("advice", c_char * 160)]


class Opening(Structure):
    _fields_ = _fields((c_double, """area_mm2 x_mm y_mm disc_mm cut_length_mm left_mm top_mm
        right_mm bottom_mm"""), (c_int, "n_corners"))


class Hole(Structure):
    _fields_ = _fields((c_double, "x_mm y_mm drill_mm"), (c_int, "opening"))


class Corner(Structure):
    _fields_ = _fields((c_double, "x_mm y_mm turn_rad"), (c_int, "opening"))


class Limb(Structure):
    _fields_ = _fields((c_double, """x_mm y_mm root_mm reach_mm towards_rad area_mm2 grain_rad
        stress_mpa strength_mpa utilisation"""))


class Native(Structure):
    _fields_ = [("n_pieces", c_int), ("n_must", c_int), ("n_should", c_int),
                ("narrowest_wood_mm", c_double), ("narrowest_opening_mm", c_double),
                ("cut_length_mm", c_double),
                ("findings", POINTER(Finding)), ("n_findings", c_size_t),
                ("openings", POINTER(Opening)), ("n_openings", c_size_t),
                ("holes", POINTER(Hole)), ("n_holes", c_size_t),
                ("corners", POINTER(Corner)), ("n_corners", c_size_t),
                ("limbs", POINTER(Limb)), ("n_limbs", c_size_t)]


class Verdict(Structure):
    _fields_ = [("text", c_char * 200)]


judged.lib.tb_finding_kind_name.restype = c_char_p
judged.lib.tb_verdict_of.restype = Verdict
judged.lib.tb_verdict_of.argtypes = [c_void_p]
judged.lib.tb_inspection_free.argtypes = [c_void_p]
judged.lib.tb_inspection_free.restype = None


def _plain(structure):
    return SimpleNamespace(**{name: getattr(structure, name) for name, _ in structure._fields_})


def _finding(native):
    finding = _plain(native)
    finding.kind = judged.lib.tb_finding_kind_name(native.kind).decode()
    finding.severity = ("should", "must")[native.severity]
    finding.unit = native.unit.decode()
    finding.advice = native.advice.decode()
    finding.extent = [(p.x_mm, p.y_mm) for p in native.extent[:native.n_extent]]
    return finding


def plain(address):
    """A tb_inspection as Python values; frees it."""
    native = ctypes.cast(address, POINTER(Native)).contents
    result = _plain(native)
    result.findings = [_finding(f) for f in native.findings[:native.n_findings]]
    for name in ("openings", "holes", "corners", "limbs"):
        setattr(result, name, [_plain(item) for item in
                               getattr(native, name)[:getattr(native, "n_" + name)]])
    result.verdict = judged.lib.tb_verdict_of(address).text.decode()
    judged.lib.tb_inspection_free(address)
    return result


def inspect(array, px_per_mm=10.0, n_threads=1, **limits):
    with judged.mask(array, px_per_mm) as mask:
        native = Limits(**{**DEFAULTS, **limits})
        return plain(judged.call("tb_inspect", mask, ctypes.byref(native), judged.job(n_threads)))
