"""tombolo sheets against poppler, qpdf and a ruler: what comes out of the printer is true to size."""

import json
import os
import re
import subprocess
import tempfile

import tap

np, cv2 = tap.needs("numpy", "cv2")

TOMBOLO = os.environ["TOMBOLO"]
FOLDER = tempfile.TemporaryDirectory()
DPI = 600
MM = DPI / 25.4  # pixels of a rendering in a millimetre

# ISO 216 and the ASME Y14.1 series, millimetres (handbook values; see src/facts/paper.c).
PAPERS = {"a5": (148, 210), "a4": (210, 297), "a3": (297, 420), "a2": (420, 594),
          "letter": (215.9, 279.4), "legal": (215.9, 355.6), "tabloid": (279.4, 431.8)}


def path(name):
    return os.path.join(FOLDER.name, name)


def out(*words, **kw):
    return subprocess.run(words, check=True, capture_output=True, text=True, **kw).stdout


def save(name, mask, px_per_mm):
    """A pattern picture with its density, white wood."""
    cv2.imwrite(path("bare.png"), mask * 255)
    out("convert", path("bare.png"), "-units", "PixelsPerCentimeter", "-density",
        str(px_per_mm * 10), path(name))
    return path(name)


def small():
    """80 × 100 mm with openings that need a page or two of everything."""
    mask = np.ones((1000, 800), np.uint8)
    for row in range(4):
        for column in range(3):
            cv2.circle(mask, (170 + 230 * column, 170 + 220 * row), 40 + 20 * column, 0, -1)
    return save("small.png", mask, 10)


def sheets(pattern, name, *words, env=None):
    out(TOMBOLO, "sheets", pattern, "-o", path(name), "--force", *words,
        env={**os.environ, **(env or {})})
    return path(name)


def page_sizes(pdf):
    """Millimetres, by pdfinfo."""
    found = re.findall(r"Page +\d+ size: +([\d.]+) x ([\d.]+) pts", out("pdfinfo", "-l", "9999", pdf))
    return [(float(w) * 25.4 / 72, float(h) * 25.4 / 72) for w, h in found]


def render(pdf, page, dpi=DPI, box=None):
    """A page, or of it only box: left, top, width and height in whole millimetres."""
    root = path("page")
    crop = [word for flag, mm in zip(("-x", "-y", "-W", "-H"), box or ())
            for word in (flag, str(round(mm * dpi / 25.4)))]
    out("pdftoppm", "-r", str(dpi), "-gray", *crop, "-f", str(page), "-l", str(page),
        "-singlefile", pdf, root)
    return cv2.imread(root + ".pgm", cv2.IMREAD_GRAYSCALE)


def strips(pdf, page, size):
    """Where the bars stand: below and to the left of the pattern, both with the bar along x."""
    w, h = (int(mm) for mm in size)
    yield "x", render(pdf, page, box=(0, h - 30, w, 30))
    yield "y", render(pdf, page, box=(0, 0, 19, h)).T


def runs(line):
    """Dark runs of a line of darkness 0 … 1, their ends to a fraction of a pixel."""
    dark = line > 0.5
    edges = np.flatnonzero(np.diff(np.concatenate([[0], dark.astype(np.int8), [0]])))
    found = []
    for begin, end in edges.reshape(-1, 2):
        # The pixels at the ends are covered in part: what they lack lies outside.
        first = begin + 1 - line[begin] if line[begin] < 0.999 else begin - line[begin - 1] * (begin > 0)
        last = end - 1 + line[end - 1] if line[end - 1] < 0.999 else (
            end + (line[end] if end < len(line) else 0))
        found.append((first, last))
    return found


def bar_lengths(page):
    """Lengths in mm of the longest full lines: the edges of the 100 mm and 4 in bars."""
    found = set()
    darkness = 1 - page.astype(np.float64) / 255
    for line in darkness:
        if line.max() < 0.99 or (line > 0.5).sum() < 95 * MM:
            continue
        for begin, end in runs(line):
            if 99 * MM < end - begin < 103 * MM:
                found.add(round((end - begin) / MM, 3))
    return found


def comb():
    """1 m by 150 mm with slots every 10 mm, told apart by their width."""
    mask = np.ones((1500, 10000), np.uint8)
    slots = []
    for i in range(97):
        begin, width = 200 + 100 * i, 20 + i % 20
        mask[250:1250, begin:begin + width] = 0
        slots.append((begin / 10, (begin + width) / 10))
    return save("comb.png", mask, 10), slots


def slots_on(pdf, page, size):
    """(width, begin, end) of every clean slot, mm on paper, from the middle of the page's pattern."""
    band = render(pdf, page, box=(0, int(size[1] / 2) - 20, int(size[0]), 20))
    darkness = 1 - band.mean(axis=0) / 255
    found = []
    for begin, end in runs(darkness):
        if 1.5 * MM < end - begin < 5 * MM:
            inside = darkness[int(begin) + 2:int(end) - 1]
            outside = np.concatenate([darkness[int(begin) - 9:int(begin) - 2],
                                      darkness[int(end) + 3:int(end) + 9]])
            if inside.min() > 0.995 and outside.max() < 0.005:
                found.append(((end - begin) / MM, begin / MM, end / MM))
    return found


@tap.test
def every_paper_has_its_size():
    pattern = small()
    for name, (w, h) in PAPERS.items():
        sizes = page_sizes(sheets(pattern, "size.pdf", "--paper", name))
        assert sizes, name
        for size in sizes:
            assert np.allclose(sorted(size), sorted((w, h)), atol=0.01), (name, size)
    for w, h in page_sizes(sheets(pattern, "size.pdf", "--paper", "330x483mm")):
        assert np.allclose(sorted((w, h)), (330, 483), atol=0.01)


@tap.test
def bars_measure_true_on_every_page_and_axis():
    pattern, _ = comb()
    for words in (["--paper", "a4"], ["--paper", "letter"], ["--paper", "a5"]):
        pdf = sheets(pattern, "bars.pdf", "--pattern-only", *words)
        sizes = page_sizes(pdf)
        for number in (1, len(sizes)):
            for axis, picture in strips(pdf, number, sizes[number - 1]):
                lengths = bar_lengths(picture)
                for true in (100, 101.6):
                    near = [length for length in lengths if abs(length - true) < 0.5]
                    assert near, (words, number, axis, true, lengths)
                    assert all(abs(length - true) < 0.02 for length in near), (axis, near)


@tap.test
def a_correction_stretches_bars_and_pattern_alike():
    pattern, slots = comb()
    pdf = sheets(pattern, "bars.pdf", "--pattern-only", "--ink", "solid", "--scale-correction", "1.003")
    size = page_sizes(pdf)[0]
    lengths = bar_lengths(next(strips(pdf, 1, size))[1])
    assert any(abs(length - 100.3) < 0.02 for length in lengths), lengths
    found = slots_on(pdf, 1, size)
    between = found[-1][1] - found[0][1]
    assert between > 50 and abs(between - 1.003 * round(between / 1.003, 0)) < 0.02, between


@tap.test
def a_metre_of_tiled_paper_is_a_metre():
    pattern, slots = comb()
    pdf = sheets(pattern, "metre.pdf", "--pattern-only", "--ink", "solid", "--paper", "a4",
                 "--overlap", "20mm")
    place, seen = None, {}
    for number, size in enumerate(page_sizes(pdf), 1):
        found = slots_on(pdf, number, size)
        assert len(found) >= 3, (number, found)
        # The first slot of a page is told by its width, and is one of the page before's last.
        kind = round(found[0][0] * 10) - 20
        first = next(i for i in range(97) if i % 20 == kind and (not seen or i > max(seen) - 3))
        here = {first + round((begin - found[0][1]) / 10): (begin, end) for _, begin, end in found}
        shared = [i for i in here if i in seen]
        assert shared or place is None, "neighbouring pages share no slot"
        # Edges are known to a quarter of a pixel (poppler's own grid), so all of them are used.
        known = {i: seen[i] for i in shared} or {i: slots[i] for i in here}
        place = float(np.mean([known[i][k] - here[i][k] for i in known for k in (0, 1)]))
        seen.update({i: (begin + place, end + place) for i, (begin, end) in here.items()})
    assert len(seen) >= 90, len(seen)
    off = [abs(seen[i][0] - slots[i][0]) for i in seen] + [abs(seen[i][1] - slots[i][1]) for i in seen]
    tap.note(f"{len(seen)} slots over 1 m: at most {max(off):.4f} mm off")
    assert max(off) < 0.02, max(off)


@tap.test
def the_file_says_what_it_is():
    pdf = sheets(small(), "file.pdf", "--title", "Die Mole, früh", "--designer", "I. Varga-Thorne")
    assert "No syntax or stream encoding errors" in out("qpdf", "--check", pdf)
    info = out("pdfinfo", pdf)
    assert re.search(r"Title: +Die Mole, früh\n", info) and re.search(r"Author: +I. Varga-Thorne\n", info)
    assert re.search(r"PDF version: +1\.7", info) and "CreationDate" not in info
    catalogue = out("qpdf", "--qdf", "--object-streams=disable", pdf, "-", errors="replace")
    assert "/PrintScaling /None" in catalogue and re.search(r"/Lang \(en\)", catalogue)


@tap.test
def fonts_are_embedded_and_text_is_text():
    pdf = sheets(small(), "fonts.pdf", "--title", "Anselm at the light")
    rows = out("pdffonts", pdf).splitlines()[2:]
    assert rows
    for row in rows:
        assert re.search(r" yes +yes +yes +\d+ +\d+$", row) or re.search(r" yes +yes +", row), row
    text = out("pdftotext", "-layout", pdf, "-")
    for words in ("Anselm at the light", "80 × 100 mm", "Openings", "100 mm", "4 in", "Cut list",
                  "Print at 100 %", "eye protection"):
        assert words in text, words


@tap.test
def hostile_titles_come_out_as_text():
    pattern = small()
    for title in ("<script>alert(1)</script>", "a & b < c > d", "\"quoted\" and 'quoted'",
                  "line\nbreak\tand \x1b[31mescape", "(paren \\ backslash)", "x" * 4000,
                  "שלום עולם", "مرحبا", "🦉 owl", "\u202egnirts"):
        pdf = sheets(pattern, "title.pdf", "--title", title)
        assert "No syntax" in out("qpdf", "--check", pdf), title
        plain = " ".join(re.sub("[\x00-\x1f\u202e]", " ", title).split())
        info = re.search(r"Title: +(.*)", out("pdfinfo", pdf)).group(1)
        assert " ".join(info.split())[:200] == plain[:200], (plain[:80], info[:80])
        shown = " ".join(out("pdftotext", "-raw", pdf, "-").split())
        # Words behind the title are on their pages, whatever it holds.
        assert len(page_sizes(pdf)) == 3 and "Finished size" in shown and "local law decides" in shown
        if len(plain) < 60 and plain.isascii():
            assert plain in shown, plain


@tap.test
def pictures_and_leftward_letters_are_drawn():
    pattern = small()

    def title(words):
        page = render(sheets(pattern, "drawn.pdf", "--paper", "a4", "--title", words), 1, 100, box=(0, 0, 210, 25))
        return np.argwhere(page < 200)[:, 1] / 100 * 25.4

    # An emoji is a picture of its own, or is left out where no font has it: never a box of digits.
    owl, bare = title("🦉 owl"), title("owl")
    assert owl.min() < 22 and bare.min() < 22 and owl.max() >= bare.max() - 0.3
    leftward = title("שלום עולם")
    assert leftward.size > 100 and leftward.min() > 100 and leftward.max() < 193


@tap.test
def the_same_input_gives_the_same_bytes_in_any_locale():
    pattern = small()
    first = open(sheets(pattern, "one.pdf", env={"LC_ALL": "C.UTF-8"}), "rb").read()
    available = out("locale", "-a").split()
    comma = [name for name in available if re.match(r"(de|fr|nl|es)_", name)]
    for locale in ["C", "C.UTF-8"] + comma[:1]:
        env = {"LC_ALL": locale, "TZ": "Asia/Tokyo"}
        again = open(sheets(pattern, "two.pdf", "--paper", "a4", "--unit", "mm", env=env), "rb").read()
        assert again == first, locale


@tap.test
def inks_cover_what_they_say():
    mask = np.ones((1000, 1000), np.uint8)
    mask[200:800, 200:800] = 0
    pattern = save("square.png", mask, 10)
    shares = {}
    for ink in ("solid", "pale", "line", "hatch"):
        told = json.loads(out(TOMBOLO, "sheets", pattern, "-o", path("ink.pdf"), "--force", "--json",
                              "--pattern-only", "--wood", "light", "--ink", ink))["ink_share"]
        page = render(path("ink.pdf"), 1, 150)
        # The board lies in the middle of the area; its bars and words are left out.
        seen = (1 - page[:1500, 115:].astype(float) / 255).sum() / (100 / 25.4 * 150) ** 2
        shares[ink] = told
        assert abs(told - seen) < 0.02, (ink, told, seen)
    assert abs(shares["solid"] - 0.36) < 0.01
    assert shares["line"] < shares["hatch"] < shares["pale"] < shares["solid"] / 3


@tap.test
def pages_look_as_they_were_found_good():
    """Against pictures that were looked at; TOMBOLO_GOLDEN=generate draws them anew."""
    pdf = sheets(small(), "golden.pdf", "--title", "The keeper", "--designer", "I. Varga-Thorne",
                 "--paper", "a5", "--marks", "none")
    other = sheets(path("small.png"), "other.pdf", "--title", "The keeper", "--paper", "a5",
                   "--ink", "hatch", "--stock", "walnut-6")
    for name, number in (("first", 1), ("pattern", 2), ("cut-list", 3)):
        golden = os.path.join(os.path.dirname(os.path.abspath(__file__)), "golden", name + ".png")
        page = render(pdf, number, 50)
        if os.environ.get("TOMBOLO_GOLDEN") == "generate":
            cv2.imwrite(golden, page)
        assert os.path.getsize(golden) < 40000
        known = cv2.imread(golden, cv2.IMREAD_GRAYSCALE)
        assert known.shape == page.shape, name
        # Another version of a library may shift a hair of grey along edges and letters.
        off = np.abs(known.astype(int) - page)
        assert off.mean() < 0.8 and (off > 60).mean() < 0.004, (name, off.mean())
        if name != "cut-list":
            wrong = np.abs(known.astype(int) - render(other, number, 50))
            assert wrong.mean() > 0.8 or (wrong > 60).mean() > 0.004, (name, wrong.mean())


tap.run()
