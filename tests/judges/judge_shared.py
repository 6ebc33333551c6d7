"""tombolo share against other decoders: size, pieces, density, and nothing of the photograph."""

import hashlib
import json
import os
import re
import shutil
import subprocess
import tempfile
import xml.etree.ElementTree as xml

import tap

np, cv2 = tap.needs("numpy", "cv2")

TOMBOLO = os.environ["TOMBOLO"]
FOLDER = tempfile.TemporaryDirectory()
CREDIT = "Photograph: <A & \"B\"> 'C'"


def path(name):
    return os.path.join(FOLDER.name, name)


def out(*words):
    return subprocess.run(words, check=True, capture_output=True, text=True).stdout


def pattern():
    """100 × 80 mm: a ring of wood tied in an opening, discs, a wavy slot; with its density."""
    y, x = np.mgrid[0:800, 0:1000] / 10.0 + 0.05
    mask = np.ones((800, 1000), np.uint8)
    d = np.hypot(x - 35, y - 40)
    mask[d < 22] = 0
    mask[(d < 14) & (d > 8)] = 1
    mask[(np.abs(y - 40) < 1.5) & (x > 10) & (x < 60)] = 1
    mask[np.abs(x - 80 - 4 * np.sin(y / 6)) < 3 * ((y > 12) & (y < 68))] = 0
    cv2.imwrite(path("bare.png"), mask * 255)
    out("convert", path("bare.png"), "-units", "PixelsPerCentimeter", "-density", "100",
        path("pattern.png"))
    return mask


MASK = pattern()


def share(name, *words):
    told = json.loads(out(TOMBOLO, "share", path("pattern.png"), "-o", path(name), "--force",
                          "--json", *words))
    return path(name), told


def agreement(picture):
    """Share of pixels that are as in the pattern, edges of a pixel left out."""
    height = round(picture.shape[1] * MASK.shape[0] / MASK.shape[1])
    seen = (picture[:height] > 127).astype(np.uint8)
    true = cv2.resize(MASK * 255, (picture.shape[1], height), interpolation=cv2.INTER_AREA)
    sure = (true < 40) | (true > 215)
    return (seen == (true > 127))[sure].mean()


@tap.test
def jpeg_holds_the_pattern_and_nothing_else():
    name, told = share("a.jpg", "--credit", CREDIT)
    picture = cv2.imread(name, cv2.IMREAD_GRAYSCALE)
    assert picture.shape == (told["height_px"], told["width_px"]) and max(picture.shape) == 1600
    assert told["quality"] == 85 and told["bytes"] == os.path.getsize(name)
    assert agreement(picture) > 0.999
    tags = json.loads(out("exiftool", "-j", "-a", "-G1", name))[0]
    groups = {tag.split(":")[0] for tag in tags if ":" in tag}
    assert groups <= {"ExifTool", "System", "File", "JFIF", "Composite"}, groups
    assert "Progressive" in tags["File:EncodingProcess"] and tags["File:ColorComponents"] == 3
    per_inch = 2.54 if tags["JFIF:ResolutionUnit"] == "cm" else 1
    assert abs(tags["JFIF:XResolution"] * per_inch / (1600 / 100 * 25.4) - 1) < 0.004


@tap.test
def the_credit_stands_below_and_not_over():
    plain = cv2.imread(share("b.png", "--longest", "1000")[0], cv2.IMREAD_GRAYSCALE)
    name, told = share("c.png", "--credit", CREDIT, "--longest", "1000")
    credited = cv2.imread(name, cv2.IMREAD_GRAYSCALE)
    height = round(credited.shape[1] * 0.8)
    assert plain.shape == (800, 1000) and credited.shape[0] > height + 10
    strip = credited[height + 2:]
    assert strip.min() < 128 and (strip > 250).mean() > 0.5
    assert agreement(credited) > 0.999 and agreement(plain) > 0.999


@tap.test
def a_cap_is_kept_by_quality_then_by_size():
    _, free = share("d.jpg")
    cap = free["bytes"] * 8 // 10000
    name, told = share("d.jpg", "--max-kb", str(cap))
    assert os.path.getsize(name) <= cap * 1000
    assert told["quality"] < 85 and told["width_px"] == free["width_px"]
    name, told = share("d.jpg", "--max-kb", "12")
    assert os.path.getsize(name) <= 12000 and told["width_px"] < free["width_px"]
    name, told = share("d.png", "--max-kb", "15")
    assert os.path.getsize(name) <= 15000 and told["quality"] == 0


@tap.test
def svg_is_true_in_size_and_text():
    name, _ = share("e.svg", "--credit", CREDIT, "--title", "<script>alert('&')</script>")
    tree = xml.parse(name).getroot()
    space = "{http://www.w3.org/2000/svg}"
    assert tree.get("width") == "100mm" and tree.get("viewBox").startswith("0 0 100 ")
    assert tree.find(space + "title").text == "<script>alert('&')</script>"
    assert [g.get("id") for g in tree.findall(space + "g")] == ["outline", "entry-holes", "labels"]
    assert tree.find(space + "text").text == CREDIT
    assert not list(tree.iter(space + "script"))


@tap.test
def svg_looks_like_the_pattern_to_librsvg():
    name, _ = share("f.svg")
    # 254 dpi is 10 pixels to the millimetre.
    out("rsvg-convert", "-d", "254", "-p", "254", "-b", "white", name, "-o", path("f.png"))
    picture = cv2.imread(path("f.png"), cv2.IMREAD_GRAYSCALE)
    assert picture.shape == MASK.shape, picture.shape
    # Entry holes and their numbers lie over it.
    different = ((picture > 127) != MASK).mean()
    assert different < 0.02, different


HOSTILE = ("<script>alert(1)</script>", "]]>&amp;<!--", "\"a\" 'b' & c", "two\nlines\tand \x1b[31mred", "W" * 4000,
           "שלום עולם", "🦉 owl", "\u202egnirts", "/) (paren \\ slash")


def plain(text):
    """What is left of a title: one line, without what turns or controls."""
    return " ".join(re.sub("[\x00-\x1f\x7f\u202e]", " ", text).split())


@tap.test
def hostile_words_come_out_as_words():
    space = "{http://www.w3.org/2000/svg}"
    for words in HOSTILE:
        name, _ = share("w.svg", "--title", words, "--credit", words)
        tree = xml.parse(name).getroot()
        title, credit = tree.find(space + "title").text, tree.find(space + "text").text
        assert " ".join(title.split()) == plain(words), (words[:40], title[:80])
        assert " ".join(credit.split()).rstrip("…") == plain(words)[:300], (words[:40], credit[:80])
        assert {element.tag for element in tree.iter()} <= {
            space + tag for tag in ("svg", "title", "desc", "g", "path", "text", "circle", "rect")}
        name, _ = share("w.pdf", "--title", words, "--credit", words)
        assert "No syntax" in out("qpdf", "--check", name)
        info = re.search(r"Title: +(.*)", out("pdfinfo", name)).group(1)
        assert " ".join(info.split())[:200] == plain(words)[:200], (words[:40], info[:80])
        share("w.jpg", "--title", words, "--credit", words)


def browse(url, picture, scale):
    """What Chromium shows of it, at scale pixels to the CSS pixel, which is 1/96 in."""
    quiet = ["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--hide-scrollbars",
             "--disable-background-networking", "--disable-component-update", "--disable-sync"]
    out("chromium", *quiet, "--user-data-dir=" + path("profile"), f"--force-device-scale-factor={scale}",
        "--window-size=500,400", "--screenshot=" + path(picture), url)
    return cv2.imread(path(picture), cv2.IMREAD_GRAYSCALE)


@tap.test
def svg_opens_in_a_browser_at_its_size():
    if not shutil.which("chromium"):
        tap.skip("no Chromium on this machine")
    name, _ = share("g.svg")
    seen = browse("file://" + name, "g.png", 2)
    out("rsvg-convert", "-d", "192", "-p", "192", "-b", "white", name, "-o", path("h.png"))
    other = cv2.imread(path("h.png"), cv2.IMREAD_GRAYSCALE)
    # 100 × 80 mm at 192 dpi.
    assert abs(other.shape[1] - 100 / 25.4 * 192) <= 1 and abs(other.shape[0] - 80 / 25.4 * 192) <= 1
    h, w = other.shape
    assert seen[h + 2:].min() == 255 and seen[:, w + 2:].min() == 255
    # Edges differ by how they are smoothed, and digits by how they are hinted.
    different = (np.abs(seen[:h, :w].astype(int) - other) > 100).mean()
    assert different < 0.001, different


@tap.test
def pdf_is_one_page_true_to_size():
    name, _ = share("h.pdf", "--credit", CREDIT)
    info = out("pdfinfo", name)
    w, h = map(float, re.search(r"Page size: +([\d.]+) x ([\d.]+)", info).groups())
    assert "Pages:           1" in info and abs(w * 25.4 / 72 - 120) < 0.01
    out("pdftoppm", "-r", "254", "-gray", "-singlefile", name, path("h"))
    picture = cv2.imread(path("h.pgm"), cv2.IMREAD_GRAYSCALE)[100:900, 100:1100]
    assert ((picture > 127) != MASK).mean() < 0.01
    assert CREDIT in out("pdftotext", "-raw", name, "-")


@tap.test
def the_pattern_given_is_left_as_it_was():
    digest = hashlib.sha256(open(path("pattern.png"), "rb").read()).hexdigest()
    share("i.jpg")
    refused = subprocess.run([TOMBOLO, "share", path("pattern.png"), "-o", path("pattern.png"),
                              "--force"], capture_output=True, text=True)
    assert refused.returncode == 2 and "itself" in refused.stderr
    again = subprocess.run([TOMBOLO, "share", path("pattern.png"), "-o", path("i.jpg")],
                           capture_output=True, text=True)
    assert again.returncode == 4
    assert hashlib.sha256(open(path("pattern.png"), "rb").read()).hexdigest() == digest


tap.run()
