#!/usr/bin/python3
"""The command line from outside: what it writes, what it refuses, and how it says so.

Whatever is wrong with what it is given: one line on stderr that names it, the right exit status,
no file and no part of one left behind, and never a crash. Run in a build with sanitizers this also
shows that they find nothing.
"""

import json
import os
import re
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "judges"))
import tap  # noqa: E402

np, jsonschema, pil = tap.needs("numpy", "jsonschema", "PIL.Image")
from PIL import Image, ImageDraw, ImageFilter  # noqa: E402

TOMBOLO = os.environ["TOMBOLO"]
SOURCE = os.environ["TOMBOLO_SOURCE"]
FOLDER = tempfile.TemporaryDirectory(prefix="tombolo-cli-")
FILES = ["pattern.png", "pattern.svg", "preview.png", "project.tombolo", "report.json",
         "share.jpg", "sheets.pdf"]


def at(name):
    return os.path.join(FOLDER.name, name)


def run(*words, env=None, limit=None, **more):
    def before():
        if limit:
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))

    clean = {**os.environ, "LC_ALL": "C.UTF-8", **(env or {})}
    return subprocess.run([TOMBOLO, *words], capture_output=True, text=True, env=clean,
                          preexec_fn=before, timeout=120, **more)


def one_line(done, status, *words):
    """Refused with this status, in one line that holds these words."""
    assert done.returncode == status, (done.args, done.returncode, done.stderr)
    assert re.fullmatch(r"tombolo: [^\n]+\n", done.stderr), (done.args, done.stderr)
    for word in words:
        assert word in done.stderr, (done.args, word, done.stderr)


def nothing_at(path):
    assert not os.path.exists(path), os.listdir(path)


def portrait(width, height):
    """A head on a wall: enough light and dark for a pattern."""
    big = Image.new("L", (width, height), 205)
    draw = ImageDraw.Draw(big)
    w, h = width, height
    draw.ellipse((w * .2, h * .1, w * .8, h * .75), fill=40)
    draw.ellipse((w * .27, h * .22, w * .75, h * .8), fill=225)
    for x in (.38, .6):
        draw.ellipse((w * x, h * .42, w * (x + .09), h * .46), fill=30)
    draw.polygon([(w * .5, h * .45), (w * .46, h * .6), (w * .54, h * .6)], fill=120)
    draw.chord((w * .4, h * .58, w * .62, h * .7), 20, 160, fill=50)
    draw.polygon([(w * .1, h), (w * .35, h * .8), (w * .65, h * .8), (w * .9, h)], fill=35)
    return big.filter(ImageFilter.GaussianBlur(w / 150)).convert("RGB")


def write_pictures():
    portrait(480, 600).save(at("portrait.jpg"), quality=92)
    with open(at("portrait.jpg"), "rb") as f:
        jpeg = f.read()
    noise = np.random.default_rng(3).integers(0, 256, (300, 240, 3), np.uint8)
    Image.fromarray(noise).save(at("noise.png"))
    with open(at("noise.png"), "rb") as f:
        png = f.read()
    for name, data in (("empty.jpg", b""), ("text.jpg", b"Dear Ilka, here is your picture.\n"),
                       ("cut.jpg", jpeg[:len(jpeg) // 2]), ("cut.png", png[:len(png) // 2]),
                       ("huge.png", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + b"\0\0\xea\x60" * 2
                        + b"\x08\0\0\0\0\xa6\x1d\x14\x8c")):
        with open(at(name), "wb") as f:
            f.write(data)
    Image.new("RGB", (1, 1), "grey").save(at("dot.png"))
    Image.new("RGB", (400, 500), "white").save(at("white.png"))
    Image.new("RGB", (400, 500), "black").save(at("black.png"))
    pattern = Image.new("L", (1000, 800), 255)
    draw = ImageDraw.Draw(pattern)
    draw.rectangle((100, 100, 400, 400), fill=0)
    draw.rectangle((406, 100, 700, 400), fill=0)  # leaves a bridge 5 pixels wide
    pattern.save(at("pattern.png"), dpi=(254, 254))  # 10 px/mm
    draw.rectangle((401, 100, 405, 400), fill=0)
    pattern.save(at("sound.png"), dpi=(254, 254))
    pattern.save(at("no-size.png"))
    for name, wide in (("split.png", 18), ("grain.png", 24)):
        bridged = Image.new("L", (1000, 800), 255)
        draw = ImageDraw.Draw(bridged)
        draw.rectangle((100, 100, 399, 179), fill=0)
        draw.rectangle((400 + wide, 100, 700, 179), fill=0)
        bridged.save(at(name), dpi=(254, 254))


write_pictures()

UNREADABLE = [("missing.jpg", "no such file"), (".", "folder"), ("empty.jpg", "empty"),
              ("text.jpg", "no JPEG, PNG, TIFF, WebP or HEIC"), ("cut.jpg", "damaged or cut off"),
              ("cut.png", "damaged or cut off"), ("huge.png", ""), ("dot.png", "too few")]


@tap.test
def unreadable_photographs_are_refused():
    for name, words in UNREADABLE:
        one_line(run("make", at(name), "-o", at("out")), 3, words, at(name))
        nothing_at(at("out"))


@tap.test
def unreadable_patterns_are_refused():
    for name, words in UNREADABLE:
        one_line(run("check", at(name), "--width", "100mm"), 3, words, at(name))


@tap.test
def photographs_without_light_and_dark_give_no_pattern():
    for name in ("white.png", "black.png"):
        one_line(run("make", at(name), "-o", at("out"), "--width", "80mm"), 1)
        nothing_at(at("out"))


@tap.test
def pure_noise_gives_a_whole_set_or_nothing():
    done = run("make", at("noise.png"), "-o", at("noise"), "--width", "60mm")
    assert done.returncode in (0, 1), (done.returncode, done.stderr)
    if os.path.exists(at("noise")):
        assert sorted(os.listdir(at("noise"))) == FILES
        with open(at("noise/report.json"), encoding="utf-8") as f:
            must = [x for x in json.load(f)["findings"] if x["severity"] == "must"]
        assert bool(must) == (done.returncode == 1), "a failing pattern says so"


@tap.test
def sizes_that_make_no_sense_are_wrong_usage():
    for verb in (["make", at("portrait.jpg"), "-o", at("out")], ["check", at("sound.png")]):
        for option in ("--width", "--height"):
            for size in ("0", "-5", "1e9", "NaN", "inf", "8 1/0in", "", "wide", "0mm", "5 parsecs"):
                one_line(run(*verb, option, size), 2, option)
    one_line(run("make", at("portrait.jpg"), "-o", at("out"), "--width", "90m"), 2)
    one_line(run("make", at("portrait.jpg"), "-o", at("out"), "--width", "1mm"), 2)
    nothing_at(at("out"))


@tap.test
def wrong_usage_is_told_in_one_line():
    make = ["make", at("portrait.jpg"), "-o", at("out")]
    for words, names in ((["mkae"], "mkae"), (["make"], "photograph"), (make[:2], "-o DIR"),
                         (make[:2] + make[1:], "one photograph"), (make + ["--widht", "8in"], "--widht"),
                         (make + ["--width"], "--width"), (make + ["--force=yes"], "--force"),
                         (make + ["--darkness", "51"], "--darkness"),
                         (make + ["--detail", "coarse"], "--detail"),
                         (make + ["--stock", "marble-6"], "marble-6"),
                         (make + ["--blade", "99"], "99"), (make + ["--paper", "a9"], "a9"),
                         (make + ["--bridge", "0.01mm"], ""), (make + ["--crop", "1,2,3"], "--crop"),
                         (make + ["--crop", "0,0,9999,10"], "--crop"),
                         (make + ["--crop", "nan,0,10,10"], "--crop"),
                         (make + ["--crop", "0.18,0,0.62,0.62"], "shares are written with %"),
                         (make + ["--title", "x" * 5000], "--title"),
                         (["check"], "pattern"), (["check", "--jobs", "0", "x"], "--jobs"),
                         (["open", "a", "b"], "one file")):
        one_line(run(*words), 2, names)
        nothing_at(at("out"))


@tap.test
def a_pattern_of_unknown_size_is_asked_about():
    one_line(run("check", at("no-size.png")), 2, "--width")
    assert run("check", at("no-size.png"), "--width", "100mm").returncode == 0


@tap.test
def a_density_that_tells_nothing_is_no_size():
    """72 and 96 dpi are what programs write who know nothing; two densities are none."""
    for dpi in ((72, 72), (96, 96), (300, 150)):
        for name in ("dpi.png", "dpi.jpg"):
            with Image.open(at("sound.png")) as picture:
                picture.save(at(name), dpi=dpi)
            one_line(run("check", at(name)), 2, "size unknown", "--width")
            assert run("check", at(name), "--width", "100mm").returncode == 0


@tap.test
def a_drawn_outline_that_is_askew_goes_with_the_margin():
    with Image.open(at("sound.png")) as picture:
        sheet = Image.new("L", (1308, 1108), 255)
        sheet.paste(0, (150, 150, 1158, 958))
        sheet.paste(picture, (154, 154))
    for degrees in (-9, -2, -0.4, 0, 0.7, 1.5, 5):
        turned = sheet.rotate(degrees, resample=Image.BICUBIC, expand=True, fillcolor=255)
        turned.save(at("askew.png"), dpi=(254, 254))
        report = json.loads(run("check", at("askew.png"), "--json").stdout)
        assert report["pieces"] == 1 and report["openings"] == 1, (degrees, report["verdict"])
        assert abs(report["size_mm"][0] - 100) < 0.3 and abs(report["size_mm"][1] - 80) < 0.3, (degrees, report)


@tap.test
def pieces_without_a_name_are_called_by_their_file():
    run("make", at("portrait.jpg"), "-o", at("named"), "--width", "80mm")
    with Image.open(at("pattern.png")) as picture:
        picture.save(at("the_barge.png"), dpi=(254, 254))
    for name, title in (("named/project.tombolo", "portrait"), ("the_barge.png", "the barge")):
        assert run("sheets", at(name), "-o", at("named.pdf"), "--force").returncode == 0
        run("check", at(name), "--marks", at("named-marks.pdf"), "--force")
        try:
            said = [subprocess.run(["pdftotext", at(pdf), "-"], capture_output=True, text=True, check=True).stdout
                    for pdf in ("named.pdf", "named-marks.pdf", *(["named/sheets.pdf"] if "/" in name else []))]
        except OSError:
            tap.skip("no poppler here")
        assert all(text.lstrip().startswith(title) for text in said), said


@tap.test
def a_set_appears_whole_and_is_not_replaced_unasked():
    words = ["make", at("portrait.jpg"), "-o", at("set/deep"), "--width", "80mm"]
    done = run(*words)
    assert done.returncode in (0, 1), done.stderr
    assert sorted(os.listdir(at("set/deep"))) == FILES, os.listdir(at("set/deep"))
    before = {name: os.stat(at("set/deep/" + name)).st_ino for name in FILES}
    one_line(run(*words), 4, "exists", "--force")
    assert before == {name: os.stat(at("set/deep/" + name)).st_ino for name in FILES}
    assert run(*words, "--force").returncode == done.returncode
    assert sorted(os.listdir(at("set/deep"))) == FILES


@tap.test
def reports_keep_to_the_schema():
    with open(os.path.join(SOURCE, "docs", "report.schema.json"), encoding="utf-8") as f:
        schema = json.load(f)
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    done = run("make", at("portrait.jpg"), "-o", at("json"), "--width", "80mm", "--json")
    printed = json.loads(done.stdout)
    with open(at("json/report.json"), encoding="utf-8") as f:
        assert json.load(f) == printed
    validator.validate(printed)
    assert printed["size_mm"] == [80, 100] and printed["photo_on_board"]["w_mm"] == 80
    lines = run("check", "--json", at("json/pattern.png"), at("pattern.png")).stdout.splitlines()
    seen = [json.loads(line) for line in lines]
    for report in seen:
        validator.validate(report)
    assert [r["file"] for r in seen] == [at("json/pattern.png"), at("pattern.png")]
    for key in ("pieces", "openings", "findings", "narrowest_wood_mm"):
        assert seen[0][key] == printed[key], "the picture tells what the pattern does: " + key
    kept = json.loads(run("check", "--json", at("json/project.tombolo")).stdout)
    validator.validate(kept)
    for key in set(printed) - {"timings_ms"}:
        assert kept[key] == printed[key], "the project gives the same pattern again: " + key
    other = json.loads(run("check", "--json", "--bridge", "4mm", at("json/project.tombolo")).stdout)
    assert other["pieces"] == 1 and other["limits"]["bridge_must_mm"] == 4


@tap.test
def the_plan_is_the_same_everywhere():
    """In report.json, in the picture of lines, and on the cut list; weak wood first or last as asked."""
    words = ["make", at("portrait.jpg"), "--width", "80mm", "--stock", "birch-ply-3", "--blade", "2/0",
             "--json"]
    reports = [json.loads(run(*words, "-o", at("order-" + order), "--order", order).stdout)
               for order in ("centre", "weak-first", "weak-last")]
    centre, first, last = [[(h["x_mm"], h["y_mm"]) for h in r["entry_holes"]] for r in reports]
    assert sorted(centre) == sorted(first) == sorted(last) and len(centre) > 2
    weak = [[h["weak"] for h in r["entry_holes"]] for r in reports[1:]]
    assert weak[0] == sorted(weak[0], reverse=True) and weak[1] == sorted(weak[1]), weak
    plan = reports[0]["plan"]
    assert plan["order"] == "centre" and plan["blade_remark"] == "" and plan["stack_most"] == 1, plan
    cut = sum(h["cut_mm"] for h in reports[0]["entry_holes"]) + plan["outline_mm"]
    assert abs(cut - reports[0]["cut_length_mm"]) < 0.1 * (len(centre) + 2)
    lines = sum(max(2.5, h["cut_mm"] / 2.728 / 60) for h in reports[0]["entry_holes"])
    assert abs(plan["minutes"] - lines - plan["outline_mm"] / 2.728 / 60) < 1, (plan, lines)
    with open(at("order-weak-last/pattern.svg"), encoding="utf-8") as f:
        labels = re.findall(r'<text x="([0-9.]+)" y="([0-9.]+)">(\d+)</text>', f.read())
    assert [int(n) for _, _, n in labels] == list(range(1, len(last) + 1))
    bit = reports[0]["entry_holes"][0]["drill_mm"]
    for (x, y, _), hole in zip(labels, last):
        assert abs(float(x) - 1.3 * bit - hole[0]) < 0.01 and abs(float(y) + 0.6 * bit - hole[1]) < 0.01
    said = run("info", at("order-centre/project.tombolo")).stdout
    assert "at the saw" in said and "blade 2/0:" not in said, said
    said = run("check", at("order-centre/pattern.png"), "--blade", "2/0").stdout
    assert "blade 2/0: Usual up to 3.2 mm" in said, said
    said = run("check", at("order-centre/pattern.png")).stdout
    assert "Usual" not in said, said  # the usual blade is one for the usual board


def printed(name, *words, **env):
    """What poppler reads in the sheets of the pattern with a thin bridge."""
    done = run("sheets", at("pattern.png"), "-o", at(name), *words, env=env)
    assert done.returncode in (0, 1), done.stderr
    return subprocess.run(["pdftotext", "-layout", at(name), "-"], capture_output=True, text=True, check=True).stdout


@tap.test
def sheets_speak_the_language_of_the_desktop():
    """As the environment says, and by the locale's own decimal mark where that can be made here."""
    if not shutil.which("pdftotext") or not shutil.which("qpdf"):
        return
    said = printed("german.pdf", "--marks", "findings", LANGUAGE="de")
    for word in ("Schnittlänge", "Fertiges Maß", "Öffnungen", "Bevor Sie sägen", "Mit 100 % drucken",
                 "Durchsicht", "Noch nicht zu sägen:", "1 dünner Steg", "müssen 1.60 mm sein", "Verdicken Sie"):
        assert word in said, (word, said)
    english = re.search(r"\b(the|saw|wood|bridge|page|wanted|boards?)\b", said)
    assert not english, said[english.start() - 60:english.end() + 60]
    assert "Schnittliste" in printed("list.pdf", LANGUAGE="de")
    assert "the outline" in printed("english.pdf", LANGUAGE="")
    plain = subprocess.run(["qpdf", "--qdf", "--object-streams=disable", at("german.pdf"), "-"], capture_output=True)
    assert b"/Lang (de)" in plain.stdout
    where = at("locales")
    os.mkdir(where)
    made = shutil.which("localedef") and not subprocess.run(
        ["localedef", "-i", "de_DE", "-f", "UTF-8", f"{where}/de_DE.UTF-8"], capture_output=True).returncode
    if made:
        said = printed("comma.pdf", LC_ALL="de_DE.UTF-8", LOCPATH=where)
        assert re.search(r"[0-9],[0-9]+ m \(", said) and "Schnittlänge" in said, said
        said = printed("comma-inches.pdf", "--marks", "findings", "--unit", "in", LC_ALL="de_DE.UTF-8", LOCPATH=where)
        assert re.search(r"0,0[0-9]+ Zoll|0,0[0-9]+ in", said) and not re.search(r"[0-9]\.[0-9]", said), said


@tap.test
def check_tells_what_fails():
    done = run("check", at("pattern.png"), "--json")
    assert done.returncode == 1 and done.stderr == "", done.stderr
    kinds = {f["kind"] for f in json.loads(done.stdout)["findings"] if f["severity"] == "must"}
    assert kinds == {"thin_bridge"}, kinds
    assert run("check", at("sound.png")).returncode == 0


@tap.test
def findings_are_drawn_in_true_size():
    done = run("check", at("pattern.png"), "--marks", at("marks.png"))
    assert done.returncode == 1 and "thin bridge" in done.stdout, done.stderr
    with Image.open(at("marks.png")) as image:
        dpi, size = image.info["dpi"], image.size
    wide = size[0] / dpi[0] * 25.4
    assert abs(wide - (100 + 24)) < 0.3, wide  # the board of 100 mm and two margins of 12
    one_line(run("check", at("pattern.png"), "--marks", at("marks.png")), 4, "--force")
    one_line(run("check", at("pattern.png"), "--marks", at("pattern.png"), "--force"), 2, "itself")
    one_line(run("check", at("pattern.png"), "--marks", at("marks.bmp")), 2, "--marks")
    one_line(run("check", at("pattern.png"), at("sound.png"), "--marks", at("m.pdf")), 2, "one")
    assert run("check", at("pattern.png"), "--marks", at("marks.pdf")).returncode == 1
    try:
        text = subprocess.run(["pdftotext", at("marks.pdf"), "-"], capture_output=True, text=True,
                              check=True).stdout
    except OSError:
        tap.skip("no poppler here")
    assert "Thin bridge" in text and "0.50 mm" in text, text
    pages = subprocess.run(["pdfinfo", at("marks.pdf")], capture_output=True, text=True,
                           check=True).stdout
    points = float(re.search(r"Page size: +([0-9.]+) x", pages).group(1))
    assert abs(points / 72 * 25.4 - 124) < 0.02, points


@tap.test
def many_files_are_looked_at_though_one_fails():
    done = run("check", at("sound.png"), at("text.jpg"), at("pattern.png"))
    one_line(done, 3, "text.jpg")
    rows = done.stdout.splitlines()
    assert len(rows) == 3 and "pattern.png" in rows[1] and "sound.png" in rows[2], rows
    one = run("check", "--json", "--jobs", "1", *[at("sound.png")] * 5).stdout
    four = run("check", "--json", "--jobs", "4", *[at("sound.png")] * 5).stdout
    timeless = [re.sub(r'"timings_ms":{[^}]*}', "", text) for text in (one, four)]
    assert timeless[0] == timeless[1]


@tap.test
def a_project_is_no_photograph():
    run("make", at("portrait.jpg"), "-o", at("once"), "--width", "80mm")
    one_line(run("make", at("once/project.tombolo"), "-o", at("twice")), 2, "is a project", "tombolo sheets")
    nothing_at(at("twice"))


@tap.test
def every_limit_is_explained():
    others = {"opening_min", "rate_mm_s", "stack_thin", "stack_thick", "strand_roots"}
    ply = {"bridge_across_mm", "split_kerf_mm"}
    for words, left_out in (([], ply), (["--stock", "walnut-6", "--split-line", "--grain", "0"], set())):
        rows = json.loads(run("check", "--explain", "--json", *words).stdout)
        limits = json.loads(run("check", "--json", at("sound.png"), *words).stdout)["limits"]
        assert {r["limit"] for r in rows} == set(limits) - left_out | others
        for row in rows:
            assert row["limit"] in others or abs(row["value"] - limits[row["limit"]]) < 1e-4, row
            assert row["source"] and row["standing"], row
    assert limits["bridge_across_mm"] == 3 and limits["split_kerf_mm"] == limits["kerf_mm"]
    assert limits["grain_deg"] == 0


@tap.test
def lengths_are_told_in_the_unit_asked_for():
    """Everywhere: in the verdict, in the advice, in the table and on the pages; JSON stays in millimetres."""
    inches = ["--unit", "in"]
    made = run("make", at("portrait.jpg"), "-o", at("inches"), "--width", "4in", *inches)
    tied = run("tie", at("grain.png"), "-o", at("inches.png"), *inches)
    project = at("inches/project.tombolo")
    assert re.search(r"bridge to aim for +0\.098 in  ", run("check", "--explain", *inches).stdout)
    for done in (run("check", at("pattern.png"), *inches), made, tied, run("check", at("pattern.png"), project, *inches), run("info", project, *inches)):
        assert " in" in done.stdout and not re.search(r"[0-9] mm", done.stdout), done.stdout
    said = run("check", at("pattern.png"), *inches).stdout
    assert re.search(r"0\.02 in, must be 0\.063 in\n +Thicken this bridge to 0\.098 in, or take it out\.", said), said
    assert "0.5 mm" not in said and "3.94 × 3.15 in" in said, said
    json_said = run("check", at("pattern.png"), "--json", *inches).stdout
    assert json_said.split('"timings')[0] == run("check", at("pattern.png"), "--json").stdout.split('"timings')[0]
    run("check", at("pattern.png"), "--marks", at("inches.pdf"), *inches)
    run("sheets", at("pattern.png"), "-o", at("inches-sheets.pdf"), "--marks", "findings", *inches)
    for name in ("inches.pdf", "inches-sheets.pdf"):
        try:
            text = subprocess.run(["pdftotext", "-layout", at(name), "-"], capture_output=True, text=True,
                                  check=True).stdout
        except OSError:
            tap.skip("no poppler here")
        assert "0.098 in" in text, text
        # Sizes on the first page and the bars are in both.
        lines = [line for line in text.splitlines() if re.search(r"wanted|Thicken|loose", line)]
        assert lines and not [line for line in lines if " mm" in line], lines


@tap.test
def the_line_may_be_split():
    """A bridge of 1.8 mm holds beside the line; on it, a kerf of 0.32 mm comes off."""
    kinds = {f["severity"] for f in json.loads(run("check", "--json", at("split.png")).stdout)["findings"]}
    assert kinds == {"should"}, kinds
    report = json.loads(run("check", "--json", "--split-line", at("split.png")).stdout)
    must = [f for f in report["findings"] if f["severity"] == "must"]
    assert len(must) == 1 and abs(must[0]["measured"] - (1.8 - report["limits"]["kerf_mm"])) < 0.06, must
    tied = run("tie", "--split-line", at("split.png"), "-o", at("split-tied.png"))
    assert tied.returncode == 0, tied.stderr
    assert run("check", "--split-line", at("split-tied.png")).returncode == 0


@tap.test
def solid_wood_is_short_across_the_grain():
    """Half of 6 mm: 2.4 mm hold along the grain, and not across it; the upright bridge is the one."""
    words = ["check", "--json", "--stock", "walnut-6", at("grain.png")]
    report = json.loads(run(*words, "--grain", "90").stdout)
    assert not [f for f in report["findings"] if f["severity"] == "must"], report["findings"]
    must = [f for f in json.loads(run(*words, "--grain", "0").stdout)["findings"] if f["severity"] == "must"]
    assert len(must) == 1 and must[0]["kind"] == "thin_bridge" and must[0]["limit"] == 3, must
    assert "across the grain" in must[0]["advice"], must
    assert not json.loads(run("check", "--json", at("grain.png"), "--grain", "0").stdout)["limits"]["bridge_across_mm"]
    tied = run("tie", "--stock", "walnut-6", "--grain", "0", at("grain.png"), "-o", at("grain-tied.png"))
    assert tied.returncode == 0, tied.stdout + tied.stderr
    made = run("make", at("portrait.jpg"), "-o", at("solid"), "--width", "80mm", "--stock", "walnut-8")
    assert made.returncode == 0, made.stderr


@tap.test
def outputs_that_can_t_be_written_leave_nothing():
    make = ["make", at("portrait.jpg"), "--width", "80mm", "-o"]
    one_line(run(*make, at("text.jpg/out")), 4)
    one_line(run(*make, "/proc/out"), 4)
    one_line(run(*make, at("full"), limit=20000), 4)
    nothing_at(at("full"))
    os.mkdir(at("half"))
    one_line(run(*make, at("half"), limit=20000), 4)
    assert os.listdir(at("half")) == []
    os.mkdir(at("half/share.jpg"))
    one_line(run(*make, at("half"), "--force"), 4, "share.jpg", "folder")
    assert os.listdir(at("half")) == ["share.jpg"]
    if os.getuid() != 0:
        os.chmod(at("half"), 0o500)
        one_line(run(*make, at("half")), 4, "no permission")


@tap.test
def a_full_disk_leaves_nothing():
    os.mkdir(at("disk"))
    mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=100k", "tmpfs", at("disk")],
                             capture_output=True, check=False)
    if mounted.returncode != 0:
        tap.skip("no right to mount a small disk here")
    try:
        one_line(run("make", at("portrait.jpg"), "-o", at("disk/out"), "--width", "80mm"), 4)
        assert os.listdir(at("disk")) == [], os.listdir(at("disk"))
    finally:
        subprocess.run(["umount", at("disk")], check=True)


@tap.test
def standard_output_that_is_full_is_told():
    with open("/dev/full", "w", encoding="utf-8") as full:
        done = subprocess.run([TOMBOLO, "check", at("sound.png")], stdout=full, text=True,
                              stderr=subprocess.PIPE, check=False)
    one_line(done, 4)


@tap.test
def a_stopped_make_leaves_nothing():
    portrait(3000, 3750).save(at("large.jpg"))
    for wait in (0.05, 0.2, 0.4, 0.7):
        with subprocess.Popen([TOMBOLO, "make", at("large.jpg"), "-o", at("stopped")],
                              stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True) as going:
            time.sleep(wait)
            going.send_signal(signal.SIGINT)
            _, said = going.communicate()
        if going.returncode == -signal.SIGINT and wait < 0.1:
            continue  # before it could listen
        if going.returncode != 130:
            tap.note(f"after {wait} s it was done: {going.returncode}")
            break
        assert said == "tombolo: stopped\n", said
        nothing_at(at("stopped"))


@tap.test
def the_locale_gives_unit_and_paper():
    if not os.path.exists("/usr/share/i18n/locales/en_CA"):
        tap.skip("no locale sources here (package locales)")
    os.mkdir(at("locale"))
    for name in ("en_US", "en_CA", "de_DE"):
        subprocess.run(["localedef", "-i", name, "-f", "UTF-8", at("locale/" + name + ".UTF-8")],
                       capture_output=True, check=False)
    for name, width in (("en_US", 203.2), ("en_CA", 200), ("de_DE", 200), ("C", 200)):
        env = {"LC_ALL": name + (".UTF-8" if name != "C" else ""), "LOCPATH": at("locale")}
        done = run("make", at("portrait.jpg"), "-o", at("in-" + name), "--json", env=env)
        assert json.loads(done.stdout)["size_mm"][0] == width, name
        pages = subprocess.run(["pdfinfo", "-l", "9", at(f"in-{name}/sheets.pdf")], text=True,
                               capture_output=True, check=False).stdout
        if pages:
            letter = name in ("en_US", "en_CA")
            assert ("612 x 792" in pages) == letter, (name, pages)


@tap.test
def hostile_names_stay_on_one_line():
    name = at("a\nb\x1b[31m.jpg")
    with open(name, "wb") as f:
        f.write(b"x")
    done = run("check", name)
    one_line(done, 3)
    assert "\x1b" not in done.stderr


@tap.test
def help_is_as_it_was():
    verbs = re.findall(r"^  ([a-z]+)  ", run("--help").stdout, re.M)
    assert {"make", "check", "open"} <= set(verbs), verbs
    for verb in ["", *verbs]:
        text = run(*([verb] if verb else []), "--help").stdout
        assert max(len(line) for line in text.splitlines()) <= 110
        path = os.path.join(SOURCE, "tests", "cli", "help", (verb or "tombolo") + ".txt")
        if os.environ.get("TOMBOLO_RENEW"):
            os.makedirs(os.path.dirname(path), exist_ok=True)
            with open(path, "w", encoding="utf-8") as f:
                f.write(text)
        with open(path, encoding="utf-8") as f:
            assert f.read() == text, "run with TOMBOLO_RENEW=1 if this is meant: " + path


@tap.test
def the_man_page_and_completion_know_every_option():
    man = os.path.join(os.path.dirname(TOMBOLO), "tombolo.1")
    completion = os.path.join(os.path.dirname(TOMBOLO), "completion", "tombolo")
    with open(man, encoding="utf-8") as f:
        page = f.read().replace("\\-", "-")
    with open(completion, encoding="utf-8") as f:
        script = f.read()
    for verb in re.findall(r"^  ([a-z]+)  ", run("--help").stdout, re.M):
        assert f".SS tombolo {verb}" in page, verb
        for option in re.findall(r"^  (?:-., |    )(--[a-z-]+)", run(verb, "--help").stdout, re.M):
            assert option in script, (verb, option)
            assert option in page or option == "--help", (verb, option)
    subprocess.run(["bash", "-n", completion], check=True)
    asked = subprocess.run(
        ["bash", "-c", f"source '{completion}'; COMP_WORDS=(tombolo make --det); COMP_CWORD=2; "
         "_tombolo; echo \"${COMPREPLY[@]}\""], capture_output=True, text=True, check=True)
    assert asked.stdout == "--detail\n", asked


tap.run()
