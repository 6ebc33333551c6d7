#!/usr/bin/python3
"""Writes one small picture of every kind into a folder, and index.txt: what each must show.

The picture has four fields: red, green, blue and grey 119. A line of the index is
    file tolerance top-left top-right bottom-left bottom-right       (L* of the fields)
The judges are other libraries: Pillow for formats and Exif turns, Little CMS for profiles, OpenCV
for 16 bits; L* comes from IEC 61966-2-1 and CIE 15 as written out below.
"""
import glob
import io
import os
import struct
import subprocess
import sys
import zlib

import cv2
import numpy as np
from PIL import Image, ImageCms, ImageOps

OUT = sys.argv[1]
WIDTH, HEIGHT = 96, 64
INDEX = []
COLOURS = [(255, 0, 0), (0, 255, 0), (0, 0, 255), (119, 119, 119)]


def lstar(rgb):
    c = np.asarray(rgb, float) / 255
    linear = np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)
    y = float(linear @ [0.2126, 0.7152, 0.0722])
    return 116 * y ** (1 / 3) - 16 if y > (6 / 29) ** 3 else y * (29 / 3) ** 3


def fields(colours, channels=3):
    a = np.zeros((HEIGHT, WIDTH, channels), np.uint8)
    for i, colour in enumerate(colours):
        y, x = divmod(i, 2)
        a[y * 32:y * 32 + 32, x * 48:x * 48 + 48] = colour
    return a


def middles(rgb):
    """L* in the middles of the four fields of an 8-bit RGB array."""
    return [lstar(rgb[y, x]) for y in (16, 48) for x in (24, 72)]


def expect(name, tolerance, rgb):
    INDEX.append(" ".join([name, str(tolerance)] + [f"{v:.4f}" for v in middles(rgb)]))


def save(name, image, tolerance, rgb, **options):
    image.save(os.path.join(OUT, name), **options)
    expect(name, tolerance, rgb)


RGB = fields(COLOURS)
PICTURE = Image.fromarray(RGB)
GREY = np.repeat(np.array(PICTURE.convert("L"))[:, :, None], 3, 2)


def formats():
    # JPEG rounds colours by a level or two; L* moves by less than 0.7.
    full = dict(quality=98, subsampling=0)
    save("baseline.jpg", PICTURE, 0.7, RGB, **full)
    save("progressive.jpg", PICTURE, 0.7, RGB, progressive=True, **full)
    save("grey.jpg", PICTURE.convert("L"), 0.7, GREY, quality=98)
    save("plain.png", PICTURE, 0.02, RGB)
    save("grey.png", PICTURE.convert("L"), 0.02, GREY)
    save("palette.png", PICTURE.quantize(8, dither=0), 0.02, RGB)
    two = PICTURE.convert("L").point(lambda v: 255 if v > 100 else 0)
    save("two-tone.png", two.convert("1"), 0.02, np.array(two.convert("RGB")))
    save("plain.tif", PICTURE, 0.02, RGB, compression="tiff_lzw")
    save("strips.tif", PICTURE, 0.02, RGB)
    save("lossless.webp", PICTURE, 0.02, RGB, lossless=True)
    save("lossy.webp", PICTURE, 3, RGB, quality=95)
    deep = (RGB[:, :, ::-1].astype(np.uint16) * 257)
    for name in ("deep.png", "deep.tif"):
        cv2.imwrite(os.path.join(OUT, name), deep)
        expect(name, 0.02, RGB)
    cv2.imwrite(os.path.join(OUT, "deep-grey.png"), GREY[:, :, 0].astype(np.uint16) * 257)
    expect("deep-grey.png", 0.02, GREY)
    heic = os.path.join(OUT, "photo.heic")
    try:
        subprocess.run(["heif-enc", "-q", "95", "-o", heic, os.path.join(OUT, "plain.png")],
                       check=True, capture_output=True)
        expect("photo.heic", 3, RGB)
    except (OSError, subprocess.CalledProcessError):
        print("no heif-enc here: HEIC is not tried", file=sys.stderr)


def transparency():
    shares = (255, 0, 128, 255)
    rgba = np.dstack([RGB, np.zeros((HEIGHT, WIDTH), np.uint8)])
    for i, share in enumerate(shares):
        y, x = divmod(i, 2)
        rgba[y * 32:y * 32 + 32, x * 48:x * 48 + 48, 3] = share
    over = Image.new("RGBA", PICTURE.size, "white")
    over.alpha_composite(Image.fromarray(rgba))
    white = np.array(over.convert("RGB"))
    save("alpha.png", Image.fromarray(rgba), 0.5, white)
    save("alpha.webp", Image.fromarray(rgba), 0.5, white, lossless=True)
    cv2.imwrite(os.path.join(OUT, "alpha-deep.png"),
                cv2.cvtColor(rgba, cv2.COLOR_RGBA2BGRA).astype(np.uint16) * 257)
    expect("alpha-deep.png", 0.5, white)
    clear = PICTURE.quantize(8, dither=0)
    green = clear.getpixel((72, 16))
    save("alpha-palette.png", clear, 0.02, fields([COLOURS[0], (255,) * 3, *COLOURS[2:]]),
         transparency=green)


def turns():
    undo = {1: None, 2: Image.Transpose.FLIP_LEFT_RIGHT, 3: Image.Transpose.ROTATE_180,
            4: Image.Transpose.FLIP_TOP_BOTTOM, 5: Image.Transpose.TRANSPOSE,
            6: Image.Transpose.ROTATE_90, 7: Image.Transpose.TRANSVERSE,
            8: Image.Transpose.ROTATE_270}
    for orientation, how in undo.items():
        stored = PICTURE if how is None else PICTURE.transpose(how)
        exif = Image.Exif()
        exif[0x0112] = orientation
        name = os.path.join(OUT, f"turn-{orientation}.jpg")
        stored.save(name, exif=exif, quality=98, subsampling=0)
        upright = ImageOps.exif_transpose(Image.open(name))  # the judge
        assert upright.size == (WIDTH, HEIGHT)
        expect(os.path.basename(name), 0.3, np.array(upright))
        if orientation in (3, 6, 8):
            stored.save(name.replace(".jpg", ".tif"), tiffinfo={0x0112: orientation})
            expect(f"turn-{orientation}.tif", 0.02, RGB)


def profiles():
    wanted = {"a98": "RGB", "rommrgb": "RGB", "ps_rgb": "RGB", "default_cmyk": "CMYK",
              "ps_gray": "L", "srgb": "RGB"}
    # Fields inside sRGB's own gamut, so that clipping does not hide a mistake.
    soft = Image.fromarray(fields([(170, 130, 120), (120, 160, 125), (120, 125, 165), (119,) * 3]))
    for name, mode in wanted.items():
        found = glob.glob(f"/usr/share/color/icc/**/{name}.icc", recursive=True)
        if not found:
            print(f"no {name}.icc here: it is not tried", file=sys.stderr)
            continue
        with open(found[0], "rb") as f:
            profile = f.read()
        image = soft.convert(mode)
        intent = ImageCms.Intent.RELATIVE_COLORIMETRIC
        seen = np.array(ImageCms.profileToProfile(
            image, ImageCms.ImageCmsProfile(io.BytesIO(profile)), ImageCms.createProfile("sRGB"),
            renderingIntent=intent, outputMode="RGB"))
        assert mode == "CMYK" or (seen.min() > 0 and seen.max() < 255), name
        if mode == "CMYK":
            save(f"profile-{name}.tif", image, 1.2, seen, icc_profile=profile)
        else:
            save(f"profile-{name}.png", image, 0.35, seen, icc_profile=profile)
    cmyk = Image.fromarray(fields([(0, 0, 0, 0), (0, 0, 0, 255), (0, 0, 0, 0), (0, 0, 0, 255)], 4),
                           "CMYK")
    # Without a profile black ink is somebody's black: dark, not nothing.
    save("cmyk.jpg", cmyk, 15, fields([(255,) * 3, (20,) * 3] * 2), quality=98)
    save("broken-profile.png", PICTURE, 0.02, RGB, icc_profile=b"no profile at all" * 9)


def densities():
    small = PICTURE
    small.save(os.path.join(OUT, "dpi-300.png"), dpi=(300, 300))
    small.save(os.path.join(OUT, "dpi-300.jpg"), dpi=(300, 300))
    small.save(os.path.join(OUT, "dpi-300.tif"), dpi=(300, 300))
    small.save(os.path.join(OUT, "dpi-none.webp"), lossless=True)


def png_of(width, height):
    def chunk(kind, data):
        body = kind + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))
    return (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
            + chunk(b"IDAT", zlib.compress(bytes(100))) + chunk(b"IEND", b""))


def refused():
    def write(name, data):
        with open(os.path.join(OUT, name), "wb") as f:
            f.write(data)

    def read(name):
        with open(os.path.join(OUT, name), "rb") as f:
            return f.read()

    noise = np.random.default_rng(1).integers(0, 256, (200, 200, 3), np.uint8)
    for kind, options in (("png", {}), ("jpg", {"quality": 95}), ("webp", {}), ("tif", {})):
        Image.fromarray(noise).save(os.path.join(OUT, f"noise.{kind}"), **options)
        whole = read(f"noise.{kind}")
        write(f"refuse-cut.{kind}", whole[:len(whole) // 2])
        write(f"refuse-head.{kind}", whole[:40])
    write("refuse-huge.png", png_of(60000, 60000))
    huge = bytearray(read("baseline.jpg"))
    at = huge.index(b"\xff\xc0")
    huge[at + 5:at + 9] = struct.pack(">HH", 60000, 60000)
    write("refuse-huge.jpg", bytes(huge))
    write("refuse-thin.png", png_of(30000, 20))
    Image.new("RGB", (1, 1)).save(os.path.join(OUT, "refuse-dot.png"))
    write("refuse-empty.jpg", b"")
    write("refuse-text.jpg", b"This is a letter, not a photograph.\n")
    write("refuse-vector.png", b'<svg xmlns="http://www.w3.org/2000/svg" width="99" height="99"/>')
    PICTURE.save(os.path.join(OUT, "refuse-other.jpg"), format="GIF")
    PICTURE.save(os.path.join(OUT, "refuse-map.png"), format="PPM")


def stripes():
    a = np.zeros((64, 128, 3), np.uint8)
    a[:, 1::2] = 255
    Image.fromarray(a).save(os.path.join(OUT, "stripes.png"))
    rng = np.random.default_rng(7)
    Image.fromarray(rng.integers(0, 256, (300, 400, 3), np.uint8)).save(
        os.path.join(OUT, "random.png"))


formats()
transparency()
turns()
profiles()
densities()
refused()
stripes()
with open(os.path.join(OUT, "index.txt"), "w", encoding="ascii") as index:
    index.write("\n".join(INDEX) + "\n")
