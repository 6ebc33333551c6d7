#!/usr/bin/env python3
"""photographs.py FOLDER: real photographs to test on, fetched from Debian packages into FOLDER.

People, animals and things in many kinds of light, as JPEG, PNG and WebP. The packages are
downloaded and unpacked, never installed; nothing of them is part of this repository. Prints a line
"name path" for each. Exit status 77 (skip) where the packages cannot be had.
"""

import bz2
import re
import shutil
import struct
import subprocess
import sys
from pathlib import Path

SKIMAGE = "usr/lib/python3/dist-packages/skimage/data"
SKLEARN = "usr/lib/python3/dist-packages/sklearn/datasets/images"
MATPLOTLIB = "usr/share/matplotlib/mpl-data/sample_data"
FARM = "usr/share/gcompris-qt/rcc/explore_farm_animals.rcc"
WORLD = "usr/share/gcompris-qt/rcc/explore_world_animals.rcc"

# Name: package, file in it (the only one that fits the pattern), and for a bundle of WebP pictures
# which of them.
SOURCES = {
    "astronaut": ("python3-skimage", f"{SKIMAGE}/astronaut.png"),
    "officer": ("python-matplotlib-data", f"{MATPLOTLIB}/*.jpg"),
    "cameraman": ("python3-skimage", f"{SKIMAGE}/camera.png"),
    "cat": ("python3-skimage", f"{SKIMAGE}/chelsea.png"),
    "kitten": ("gcompris-qt-data", FARM, 4),
    "dog": ("gcompris-qt-data", FARM, 7),
    "duck-in-the-dark": ("gcompris-qt-data", FARM, 0),
    "sheep": ("gcompris-qt-data", FARM, 2),
    "owl": ("gcompris-qt-data", FARM, 8),
    "panda": ("gcompris-qt-data", WORLD, 13),
    "polar-bear-in-snow": ("gcompris-qt-data", WORLD, 9),
    "parrot": ("gcompris-qt-data", WORLD, 5),
    "koala": ("gcompris-qt-data", WORLD, 6),
    "raccoon": ("python3-scipy", "usr/lib/python3/dist-packages/scipy/misc/face.dat"),
    "temple": ("python3-sklearn", f"{SKLEARN}/china.jpg"),
    "dahlia": ("python3-sklearn", f"{SKLEARN}/flower.jpg"),
    "coffee": ("python3-skimage", f"{SKIMAGE}/coffee.png"),
    "rocket-at-night": ("python3-skimage", f"{SKIMAGE}/rocket.jpg"),
    "motorcycle": ("python3-skimage", f"{SKIMAGE}/motorcycle_left.png"),
}


class Unreachable(Exception):
    pass


def unpack(package, folder):
    """The package's files, below folder; downloaded once."""
    tree = folder / "packages" / package
    if tree.is_dir():
        return tree
    fetched = folder / "packages" / "fetched"
    fetched.mkdir(parents=True, exist_ok=True)
    try:
        for old in fetched.glob(f"{package}_*.deb"):
            old.unlink()
        subprocess.run(["apt-get", "-q", "download", package], cwd=fetched, check=True,
                       stdin=subprocess.DEVNULL, capture_output=True, timeout=300)
        deb = next(fetched.glob(f"{package}_*.deb"))
        half = tree.with_suffix(".half")
        subprocess.run(["dpkg-deb", "-x", deb, half], check=True, capture_output=True)
        deb.unlink()
        half.rename(tree)
    except (OSError, subprocess.SubprocessError, StopIteration) as why:
        raise Unreachable(f"{package} could not be downloaded: {why}") from why
    return tree


def webp_in(bundle, number):
    """One of the WebP pictures that a bundle holds: RIFF, length, WEBP, as they lie in it."""
    found = list(re.finditer(rb"RIFF(....)WEBP", bundle, re.DOTALL))[number]
    return bundle[found.start():found.start() + 8 + struct.unpack("<I", found[1])[0]]


def take(source, folder, name):
    """Writes the photograph of one source and returns its path."""
    package, pattern = source[:2]
    for suffix in (".jpg", ".png", ".webp"):
        if (folder / (name + suffix)).is_file():
            return folder / (name + suffix)
    (file,) = unpack(package, folder).glob(pattern)
    data = file.read_bytes()
    if len(source) == 3:
        path, data = folder / f"{name}.webp", webp_in(data, source[2])
    elif file.suffix == ".dat":
        import cv2
        import numpy
        picture = numpy.frombuffer(bz2.decompress(data), numpy.uint8).reshape(768, 1024, 3)
        path, data = folder / f"{name}.png", cv2.imencode(".png", picture[:, :, ::-1])[1].tobytes()
    else:
        path = folder / (name + file.suffix)
    path.write_bytes(data)
    return path


def fetch(folder, names=None):
    """{name: path} of the named photographs (all of them if None); raises Unreachable."""
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    found = {name: take(SOURCES[name], folder, name) for name in names or SOURCES}
    if len(found) == len(SOURCES):
        shutil.rmtree(folder / "packages", ignore_errors=True)
    return found


if __name__ == "__main__":
    try:
        for name_, path_ in fetch(sys.argv[1]).items():
            print(name_, path_)
    except Unreachable as why_:
        print(why_, file=sys.stderr)
        sys.exit(77)
