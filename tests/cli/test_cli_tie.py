#!/usr/bin/python3
"""tombolo tie from outside: islands tied, thin bridges thickened, specks dropped, all else as it was.

Judge: OpenCV's connected components count the pieces of wood.
"""

import json
import os
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "judges"))
import tap  # noqa: E402

np, cv2, pil = tap.needs("numpy", "cv2", "PIL.Image")
from PIL import Image  # noqa: E402

TOMBOLO = os.environ["TOMBOLO"]
FOLDER = tempfile.TemporaryDirectory(prefix="tombolo-tie-")


def at(name):
    return os.path.join(FOLDER.name, name)


def run(*words):
    return subprocess.run([TOMBOLO, *words], capture_output=True, text=True, timeout=120,
                          env={**os.environ, "LC_ALL": "C.UTF-8"})


def drawn():
    """80 × 60 mm at 10 px/mm, light wood: an island, a bridge of 1 mm, a speck, and a sound half."""
    wood = np.full((600, 800), 255, np.uint8)
    wood[60:540, 60:740] = 0
    wood[100:180, 120:220] = 255
    wood[60:140, 380:460] = 255
    wood[140:220, 415:425] = 255
    wood[220:300, 380:460] = 255
    wood[200:210, 620:630] = 255
    wood[430:540, 200:260] = 255
    return wood


def save(name, picture):
    Image.fromarray(picture).save(at(name), dpi=(254, 254))


def read(name):
    return np.asarray(Image.open(at(name)).convert("L")) > 127


@tap.test
def mends_what_must_be_and_nothing_else():
    save("drawn.png", drawn())
    done = run("tie", at("drawn.png"), "-o", at("tied.png"), "--wood", "light", "--json")
    assert done.returncode == 0, done.stderr
    report = json.loads(done.stdout)
    assert report["pieces"] == 1 and not [f for f in report["findings"] if f["severity"] == "must"]
    assert len(report["bridges"]) == 1
    before, after = drawn() > 0, read("tied.png")
    n, _ = cv2.connectedComponents(after.astype(np.uint8), connectivity=4)
    assert n - 1 == 1, n
    assert (before[350:] == after[350:]).all()
    assert not after[195:215, 615:635].any()
    assert after[180, 380:460].sum() >= 16


@tap.test
def follows_the_photograph():
    """The island's nearest wood is above it; the photograph is light on the way to the left."""
    save("drawn.png", drawn())
    photo = np.where(drawn() > 0, 230, 15).astype(np.uint8)
    photo[125:160, 60:120] = 140
    save("photo.png", cv2.GaussianBlur(photo, (0, 0), 3))
    done = run("tie", at("drawn.png"), "-o", at("by-photo.png"), "--photo", at("photo.png"),
               "--wood", "light")
    assert done.returncode == 0, done.stderr
    after = read("by-photo.png")
    assert after[125:160, 90].any() and not after[80, 120:220].any()


@tap.test
def refuses():
    save("drawn.png", drawn())
    save("tall.png", np.full((900, 300), 99, np.uint8))
    taken = run("tie", at("drawn.png"), "-o", at("drawn.png"))
    assert taken.returncode == 4 and taken.stderr.count("\n") == 1, taken
    shape = run("tie", at("drawn.png"), "-o", at("no.png"), "--photo", at("tall.png"),
                "--wood", "light")
    assert shape.returncode == 2 and "shape" in shape.stderr, shape
    assert run("tie", at("drawn.png")).returncode == 2
    assert run("tie", at("missing.png"), "-o", at("no.png")).returncode == 3
    assert not os.path.exists(at("no.png"))


tap.run()
