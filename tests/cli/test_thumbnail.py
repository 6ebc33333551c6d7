#!/usr/bin/python3
"""The thumbnail of a project: like the preview, of the size asked for; nothing of a bad file."""

import os
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "judges"))
import tap  # noqa: E402

np, pil = tap.needs("numpy", "PIL.Image")
from PIL import Image, ImageDraw, ImageFilter  # noqa: E402

FOLDER = tempfile.TemporaryDirectory(prefix="tombolo-thumbnail-")


def at(name):
    return os.path.join(FOLDER.name, name)


def thumbnail(project, out, longest):
    return subprocess.run([os.environ["THUMBNAIL"], project, out, str(longest)], capture_output=True,
                          text=True, timeout=120)


def made():
    """A project of a head on a wall."""
    if not os.path.exists(at("out")):
        head = Image.new("L", (400, 500), 60)
        draw = ImageDraw.Draw(head)
        draw.ellipse((80, 60, 320, 400), fill=210)
        for box in ((130, 180, 180, 205), (220, 180, 270, 205), (150, 300, 250, 325)):
            draw.ellipse(box, fill=40)
        head.filter(ImageFilter.GaussianBlur(3)).save(at("head.png"))
        subprocess.run([os.environ["TOMBOLO"], "make", at("head.png"), "-o", at("out"), "--width", "100mm"],
                       check=True, capture_output=True)
    return at("out/project.tombolo")


@tap.test
def it_looks_like_the_preview():
    done = thumbnail(made(), at("small.png"), 128)
    assert done.returncode == 0, done.stderr
    small = Image.open(at("small.png"))
    assert small.format == "PNG" and max(small.size) == 128, small.size
    large = Image.open(at("out/preview.png")).convert("L").resize(small.size, Image.LANCZOS)
    likeness = np.corrcoef(np.asarray(small.convert("L")).ravel(), np.asarray(large).ravel())[0, 1]
    tap.note(f"correlation with the preview {likeness:.3f}")
    assert likeness > 0.9


@tap.test
def a_damaged_project_gives_none():
    with open(made(), "rb") as f:
        whole = f.read()
    photo = whole.index(b"IDAT")  # its first bytes lie in one piece
    for name, data in (("cut", whole[:len(whole) // 2]), ("text", b"not a project"), ("empty", b""),
                       ("changed", whole[:photo + 9] + bytes([whole[photo + 9] ^ 255]) + whole[photo + 10:])):
        with open(at(f"{name}.tombolo"), "wb") as f:
            f.write(data)
        done = thumbnail(at(f"{name}.tombolo"), at(f"{name}.png"), 128)
        assert done.returncode == 1, (name, done.returncode, done.stderr)
        assert done.stderr.count("\n") == 1, done.stderr
        assert not os.path.exists(at(f"{name}.png")), name


@tap.test
def it_leaves_the_project_as_it_was():
    before = os.stat(made())
    thumbnail(made(), at("again.png"), 256)
    after = os.stat(made())
    assert (before.st_mtime_ns, before.st_size) == (after.st_mtime_ns, after.st_size)
    assert sorted(os.listdir(at("out"))) == ["pattern.png", "pattern.svg", "preview.png", "project.tombolo",
                                            "report.json", "share.jpg", "sheets.pdf"]


tap.run()
