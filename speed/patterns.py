"""Pattern pictures and photographs to measure with, made once into out/speed."""

import pathlib
import subprocess

import cv2
import numpy as np
from PIL import Image

import masks

TOP = pathlib.Path(__file__).resolve().parent.parent
FOLDER = TOP / "out/speed"
Image.MAX_IMAGE_PIXELS = None


def _once(name, make):
    path = FOLDER / name
    if not path.exists():
        FOLDER.mkdir(parents=True, exist_ok=True)
        make(path)
    return str(path)


def a4_mask():
    """A4 at 300 dpi, about 150 openings."""
    return masks.framed(3508, 2480, 6, 25, 71)


def large_mask():
    """14,000 x 14,000 pixels, sixteen patterns side by side."""
    return np.tile(masks.framed(3500, 3500, 3, 40, 71), (4, 4))


def _save(mask, dpi):
    return lambda path: Image.fromarray(mask() * 255).save(path, dpi=(dpi, dpi))


def a4():
    return _once("a4.png", _save(a4_mask, 300))


def large():
    return _once("large.png", _save(large_mask, 600))


def dots():
    """As a halftone has them, 5 pixels wide."""
    y, x = np.indices((3508, 2480))
    return ((y % 8 < 3) | (x % 8 < 3)).astype(np.uint8)


def mesh():
    """A sieve of 17 pixels a hole in a frame."""
    y, x = np.indices((3508, 2480))
    mask = ((y % 22 >= 17) | (x % 22 >= 17)).astype(np.uint8)
    mask[:70], mask[-70:], mask[:, :70], mask[:, -70:] = 1, 1, 1, 1
    return mask


def ugly():
    """Name and path of each mask that has broken somebody's code, A4 at 300 dpi."""
    made = {**masks.ugly(3508, 2480), "dots": dots(), "mesh": mesh()}
    return {name: _once(f"{name.replace(' ', '-')}.png", _save(lambda m=mask: m, 300))
            for name, mask in made.items()}


def _photograph(path):
    small = path.with_name("keeper.jpg")
    subprocess.run([TOP / "build/demo/keeper", small], check=True)
    picture = cv2.resize(cv2.imread(str(small)), (3072, 3840), interpolation=cv2.INTER_CUBIC)
    grain = np.random.default_rng(1).normal(0, 3, picture.shape)
    cv2.imwrite(str(path), np.clip(picture + grain, 0, 255).astype(np.uint8),
                [cv2.IMWRITE_JPEG_QUALITY, 92])


def photograph():
    """The demo's keeper as a JPEG of 12 million pixels."""
    return _once("photograph-12.jpg", _photograph)
