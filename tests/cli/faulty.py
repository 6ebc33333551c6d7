"""A board with one of each fault, drawn by hand from discs and straight sides.

Every shape is a signed distance in millimetres, so the board can be drawn at any resolution, askew
or with soft edges, and nothing is resampled; every fault's place and number follow from the shapes'
own measures. Nothing here comes from the code that is judged.
"""

import functools
import math
from collections import namedtuple

import numpy as np

WIDTH_MM, HEIGHT_MM = 192.0, 102.0
CHOICES = ["--stock", "birch-ply-4", "--blade", "2/0"]

# The sheet is 3.6 mm thick and bears 65.9 MPa along its outer grain (upright here), 10.6 MPa across;
# a peninsula is loaded with 5 N and has to bear twice that. Blade 2/0 is 0.010 in thick, its kerf
# 0.07 mm wider, its bit a No. 69 of 0.0292 in, its turn twice its width of 0.022 in. (Handbook of
# Finnish Plywood, and generic blades: both from memory. ASME B94.11M for the bit.)
THICK_MM, ALONG_MPA, ACROSS_MPA, LOAD_N, SAFETY = 3.6, 65.9, 10.6, 5, 2
KERF_MM, DRILL_MM, TURN_MM = 0.010 * 25.4 + 0.07, 0.0292 * 25.4, 2 * 0.022 * 25.4


def disc(x, y, r):
    return lambda px, py: np.hypot(px - x, py - y) - r, (x - r, y - r, x + r, y + r)


def polygon(*corners):
    """A convex one, its corners clockwise. Off its corners this is no distance, but right in sign."""
    sides = []
    for (x0, y0), (x1, y1) in zip(corners, corners[1:] + corners[:1]):
        length = math.hypot(x1 - x0, y1 - y0)
        sides.append((x0, y0, (y1 - y0) / length, (x0 - x1) / length))

    def away(px, py):
        return functools.reduce(np.maximum, [(px - x) * nx + (py - y) * ny
                                             for x, y, nx, ny in sides])

    xs, ys = zip(*corners)
    return away, (min(xs), min(ys), max(xs), max(ys))


def turned(x, y, degrees, *corners):
    """A polygon about (x, y), turned clockwise."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return polygon(*((x + u * c - v * s, y + u * s + v * c) for u, v in corners))


def bar(x, y, length, width, degrees=0):
    """(x, y) is the middle of its near end."""
    w = width / 2
    return turned(x, y, degrees, (0, -w), (length, -w), (length, w), (0, w))


def spear(x, y, length, width, degrees):
    """A bar that ends in a point."""
    w = width / 2
    return turned(x, y, degrees, (0, -w), (length - w, -w), (length, 0), (length - w, w), (0, w))


def rhombus(x, y, half_w, half_h):
    return polygon((x - half_w, y), (x, y - half_h), (x + half_w, y), (x, y + half_h))


def rhombus_about(x, y, half_w, r):
    """The rhombus of this half width that a disc of radius r fits in."""
    return rhombus(x, y, half_w, r * half_w / math.sqrt(half_w ** 2 - r ** 2))


def eye(x, y, r, degrees):
    """What two discs share; one of radius r fits in."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    big = 8
    lid = big - r
    half = math.sqrt(big ** 2 - lid ** 2)

    def away(px, py):
        dx, dy = px - x, py - y
        return np.hypot(dx * c + dy * s, np.abs(dy * c - dx * s) + lid) - big

    return away, (x - half, y - half, x + half, y + half)


SAW, LEAVE = "saw", "leave"  # what lies in a shape: opening, or wood again

# along: degrees of the line on which the place may lie, `spread` mm to either side. slack: in mm, where
# the shape tells its place no better.
Found = namedtuple("Found", "kind severity x y number unit limit spread along slack",
                   defaults=(0, 0, 0))
Fault = namedtuple("Fault", "name wrong right found")  # shapes with the fault and without


def island(x, y):
    hole = [(SAW, disc(x, y, 9))]
    return Fault("island", hole + [(LEAVE, disc(x + 2, y - 1, 3))], hole,
                 Found("island", "must", x + 2, y - 1, math.pi * 9, "mm²", 0))


def bridge(name, x, y, gap, degrees, radii):
    """Two round openings and what is left between them."""
    dx, dy = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))

    def pair(apart):
        a, b = radii[0] + apart / 2, radii[1] + apart / 2
        return [(SAW, disc(x - a * dx, y - a * dy, radii[0])),
                (SAW, disc(x + b * dx, y + b * dy, radii[1]))]

    must = gap < 1.6
    return Fault(name, pair(gap), pair(3.2),
                 Found("thin_bridge", "must" if must else "should", x, y, gap, "mm",
                       1.6 if must else 2.5))


def straight_bridge(x, y):
    hole = (SAW, disc(x, y, 9))
    c, s = 10 * math.cos(math.radians(15)), 10 * math.sin(math.radians(15))
    return Fault("straight bridge", [hole, (LEAVE, bar(x - c, y - s, 20, 1.9, 15))], [hole],
                 Found("thin_bridge", "should", x, y, 1.9, "mm", 2.5, 9, 15))


def ring(x, y):
    """A ring that hangs from above, thinnest below, for its hole lies too low."""
    def hung(low, r):
        return [(SAW, disc(x, y, 10.5)), (LEAVE, disc(x, y, 6)), (LEAVE, bar(x, y - 12, 8, 6, 90)),
                (SAW, disc(x, y + low, r))]

    # 0.35 mm along it, the ring is 0.005 mm wider.
    return Fault("ring", hung(1.7, 3), hung(0, 3),
                 Found("thin_bridge", "must", x, y + 5.35, 1.3, "mm", 1.6, slack=0.35))


def peninsula(name, x, y, degrees, width, reach, short, rounded):
    """A strip that comes to a point, or has a round end, from the rim of a round opening inwards."""
    rim, towards = 11, math.radians(degrees)
    root = -math.sqrt(rim ** 2 - width ** 2 / 4)  # along the strip, from the middle
    c, s = math.cos(towards), math.sin(towards)

    def strip(length):
        if rounded:
            end = root + length - width / 2
            hangs = [(LEAVE, bar(x - 12 * c, y - 12 * s, 12 + end, width, degrees)),
                     (LEAVE, disc(x + end * c, y + end * s, width / 2))]
        else:
            hangs = [(LEAVE, spear(x - 12 * c, y - 12 * s, 12 + root + length, width, degrees))]
        return [(SAW, disc(x, y, rim))] + hangs

    to_grain = towards - math.pi / 2
    strength = ALONG_MPA * ACROSS_MPA / (ALONG_MPA * math.sin(to_grain) ** 2 +
                                         ACROSS_MPA * math.cos(to_grain) ** 2)
    share = 6 * LOAD_N * reach / (width * THICK_MM ** 2) * SAFETY / strength
    must = share > SAFETY
    return Fault(name, strip(reach), strip(short),
                 Found("weak_peninsula", "must" if must else "should",
                       x + root * c, y + root * s, share, "",
                       SAFETY if must else 1))


def tight(x, y):
    r = 0.5
    return Fault("tight opening", [(SAW, rhombus_about(x, y, 3, r))],
                 [(SAW, rhombus_about(x, y, 3, 1.2))],
                 Found("tight_opening", "must", x, y, 2 * r, "mm", DRILL_MM + 0.5))


def crowded(x, y):
    """Room for the bit and half a millimetre, but not for 0.3 mm on either side."""
    r = 0.617
    return Fault("crowded hole", [(SAW, eye(x, y, r, 25))], [(SAW, eye(x, y, 1.2, 25))],
                 Found("crowded_hole", "must", x, y, r - DRILL_MM / 2, "mm", 0.3))


def slot(name, x, y, gap, degrees):
    """A round opening, closed from both sides by discs of wood up to a gap."""
    dx, dy = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))

    def waist(gap):
        a = 8 + gap / 2
        return [(SAW, disc(x, y, 8))] + [(LEAVE, disc(x + k * a * dx, y + k * a * dy, 8))
                                         for k in (-1, 1)]

    must = gap < KERF_MM
    return Fault(name, waist(gap), waist(2.4),
                 Found("narrow_slot", "must" if must else "should", x, y, gap, "mm",
                       KERF_MM if must else 2 * KERF_MM))


def turn(x, y):
    """A finger with a round end, too narrow for the blade to turn in. It is as tight all round."""
    def finger(r):
        return [(SAW, disc(x - 4, y, 6)), (SAW, bar(x, y, 8, 2 * r)), (SAW, disc(x + 8, y, r))]

    return Fault("tight turn", finger(0.8), finger(1.6),
                 Found("tight_turn", "should", x + 8.8, y, 0.8, "mm", TURN_MM, slack=0.6))


def frame_above(x, width):
    return Fault("thin frame", [(SAW, disc(x, width + 6, 6))], [(SAW, disc(x, 13, 6))],
                 Found("thin_frame", "should", x, width / 2, width, "mm", 6))


def frame_right(y, width):
    x = WIDTH_MM - 6
    return Fault("weak frame", [(SAW, disc(x - width, y, 6))], [(SAW, disc(x - 7, y, 6))],
                 Found("thin_frame", "must", WIDTH_MM - width / 2, y, width, "mm", 1.6))


def speck_of_wood(x, y):
    hole = [(SAW, disc(x, y, 7))]
    return Fault("speck of wood", hole + [(LEAVE, disc(x - 1, y + 1, 0.6))], hole,
                 Found("speck", "should", x - 1, y + 1, math.pi * 0.36, "mm²", 2))


def speck_of_opening(x, y):
    return Fault("speck of an opening", [(SAW, disc(x, y, 0.7))], [],
                 Found("speck", "should", x, y, math.pi * 0.49, "mm²", 2))


COLUMNS, ROWS = [6 + 15 + 30 * k for k in range(6)], [21, 51, 81]
A, B, C, D, E, F = COLUMNS

FAULTS = [
    island(A, 21), bridge("thin bridge", B, 21, 1.2, 30, (6, 6)),
    bridge("fair bridge", C, 21, 2.1, 77, (5, 7)), ring(D, 21), frame_above(E, 4.2),
    straight_bridge(F, 21),
    peninsula("long peninsula", A, 51, 0, 3, 18, 5, True),
    peninsula("weak peninsula", B, 51, 45, 2.8, 15, 5, False),
    tight(C, 51), crowded(D, 51), speck_of_opening(E, 51), frame_right(51, 1.2),
    slot("slot", A, 81, 0.2, 0), slot("fair slot", B, 81, 0.5, 70), turn(C, 81),
    speck_of_wood(D, 81),
]
SOUND = [(SAW, rhombus(E, 81, 8, 6))]  # an opening with nothing wrong, and four two-pass corners


def wood_mm(px_per_mm, without=None, margin_mm=0, turn_deg=0):
    """How deep in wood the middles of the pixels lie, in mm; below 0 is opening or paper."""
    width = round((WIDTH_MM + 2 * margin_mm) * px_per_mm)
    height = round((HEIGHT_MM + 2 * margin_mm) * px_per_mm)
    x = ((np.arange(width, dtype=np.float32) + 0.5) / np.float32(px_per_mm))[None, :]
    y = ((np.arange(height, dtype=np.float32) + 0.5) / np.float32(px_per_mm))[:, None]
    shapes = SOUND + [shape for fault in FAULTS
                      for shape in (fault.right if fault.name == without else fault.wrong)]
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    mid_x, mid_y = WIDTH_MM / 2 + margin_mm, HEIGHT_MM / 2 + margin_mm

    def on_board(x, y):
        """The picture stands turned clockwise about its middle."""
        dx, dy = x - mid_x, y - mid_y
        return c * dx + s * dy + WIDTH_MM / 2, c * dy - s * dx + HEIGHT_MM / 2

    if margin_mm:
        u, v = on_board(x, y)
        deep = np.minimum(WIDTH_MM / 2 - np.abs(u - WIDTH_MM / 2),
                          HEIGHT_MM / 2 - np.abs(v - HEIGHT_MM / 2)).astype(np.float32)
    else:
        deep = np.full((height, width), 99, np.float32)
    for what, (away, (left, top, right, bottom)) in shapes:
        u, v = (left + right - WIDTH_MM) / 2, (top + bottom - HEIGHT_MM) / 2
        at_x, at_y = mid_x + c * u - s * v, mid_y + s * u + c * v
        reach = math.hypot(right - left, bottom - top) / 2 + 1
        if turn_deg == 0:
            box = (left - 1 + margin_mm, top - 1 + margin_mm, right + 1 + margin_mm,
                   bottom + 1 + margin_mm)
        else:
            box = (at_x - reach, at_y - reach, at_x + reach, at_y + reach)
        x0, y0, x1, y1 = (max(0, round(v * px_per_mm)) for v in box)
        u, v = on_board(x[:, x0:x1], y[y0:y1])
        here, d = deep[y0:y1, x0:x1], away(u, v)
        if what == SAW:
            np.minimum(here, d, out=here)
        else:
            np.maximum(here, -d, out=here)
    return deep


def sheet_mm(px_per_mm, paper_mm, beside_mm, turn_deg=0):
    """How deep in a sheet of paper the middles of the pixels lie; the board lies in its middle, with
    paper_mm around, as wood_mm() has it for a margin of paper_mm + beside_mm."""
    margin = paper_mm + beside_mm
    x = (np.arange(round((WIDTH_MM + 2 * margin) * px_per_mm)) + 0.5) / px_per_mm - margin - WIDTH_MM / 2
    y = (np.arange(round((HEIGHT_MM + 2 * margin) * px_per_mm)) + 0.5) / px_per_mm - margin - HEIGHT_MM / 2
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    x, y = x[None, :].astype(np.float32), y[:, None].astype(np.float32)
    return np.minimum(WIDTH_MM / 2 + paper_mm - np.abs(c * x + s * y),
                      HEIGHT_MM / 2 + paper_mm - np.abs(c * y - s * x))


def crisp(deep, wood=0, opening=255):
    return np.where(deep > 0, wood, opening).astype(np.uint8)


def soft(deep, px_per_mm, wood=0, opening=255):
    """Each pixel as grey as wood covers it, a straight side assumed."""
    share = np.clip(deep * px_per_mm + 0.5, 0, 1)
    return (opening + share * (wood - opening)).round().astype(np.uint8)
