#!/usr/bin/python3
"""tombolo check on a board with one of each fault: each is named once, where it is, with its number.

The board is drawn by faulty.py. It is shown as a scan, a print or a picture might show it, and with
every fault mended in turn, which must take its own finding away and leave all others as they are.
"""

import json
import math
import os
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "judges"))
import tap  # noqa: E402

np, pil = tap.needs("numpy", "PIL.Image")
from PIL import Image  # noqa: E402
import faulty  # noqa: E402

TOMBOLO = os.environ["TOMBOLO"]
FOLDER = tempfile.TemporaryDirectory(prefix="tombolo-faults-")

NEAR_MM = 0.15  # how far a place may lie off


def save(name, picture, dpi, **how):
    path = os.path.join(FOLDER.name, name)
    Image.fromarray(picture).save(path, dpi=(dpi, dpi), **how)
    return path


def check(*words):
    """What it says of each file, by the file's name."""
    done = subprocess.run([TOMBOLO, "check", "--json", *faulty.CHOICES, *words],
                          capture_output=True, text=True, timeout=120,
                          env={**os.environ, "LC_ALL": "C.UTF-8"})
    assert done.returncode == 1, (done.returncode, done.stderr)
    reports = [json.loads(line) for line in done.stdout.splitlines()]
    return {os.path.basename(r["file"]): r for r in reports}


def off_mm(fault, found):
    """From where it should be; a straight bridge is as narrow anywhere along it."""
    along = math.radians(fault.along)
    dx, dy = found["x_mm"] - fault.x, found["y_mm"] - fault.y
    ahead = max(abs(dx * math.cos(along) + dy * math.sin(along)) - fault.spread, 0)
    return math.hypot(ahead, dy * math.cos(along) - dx * math.sin(along))


def allowed(fault, length_mm, lever):
    """How far its number may be off, in its own unit: a length, a disc by its radius, or a share."""
    if fault.unit == "mm":
        return length_mm
    if fault.unit == "mm²":
        return 2 * length_mm * math.sqrt(math.pi * fault.number)
    return lever * fault.number


def judge(report, name, length_mm, near_mm, lever, without=None):
    """Every fault is found once, and nothing else."""
    left, worst, farthest = list(report["findings"]), 0, 0
    for fault in faulty.FAULTS:
        if fault.name == without:
            continue
        wanted = fault.found
        same = [f for f in left if f["kind"] == wanted.kind and
                off_mm(wanted, f) <= near_mm + wanted.slack]
        assert len(same) == 1, (name, fault.name, wanted, same, left)
        found = same[0]
        left.remove(found)
        assert found["severity"] == wanted.severity, (name, fault.name, found)
        error = abs(found["measured"] - wanted.number)
        assert error <= allowed(wanted, length_mm, lever), (name, fault.name, wanted.number, found)
        assert abs(found["limit"] - wanted.limit) < 0.001, (name, fault.name, found)
        assert found["unit"] == wanted.unit, (name, fault.name, found)
        if wanted.unit == "mm":
            worst = max(worst, error)
        farthest = max(farthest, off_mm(wanted, found) - wanted.slack)
    assert not left, (name, "found besides", left)
    tap.note(f"{name}: lengths within {worst:.3f} mm, places within {farthest:.2f} mm")


def drawn(dpi, **how):
    px_per_mm = dpi / 25.4
    return faulty.soft(faulty.wood_mm(px_per_mm, **how), px_per_mm)


def with_bar(sheet):
    """Between the board and the foot of the sheet, 100 mm long."""
    barred = sheet.copy()
    barred[-80:-64, 200:200 + round(100 * 300 / 25.4)] = 0
    return barred


def toned(picture, wood, opening):
    return (wood + picture.astype(np.float32) / 255 * (opening - wood)).round().astype(np.uint8)


@tap.test
def each_fault_is_named_once_in_its_place_with_its_number():
    deep = faulty.wood_mm(600 / 25.4)
    files = [save("600.png", faulty.crisp(deep), 600, compress_level=1),
             save("300.png", drawn(300), 300), save("150.png", drawn(150), 150)]
    found = check("--wood", "dark", *files)
    judge(found["600.png"], "600 dpi", 0.05, NEAR_MM, 0.05)
    judge(found["300.png"], "300 dpi", 25.4 / 300, NEAR_MM, 0.08)
    judge(found["150.png"], "150 dpi, soft", 25.4 / 300, 1, 0.1)


@tap.test
def however_the_board_is_shown():
    board, sheet = drawn(300), drawn(300, margin_mm=12)
    shown = [save("jpeg.jpg", board, 300, quality=85),
             save("white wood.png", 255 - board, 300),
             save("pale openings.png", toned(board, 255, 205), 300),
             save("pale openings.jpg", toned(board, 255, 205), 300, quality=85),
             save("margin.png", sheet, 300),
             save("pale wood.png", toned(sheet, 205, 255), 300),
             save("scale bar.png", with_bar(sheet), 300),
             save("askew.png", drawn(300, margin_mm=12, turn_deg=2), 300),
             save("askew.jpg", drawn(300, margin_mm=12, turn_deg=-1.3), 300, quality=85)]
    for name, report in check(*shown).items():
        judge(report, name, 0.1, 0.3, 0.1)


@tap.test
def in_a_grainy_scan():
    # 0.04 mm decide between a crowded hole and a tight opening: a scan can't tell that.
    sheet = drawn(300, margin_mm=12, turn_deg=0.8, without="crowded hole")
    grain = np.random.default_rng(5).normal(0, 5, sheet.shape)
    picture = np.clip(toned(sheet, 40, 235) + grain, 0, 255).astype(np.uint8)
    report = check(save("scan.jpg", picture, 300, quality=85))["scan.jpg"]
    judge(report, "scan.jpg", 0.12, 0.3, 0.1, without="crowded hole")


def banded(picture, sides, tone=0, mm=8):
    """With a dark band at some of its sides: left, top, right, bottom."""
    px = round(mm * 300 / 25.4)
    left, top, right, bottom = (px if side in sides else 0 for side in "ltrb")
    return np.pad(picture, ((top, bottom), (left, right)), constant_values=tone)


def wedged(picture, tone=0, mm=(1, 9)):
    """With a dark wedge at its right side and another at its foot."""
    height, width = picture.shape
    y, x = np.indices(picture.shape)
    first, more = mm[0] * 300 / 25.4, (mm[1] - mm[0]) * 300 / 25.4
    dark = (x > width - first - more * y / height) | (y > height - first - more * x / width)
    return np.where(dark, tone, picture).astype(np.uint8)


def on_bed(turn_deg, bed, wood, paper):
    """A sheet with 12 mm of paper around the board, and 15 mm of the scanner's bed around that."""
    picture = toned(drawn(300, margin_mm=27, turn_deg=turn_deg), wood, paper)
    edge = faulty.soft(faulty.sheet_mm(300 / 25.4, 12, 15, turn_deg), 300 / 25.4, 0, 255)
    return (picture + edge.astype(np.float32) / 255 * (bed - picture)).round().astype(np.uint8)


@tap.test
def on_a_sheet_that_lies_in_the_dark():
    sheet = drawn(300, margin_mm=12)
    shown = [save(f"band {sides}.png", banded(sheet, sides), 300) for sides in ("r", "tb", "ltb", "ltrb")]
    shown += [save("wedges.png", wedged(sheet), 300),
              save("pale band.png", banded(toned(sheet, 200, 255), "ltrb"), 300),
              save("bed.png", on_bed(0, 0, 0, 255), 300),
              save("bed askew.png", on_bed(1.5, 20, 50, 240), 300),
              save("bed askew.jpg", on_bed(-4, 70, 30, 235), 300, quality=85),
              save("grey.jpg", banded(toned(sheet, 35, 235), "ltrb", 185), 300, quality=85),
             save("white board.png", banded(255 - drawn(300), "rb"), 300)]
    for name, report in check(*shown).items():
        judge(report, name, 0.1, 0.3, 0.1)


@tap.test
def paper_in_shadow_is_no_dark_beside_it():
    board = toned(drawn(300), 240, 30).astype(np.float32)
    light = np.linspace(0.45, 1, board.shape[1])[None, :]
    grain = np.random.default_rng(3).normal(0, 3, board.shape)
    picture = np.clip(board * light + grain, 0, 255).astype(np.uint8)
    judge(check(save("lamp.jpg", picture, 300, quality=85))["lamp.jpg"], "lamp.jpg", 0.1, 0.35, 0.1)


@tap.test
def wood_that_runs_to_the_pictures_edge_is_no_dark_beside_it():
    """A frame with a loose disc in it, and boards with round or cut corners, keep their size and faults."""
    px_per_mm = 300 / 25.4
    x, y = ((np.arange(n * px_per_mm) + 0.5) / px_per_mm for n in (90, 110))
    x, y = x[None, :] - 45, y[:, None] - 55
    opening = np.minimum(37 - abs(x), 47 - abs(y))
    frame = faulty.soft(np.maximum(-opening, 20 - np.hypot(x, y - 10)), px_per_mm)
    report = check("--wood", "dark", save("frame.png", frame, 300))["frame.png"]
    islands = [f for f in report["findings"] if f["kind"] == "island"]
    assert len(islands) == 1 and abs(islands[0]["measured"] / (400 * math.pi) - 1) < 0.01, islands
    assert np.allclose(report["size_mm"], (90, 110), atol=0.1), report["size_mm"]
    board = drawn(300)
    v, u = (np.abs((np.arange(n) + 0.5) / px_per_mm - n / px_per_mm / 2) for n in board.shape)
    u, v = u[None, :] - faulty.WIDTH_MM / 2, v[:, None] - faulty.HEIGHT_MM / 2
    corners = {"round": np.hypot(np.maximum(u + 5, 0), np.maximum(v + 5, 0)) - 5, "cut": u + v + 8}
    shown = [save(f"{name}.png", np.where(deep > 0, 0, 255 - board).astype(np.uint8), 300)
             for name, deep in corners.items()]
    for name, report in check(*shown).items():
        judge(report, name, 25.4 / 300, NEAR_MM, 0.08)


@tap.test
def what_is_clear_is_told_from_light_wood():
    board, sheet = drawn(300), drawn(300, margin_mm=12)
    opaque = np.zeros_like(sheet)
    px = round(12 * 300 / 25.4)
    opaque[px:px + board.shape[0], px:px + board.shape[1]] = 255

    def clear(name, colours, alpha):
        planes = [np.full_like(alpha, c) if np.isscalar(c) else c for c in colours]
        return save(name, np.dstack([*planes, alpha]), 300)

    shown = [clear("white.png", (255, 255, 255), 255 - board), clear("grey.png", (255,), 255 - board),
             clear("cream.tif", (250, 240, 215), 255 - board), clear("black.png", (0, 0, 0), 255 - board),
             clear("clear margin.png", (255, 255, 255), 255 - sheet),
             clear("white board.png", (255 - sheet,) * 3, opaque),
             clear("black board.png", (sheet,) * 3, opaque)]
    for name, report in check(*shown).items():
        judge(report, name, 0.1, 0.3, 0.1)


def photographed(cv2, tilts_deg, turn_deg, away_mm, beside_mm=0):
    """The sheet as a pinhole camera sees it from so far away: tilted about both axes and turned, 12 px/mm
    in its middle. Drawn at 600 dpi; OpenCV maps it."""
    sheet = toned(drawn(600, margin_mm=12), 40, 235)
    height, width = sheet.shape
    a, b, c = (math.radians(v) for v in (*tilts_deg, turn_deg))
    turn = (np.array([[1, 0, 0], [0, math.cos(a), -math.sin(a)], [0, math.sin(a), math.cos(a)]]) @
            np.array([[math.cos(b), 0, math.sin(b)], [0, 1, 0], [-math.sin(b), 0, math.cos(b)]]) @
            np.array([[math.cos(c), -math.sin(c), 0], [math.sin(c), math.cos(c), 0], [0, 0, 1]]))
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]])
    place = np.column_stack([(corners - (width / 2, height / 2)) * 25.4 / 600, np.zeros(4)]) @ turn.T
    seen = place[:, :2] / (place[:, 2:] + away_mm) * away_mm * 12
    # With nothing beside the sheet, its own paper fills the picture.
    first = seen.min(0) - 12 * beside_mm if beside_mm else np.sort(seen, 0)[1]
    last = seen.max(0) + 12 * beside_mm if beside_mm else np.sort(seen, 0)[2]
    view = cv2.getPerspectiveTransform((corners - 0.5).astype(np.float32),
                                       (seen - first - 0.5).astype(np.float32))
    picture = cv2.warpPerspective(sheet, view, tuple(int(v) for v in last - first), flags=cv2.INTER_LINEAR,
                                  borderValue=60).astype(np.float32)
    grain = np.random.default_rng(1).normal(0, 3, picture.shape)
    return np.clip(picture + grain, 0, 255).astype(np.uint8)


@tap.test
def taken_at_an_angle_it_is_set_square_or_refused():
    cv2 = tap.needs("cv2")
    # As in a scan, a crowded hole can't be told from a tight opening. In grain the place of a root slides
    # along its straight strip.
    wanted = {"5.jpg": ((5, 0), 0, 400), "15.jpg": ((15, 0), 0, 400), "near.jpg": ((0, 15), 0, 250, 10),
              "table.jpg": ((9, 9), -3, 400, 15)}
    for name, how in wanted.items():
        path = save(name, photographed(cv2, *how), 72, quality=90)
        report = check("--width", "192mm", "--height", "102mm", path)[name]
        report["findings"] = [f for f in report["findings"] if abs(f["x_mm"] - 111) > 1 or abs(f["y_mm"] - 51) > 1]
        judge(report, name, 0.15, 0.5, 0.1, without="crowded hole")
        assert "taken at an angle: give both" in refused(path, 2, "--width", "192mm"), name


def refused(path, status, *words):
    done = subprocess.run([TOMBOLO, "check", *words, path], capture_output=True, text=True, timeout=120,
                          env={**os.environ, "LC_ALL": "C.UTF-8"})
    assert done.returncode == status and not done.stdout and done.stderr.count("\n") == 1, (path, done)
    return done.stderr


@tap.test
def where_wood_cant_be_told_it_asks():
    """A shape on paper, or loose ones, may be wood or openings; one that has openings is wood."""
    px_per_mm = 300 / 25.4
    x, y = ((np.arange(n * px_per_mm) + 0.5) / px_per_mm - n / 2 for n in (100, 120))
    x, y = x[None, :], y[:, None]
    head, eyes = np.hypot(x, y / 1.3) - 32, np.minimum(np.hypot(x - 11, y + 5), np.hypot(x + 11, y + 5)) - 5
    loose = np.minimum(np.maximum(head, -eyes), np.hypot(x - 40, y - 48) - 8)
    shapes = {"shape": head, "loose": loose, "face": np.maximum(head, -eyes)}
    files = {name: save(f"{name}.png", faulty.soft(-deep, px_per_mm), 300) for name, deep in shapes.items()}
    for name in ("shape", "loose"):
        assert "--wood dark or --wood light" in refused(files[name], 2), name
    for words, width in (((), 64), (("--wood", "dark"), 64), (("--wood", "light"), 100)):
        done = subprocess.run([TOMBOLO, "check", "--json", *words, files["face"]], capture_output=True, text=True)
        report = json.loads(done.stdout)
        assert abs(report["size_mm"][0] - width) < 0.2, (words, report["size_mm"])
        assert len([f for f in report["findings"] if f["kind"] == "island"]) == (2 if width == 100 else 0)


@tap.test
def two_patterns_on_a_sheet_are_refused():
    sheet = drawn(300, margin_mm=12)
    dark = banded(sheet, "ltrb")
    for name, both in (("beside", np.hstack([sheet, sheet])), ("light", 255 - np.vstack([sheet, sheet])),
                       ("in the dark", np.hstack([dark, dark]))):
        assert "two patterns" in refused(save(f"{name}.png", both, 300), 3), name


@tap.test
def a_fault_that_is_mended_takes_its_finding_with_it_and_no_other():
    names = {f"{i}.png": fault.name for i, fault in enumerate(faulty.FAULTS)}
    files = [save(name, drawn(300, without=fault), 300, compress_level=1)
             for name, fault in names.items()]
    everything = check("--wood", "dark", save("all.png", drawn(300), 300))["all.png"]["findings"]
    for name, report in check("--wood", "dark", *files).items():
        wanted = next(f.found for f in faulty.FAULTS if f.name == names[name])
        gone = [f for f in everything if f not in report["findings"]]
        new = [f for f in report["findings"] if f not in everything]
        assert not new, (names[name], "found instead", new)
        assert [f["kind"] for f in gone] == [wanted.kind], (names[name], gone)
        assert off_mm(wanted, gone[0]) < NEAR_MM + wanted.slack, (names[name], gone)


@tap.test
def a_mend_is_tried_for_every_fault():
    """Of each it is told what is measured then, which is within the limit, or why it is not offered."""
    report = check("--wood", "dark", "--mends", save("mends.png", drawn(300), 300))["mends.png"]
    n_offered = 0
    for found in report["findings"]:
        assert found["mends"], found
        for mend in found["mends"]:
            assert mend["offered"] == ("reason" not in mend) == ("changed_mm2" in mend), mend
            n_offered += mend["offered"]
            if "then" not in mend:
                continue
            if found["unit"] == "mm":
                assert mend["then"] > found["limit"] - NEAR_MM, (found, mend)
            else:
                assert mend["then"] <= found["limit"], (found, mend)
    assert n_offered > len(report["findings"]) / 2, report["findings"]
    both = subprocess.run([TOMBOLO, "check", "--mends", "a.png", "b.png"], capture_output=True, text=True)
    assert both.returncode == 2 and "--mends: give one pattern" in both.stderr, both


tap.run()
