"""Peninsulas of known root, reach and area: once each, and as wide, long and large as drawn.

Shapes are drawn by their exact equations; hair of any course is judged by SciPy's shortest ways
through the pixels and, for its area, by GEOS on the polygon it was drawn from.
"""

import ctypes
import math
from ctypes import POINTER, c_char_p, c_double, c_void_p

import tap

np, sparse, csgraph = tap.needs("numpy", "scipy.sparse", "scipy.sparse.csgraph")
from inspected import inspect

LEFT = 15.0  # the wall that limbs grow from


class Hall:
    """A board with a square hall in it, turned about its middle; shapes of wood are put into it."""

    def __init__(self, turn=0.0, px_per_mm=10.0, size=84):
        n = round(size * px_per_mm)
        y, x = (np.indices((n, n)) + 0.5) / px_per_mm - size / 2
        c, s = math.cos(turn), math.sin(turn)
        self.x, self.y = size / 2 + x * c + y * s, size / 2 + y * c - x * s
        self.px_per_mm, self.turn, self.size = px_per_mm, turn, size
        self.mask = np.ones((n, n), np.uint8)
        self.box(size / 2, size / 2, size - 30, size - 30, tone=0)

    def put(self, where, tone=1):
        self.mask[where] = tone
        return self

    def box(self, x, y, width, height, tone=1):
        return self.put((abs(self.x - x) < width / 2) & (abs(self.y - y) < height / 2), tone)

    def capsule(self, x0, y0, x1, y1, width):
        dx, dy = x1 - x0, y1 - y0
        along = np.clip(((self.x - x0) * dx + (self.y - y0) * dy) / (dx * dx + dy * dy), 0, 1)
        return self.put(np.hypot(self.x - x0 - along * dx, self.y - y0 - along * dy) < width / 2)

    def sector(self, x, y, inner, outer, begin, end):
        r, angle = np.hypot(self.x - x, self.y - y), np.arctan2(self.y - y, self.x - x)
        return self.put((r > inner) & (r < outer) & ((angle - begin) % (2 * math.pi) < end - begin))

    def place(self, x, y):
        """A place of the hall, on the board."""
        c, s, m = math.cos(self.turn), math.sin(self.turn), self.size / 2
        return m + (x - m) * c - (y - m) * s, m + (y - m) * c + (x - m) * s

    def inspect(self, **limits):
        return inspect(self.mask, self.px_per_mm, frame_mm=0.0, **limits)


def near(limb, place, within):
    return math.hypot(limb.x_mm - place[0], limb.y_mm - place[1]) <= within


def only_limb_at(seen, place, within):
    found = [limb for limb in seen.limbs if near(limb, place, within)]
    assert len(found) == 1, (place, [(l.x_mm, l.y_mm, l.root_mm) for l in seen.limbs])
    return found[0]


TURNS = [0, math.pi / 4, *np.random.default_rng(3).uniform(0, 2 * math.pi, 2)]
EVEN = dict(thickness_mm=3.0, strength_along_mpa=30.0, strength_across_mpa=30.0)


@tap.test
def strands_blunt_and_round_are_as_drawn():
    """Of one width: root at the wall, area width × length. The reach keeps to the middle and leads
    into the farthest corner: in a blunt end it goes √2 times half the width there."""
    worst = np.zeros(3)
    for turn in TURNS:
        for width, reach in ((1.2, 17), (2, 40), (4, 42), (9, 42)):
            for blunt in (True, False):
                hall = Hall(turn)
                if blunt:
                    hall.box(LEFT + reach / 2 - 1, 42, reach + 2, width)
                else:
                    hall.capsule(LEFT - 5, 42, LEFT + reach - width / 2, 42, width)
                way = reach + ((math.sqrt(2) - 1) * width / 2 if blunt else 0)
                area = width * reach - (0 if blunt else (1 - math.pi / 4) * width ** 2 / 2)
                seen = hall.inspect(**EVEN)
                assert len(seen.limbs) == 1, (turn, width, blunt, len(seen.limbs))
                limb = only_limb_at(seen, hall.place(LEFT, 42), max(0.6, width / 4))
                worst = np.maximum(worst, [abs(limb.root_mm - width),
                                           abs(limb.reach_mm / way - 1),
                                           abs(limb.area_mm2 / area - 1)])
                stress = 6 * 5 * limb.reach_mm / (limb.root_mm * 9)
                assert math.isclose(limb.stress_mpa, stress, rel_tol=1e-9)
                assert math.isclose(limb.utilisation, stress * 2 / 30, rel_tol=1e-9)
                weak = [f for f in seen.findings if f.kind == "weak_peninsula"]
                assert len(weak) <= 1 and (len(weak) == 1) == (limb.utilisation > 1), (turn, width)
    tap.note(f"worst: root {worst[0]:.3f} mm, reach {worst[1]:.1%}, area {worst[2]:.1%}")
    assert worst[0] <= 0.06
    assert worst[1] <= 0.03
    assert worst[2] <= 0.03


@tap.test
def tapering_limbs_are_found_whatever_their_end():
    """From w0 to w1 over 40 mm, with a round end: of straight sides, so used most at the wall."""
    for turn in TURNS:
        for w0, w1 in ((6, 3), (8, 4), (4, 3), (3, 0.6)):
            hall = Hall(turn)
            u = (hall.x - LEFT) / 40
            hall.put((u > -0.05) & (u < 1) & (abs(hall.y - 42) < (w0 + (w1 - w0) * u) / 2))
            hall.capsule(LEFT + 40, 42, LEFT + 40.01, 42, w1)
            seen = hall.inspect(**EVEN)
            assert len(seen.limbs) == 1, (turn, w0, w1, len(seen.limbs))
            limb = seen.limbs[0]
            wanted = 6 * 5 * (40 + w1 / 2) / (w0 * 9) * 2 / 30
            assert abs(limb.utilisation / wanted - 1) <= 0.06, (turn, w0, limb.utilisation / wanted)
            if w1 > 1:
                assert near(limb, hall.place(LEFT, 42), 4), (turn, w0, w1, limb.x_mm, limb.y_mm)


@tap.test
def curls_are_measured_along_themselves():
    """Sectors of a ring that come back beside their own root: reach is the arc's middle line."""
    for turn in TURNS:
        for r, width, arc in ((10, 2, 5.2), (6, 1.6, 5.0), (14, 3, 5.4)):
            hall = Hall(turn)
            hall.sector(LEFT - 0.5, 42, r - width / 2, r + width / 2, -math.pi / 2 + 0.03,
                        math.pi / 2)
            before = hall.mask.copy()
            # The half ring would be held at both ends: a gap makes two limbs of it.
            hall.put((abs(hall.x - LEFT - r) < width) & (abs(hall.y - 42) < 1.5), 0)
            assert (hall.mask != before).any()
            seen = hall.inspect(**EVEN)
            quarter = r * (math.pi / 2 - 1.5 / r)
            for side in (-1, 1):
                limb = only_limb_at(seen, hall.place(LEFT, 42 + side * r), max(1, width / 2))
                assert abs(limb.reach_mm / quarter - 1) <= 0.08, (turn, r, limb.reach_mm / quarter)
            hall = Hall(turn)
            hall.box(48, LEFT + 8, width, 20)
            hall.sector(48 - r, LEFT + 18, r - width / 2, r + width / 2, 0, arc)
            seen = hall.inspect(**EVEN)
            limb = only_limb_at(seen, hall.place(48, LEFT), 1)
            assert len(seen.limbs) == 1
            reach = 18 + r * arc
            assert abs(limb.reach_mm / reach - 1) <= 0.03, (turn, r, limb.reach_mm / reach)
            assert abs(limb.root_mm - width) <= 0.08
            assert abs(limb.area_mm2 / (width * reach) - 1) <= 0.04


@tap.test
def a_limb_on_a_limb_is_found_as_well_as_what_bears_it():
    """Each that breaks its own limit at its own root, wherever the lesser grows on the greater."""
    for turn in TURNS:
        for at in ((LEFT + 18, 45, 0, 1), (LEFT + 30, 42, 1, 0), (LEFT + 28, 39, 0, -1)):
            x, y, dx, dy = at
            hall = Hall(turn).box(LEFT + 14, 42, 32, 6)
            for width, length in ((1.2, 17), (2, 23)):
                child = Hall(turn)
                child.mask = hall.mask.copy()
                middle = (length - 1) / 2
                child.box(x + dx * middle, y + dy * middle,
                          (length + 1) if dx else width, (length + 1) if dy else width)
                seen = child.inspect(**EVEN)
                assert len(seen.limbs) == 2, (turn, at, width, len(seen.limbs))
                parent = only_limb_at(seen, child.place(LEFT, 42), 1.6)
                limb = only_limb_at(seen, child.place(x, y), 0.8)
                assert abs(limb.root_mm - width) <= 0.06, (turn, limb.root_mm)
                assert abs(parent.root_mm - 6) <= 0.1, (turn, parent.root_mm)
                assert abs(limb.reach_mm / length - 1) <= 0.05, (turn, limb.reach_mm)
                weak = [f for f in seen.findings if f.kind == "weak_peninsula"]
                assert len(weak) == sum(l.utilisation > 1 for l in seen.limbs) == 2


@tap.test
def forks_have_a_root_for_their_stem_and_one_for_each_prong():
    for turn in TURNS:
        hall = Hall(turn).box(LEFT + 14, 42, 30, 5)
        for side in (-1, 1):
            hall.capsule(LEFT + 27, 42, LEFT + 47, 42 + side * 14, 2)
        seen = hall.inspect(**EVEN)
        assert len(seen.limbs) == 3, (turn, len(seen.limbs))
        stem = only_limb_at(seen, hall.place(LEFT, 42), 1)
        assert abs(stem.root_mm - 5) <= 0.1
        assert abs(stem.reach_mm / (27 + math.hypot(20, 14) + 1) - 1) <= 0.04, stem.reach_mm
        for limb in seen.limbs[:2]:
            assert abs(limb.root_mm - 2) <= 0.1, (turn, limb.root_mm)


def hair(dice, width):
    """A wavy strand from the wall: its middle line and its polygon."""
    t = np.linspace(0, 1, 80)
    bend = dice.uniform(-7, 7, 3)
    x = LEFT - 2 + t * dice.uniform(25, 45)
    y = 42 + bend[0] * t + bend[1] * np.sin(2 * t) + bend[2] * np.sin(5 * t) / 2
    dx, dy = np.gradient(x), np.gradient(y)
    w = width * (1 - 0.3 * t) / 2 / np.hypot(dx, dy)
    return np.concatenate([np.stack([x - dy * w, y + dx * w], 1),
                           np.stack([x + dy * w, y - dx * w], 1)[::-1]])


def ways_from(mask, start):
    """Lengths of shortest ways within the wood, in pixels, over sixteen directions (SciPy)."""
    steps = [(0, 1), (1, 0), (1, 1), (1, -1), (1, 2), (2, 1), (1, -2), (2, -1)]
    number = np.full(mask.shape, -1)
    number[mask > 0] = np.arange(int((mask > 0).sum()))
    rows, columns, lengths = [], [], []
    h, w = mask.shape
    for dy, dx in steps:
        here = number[:h - dy, max(-dx, 0):w - max(dx, 0)]
        there = number[dy:, max(dx, 0):w - max(-dx, 0)]
        both = (here >= 0) & (there >= 0)
        rows.append(here[both])
        columns.append(there[both])
        lengths.append(np.full(int(both.sum()), math.hypot(dx, dy)))
    n = int(number.max()) + 1
    graph = sparse.csr_matrix(
        (np.concatenate(lengths), (np.concatenate(rows), np.concatenate(columns))), (n, n))
    return csgraph.dijkstra(graph, False, number[start])


def polygon_mask(ring, size, px_per_mm):
    y, x = (np.indices((size, size)) + 0.5) / px_per_mm
    inside = np.zeros(x.shape, bool)
    for (ax, ay), (bx, by) in zip(ring, np.roll(ring, 1, 0)):
        if ay != by:
            inside ^= ((ay > y) != (by > y)) & (x < (bx - ax) * (y - ay) / (by - ay) + ax)
    return inside


def geos_area(rings):
    """Of what the first ring has in common with the second."""
    try:
        geos = ctypes.CDLL("libgeos_c.so.1")
    except OSError:
        tap.skip("libgeos_c.so.1 is not installed")
    geos.GEOS_init_r.restype = c_void_p
    handle, shapes = geos.GEOS_init_r(), []
    geos.GEOSGeomFromWKT_r.argtypes = [c_void_p, c_char_p]
    geos.GEOSGeomFromWKT_r.restype = c_void_p
    geos.GEOSIntersection_r.argtypes = [c_void_p, c_void_p, c_void_p]
    geos.GEOSIntersection_r.restype = c_void_p
    geos.GEOSArea_r.argtypes = [c_void_p, c_void_p, POINTER(c_double)]
    for ring in rings:
        points = ",".join(f"{x:.6f} {y:.6f}" for x, y in [*ring, ring[0]])
        shapes.append(geos.GEOSGeomFromWKT_r(handle, f"POLYGON(({points}))".encode()))
    area = c_double()
    geos.GEOSArea_r(handle, geos.GEOSIntersection_r(handle, *shapes), ctypes.byref(area))
    return area.value


@tap.test
def hair_of_any_course_agrees_with_scipy_and_geos():
    """Shortest ways hug the bends, the limb's own keeps to the middle: they differ by little."""
    dice, reaches, areas = np.random.default_rng(11), [], []
    for _ in range(12):
        width = dice.uniform(1.6, 4)
        ring = hair(dice, width)
        hall = Hall()
        strand = polygon_mask(ring, hall.mask.shape[0], hall.px_per_mm)
        hall.put(strand)
        seen = hall.inspect(**EVEN)
        assert len(seen.limbs) == 1, len(seen.limbs)
        limb = seen.limbs[0]
        towards = limb.towards_rad
        start = (int(limb.y_mm * 10), int(limb.x_mm * 10))
        behind = (hall.x - limb.x_mm) * math.cos(towards) \
            + (hall.y - limb.y_mm) * math.sin(towards) > -0.05
        ways = ways_from(strand & behind & (hall.x > LEFT - 1), start)
        reaches.append(limb.reach_mm / (ways[np.isfinite(ways)].max() / 10) - 1)
        # What lies beyond the root, cut across the strand there.
        c, s = math.cos(towards), math.sin(towards)
        cut = [(limb.x_mm + a * c - b * s, limb.y_mm + a * s + b * c)
               for a, b in ((0, -90), (90, -90), (90, 90), (0, 90))]
        areas.append(limb.area_mm2 / geos_area([ring, cut]) - 1)
    tap.note(f"reach by SciPy: {min(reaches):+.1%} to {max(reaches):+.1%}; "
             f"area by GEOS: {min(areas):+.1%} to {max(areas):+.1%}")
    assert max(map(abs, reaches)) <= 0.05
    assert max(map(abs, areas)) <= 0.05


tap.run()
