#!/usr/bin/python3
"""Writes pattern pictures as people send them into a folder, and index.txt: what each must give.

A line of the index is
    file status width_mm wood turn_deg tone truth agreement
where status is the tb_status wanted, wood 0 found, 1 dark, 2 light (what is asked for), tone the same for
what must be found, truth the right mask (PGM, 255 = wood), agreement the least share of its pixels
that must come out the same. Pillow and OpenCV do the drawing, turning and compressing.
"""
import os
import sys

import cv2
import numpy as np
from PIL import Image

OUT = sys.argv[1]
INDEX = []
FOUND, DARK, LIGHT = 0, 1, 2
TOP = 8  # times finer, the shapes are drawn, so that edges are soft where they should be


def shapes(height, width, frame, seed):
    """Wood with openings, held by a frame, drawn TOP / 2 times finer."""
    noise = np.random.default_rng(seed).random((height // 8 + 8, width // 8 + 8)).astype(np.float32)
    field = cv2.resize(cv2.GaussianBlur(noise, (0, 0), 2.2), (width, height),
                       interpolation=cv2.INTER_CUBIC)
    openings = field > np.quantile(field, 0.62)
    openings[:frame] = openings[-frame:] = openings[:, :frame] = openings[:, -frame:] = False
    # One straight inner edge of the frame on each side, as where a background is sawn out.
    inner = slice(frame, 3 * frame)
    half_h, half_w = height // 2, width // 2
    openings[inner, frame:half_w] = openings[half_h:height - frame, inner] = True
    openings[height - 3 * frame:height - frame, half_w:width - frame] = True
    openings[frame:half_h, width - 3 * frame:width - frame] = True
    return np.where(openings, 0, 255).astype(np.uint8)


def truth(name, wood):
    Image.fromarray(wood).save(os.path.join(OUT, name))
    return name


def put(name, picture, truth_name, tone, agreement, wood=FOUND, width_mm=0, turn=0, status=0, **save):
    save.setdefault("dpi", (300, 300))
    if save["dpi"] is None:
        del save["dpi"]
    Image.fromarray(picture).save(os.path.join(OUT, name), **save)
    INDEX.append(f"{name} {status} {width_mm} {wood} {turn} {tone} {truth_name} {agreement}")


def margin(picture, px, paper):
    return cv2.copyMakeBorder(picture, px, px + 7, px + 13, px, cv2.BORDER_CONSTANT, value=paper)


def turned(picture, degrees, paper):
    height, width = picture.shape
    matrix = cv2.getRotationMatrix2D(((width - 1) / 2, (height - 1) / 2), -degrees, 1)
    return cv2.warpAffine(picture, matrix, (width, height), flags=cv2.INTER_CUBIC,
                          borderValue=paper)


def toned(picture, dark, light):
    return (dark + picture.astype(np.float32) / 255 * (light - dark)).round().astype(np.uint8)


def scanned(picture, seed, noise=4, blur=0.9):
    soft = cv2.GaussianBlur(picture.astype(np.float32), (0, 0), blur)
    grain = np.random.default_rng(seed).normal(0, noise, picture.shape)
    return np.clip(soft + grain, 0, 255).round().astype(np.uint8)


WOOD = shapes(1100, 900, 60, 1)
BLACK = 255 - WOOD  # black wood on white
T = truth("truth.pgm", WOOD)

put("plain.png", WOOD, T, LIGHT, 1)
put("black-wood.png", BLACK, T, DARK, 1, wood=DARK)
put("white-wood-forced.png", WOOD, T, LIGHT, 1, wood=LIGHT)
put("margin.png", margin(BLACK, 80, 255), T, DARK, 1)
put("margin-of-black.png", margin(WOOD, 80, 0), T, LIGHT, 1)
put("one-bit.png", WOOD > 0, T, LIGHT, 1)
put("one-bit.tif", WOOD > 0, T, LIGHT, 1, compression="group4")
put("deep.png", WOOD.astype(np.uint16) * 257, T, LIGHT, 1)
put("colour.png", cv2.cvtColor(WOOD, cv2.COLOR_GRAY2RGB), T, LIGHT, 1)
put("clear.png", np.dstack([np.zeros_like(WOOD)] * 3 + [255 - WOOD]), T, LIGHT, 1)
put("lossless.webp", cv2.cvtColor(WOOD, cv2.COLOR_GRAY2RGB), T, LIGHT, 1, dpi=None, lossless=True,
    width_mm=76.2)
put("jpeg-50.jpg", WOOD, T, LIGHT, 0.9999, quality=50)
put("jpeg-50-margin.jpg", margin(BLACK, 80, 255), T, DARK, 0.9999, quality=50)
put("pale-openings.png", toned(WOOD, 205, 255), T, LIGHT, 1)
put("pale-wood.png", margin(toned(BLACK, 210, 255), 60, 255), T, DARK, 1)
put("pale-jpeg.jpg", toned(scanned(WOOD, 2), 200, 250), T, LIGHT, 0.999, quality=70)
put("scan.jpg", scanned(margin(toned(BLACK, 40, 235), 90, 235), 3), T, DARK, 0.9995, quality=85)


def lit(picture, seed, least, kind):
    """Under a lamp to one side, or darker towards the corners, with the scanner's grain."""
    y, x = np.indices(picture.shape) / np.array(picture.shape)[:, None, None]
    light = x * 0.6 + y * 0.4 if kind == "lamp" else 1 - (x - 0.45) ** 2 - (y - 0.5) ** 2
    light = least + (1 - least) * (light - light.min()) / (light.max() - light.min())
    return scanned(picture * light, seed, 3)


put("lamp.jpg", lit(margin(toned(BLACK, 40, 240), 90, 240), 5, 0.5, "lamp"), T, DARK, 0.999, quality=85)
put("pale-lamp.jpg", lit(margin(toned(BLACK, 200, 250), 90, 250), 6, 0.75, "lamp"), T, DARK, 0.998,
    quality=85)
# This much is two-tone yet, and not evened: the line moves by a third of a pixel in the corners.
put("corners.jpg", lit(margin(toned(BLACK, 40, 240), 90, 240), 7, 0.5, "corners"), T, DARK, 0.998,
    quality=85)
for degrees in (0.3, -1.0, 2.4):
    for paper, source, tone in ((255, BLACK, DARK), (255, WOOD, LIGHT)):
        sheet = margin(source, 90, paper)
        picture = scanned(turned(sheet, degrees, paper), 4)
        # White wood on white paper: the board's edge can't be seen, so all of it is compared.
        right = T if tone == DARK else truth("truth-margin.pgm", sheet)
        put(f"turned{degrees}-{'dark' if tone == DARK else 'light'}.jpg", picture, right, tone,
            0.9995, turn=degrees, quality=85)
outline = margin(WOOD, 3, 0)
put("drawn-outline.png", margin(outline[:-7, 13:], 70, 255), T, LIGHT, 0.999)


def working_print():
    """Pale openings with dark outlines, crosses and numbers, on a board drawn as a thin line."""
    fine = 4
    page = toned(margin(WOOD, 60, 255), 205, 255)
    large = cv2.resize(page, None, fx=fine, fy=fine, interpolation=cv2.INTER_NEAREST)
    lines, _ = cv2.findContours((large < 230).astype(np.uint8), cv2.RETR_LIST,
                                cv2.CHAIN_APPROX_NONE)
    cv2.drawContours(large, lines, -1, 70, 2 * fine)
    page = cv2.resize(large, None, fx=1 / fine, fy=1 / fine, interpolation=cv2.INTER_AREA)
    n, labels = cv2.connectedComponents(margin(BLACK, 60, 0), connectivity=8)
    for number in range(1, n):
        depth = cv2.distanceTransform((labels == number).astype(np.uint8), cv2.DIST_L2, 5)
        y, x = (int(v) for v in np.unravel_index(depth.argmax(), depth.shape))
        cv2.line(page, (x - 6, y), (x + 6, y), 40, 1, cv2.LINE_AA)
        cv2.line(page, (x, y - 6), (x, y + 6), 40, 1, cv2.LINE_AA)
        cv2.putText(page, str(number), (x + 14, y - 4), cv2.FONT_HERSHEY_SIMPLEX, 0.6, 30, 2,
                    cv2.LINE_AA)
    cv2.rectangle(page, (72, 59), (973, 1160), 70, 1)
    cv2.putText(page, "Print at 100 %", (90, 1200), cv2.FONT_HERSHEY_SIMPLEX, 0.8, 20, 2)
    return page


# Pixels half ink, half pale count as ink sooner than those half white: the line moves a third of a
# pixel into the openings, along 18,900 pixels of outline, which is 0.6 % of the board.
put("working-print.png", working_print(), T, LIGHT, 0.993)
# Blurred, it moves half a pixel (0.04 mm), and the board's edge is found to a pixel.
put("working-print-scanned.jpg", scanned(turned(working_print(), 0.7, 255), 7, 3, 0.7), T, LIGHT,
    0.988, turn=0.7, quality=90)
# 300 dots an inch across and 150 down: a line lies to half a coarse pixel, one of the truth's, along
# 18,900 pixels of outline: 1.9 % of the board.
put("fax.tif", cv2.resize(WOOD, (900, 550), interpolation=cv2.INTER_AREA) > 127, T, LIGHT, 0.981, dpi=(300, 150),
    compression="group4")
small = cv2.resize(WOOD, (450, 550), interpolation=cv2.INTER_AREA)
put("150-dpi.png", small, T, LIGHT, 0.999, dpi=(150, 150))
big = cv2.resize(WOOD, (1800, 2200), interpolation=cv2.INTER_LINEAR)
put("600-dpi.png", big, T, LIGHT, 0.9999, dpi=(600, 600))

y, x = np.indices((1100, 900))
oval = ((x - 450) / 430) ** 2 + ((y - 550) / 530) ** 2
black_oval = np.where(oval > 1, 255, np.where(oval > 0.85, 0, BLACK)).astype(np.uint8)
left, top, right, bottom = (f(np.nonzero(black_oval == 0)[i]) for f in (np.min, np.max)
                            for i in (1, 0))
put("oval.png", black_oval, truth("oval.pgm", 255 - black_oval[top:bottom + 1, left:right + 1]),
    DARK, 1)

put("no-size.png", WOOD, T, LIGHT, 1, dpi=None, status=-1)
put("width.png", WOOD, T, LIGHT, 1, dpi=None, width_mm=200)
inner, _ = cv2.findContours(BLACK, cv2.RETR_LIST, cv2.CHAIN_APPROX_NONE)
put("outlines.png", cv2.drawContours(np.full_like(WOOD, 255), inner, -1, 0, 2), T, LIGHT, 1, status=-4)
dots = (np.add(*np.indices(WOOD.shape)) % 6 < 2) & (WOOD == 0)
put("hatched.png", np.where(dots, 0, 255).astype(np.uint8), T, LIGHT, 1, status=-4)
put("white.png", np.full((300, 300), 255, np.uint8), T, LIGHT, 1, status=-4)
put("shades.png", np.tile(np.linspace(0, 255, 900).astype(np.uint8), (600, 1)), T, LIGHT, 1,
    status=-4)
put("noise.png", np.random.default_rng(5).integers(0, 256, (600, 600)).astype(np.uint8), T, LIGHT,
    1, status=-4)
soft = cv2.GaussianBlur(np.random.default_rng(6).random((700, 700)).astype(np.float32), (0, 0), 12)
soft = ((soft - soft.min()) / np.ptp(soft) * 255).astype(np.uint8)
put("photograph.jpg", soft, T, LIGHT, 1, status=-4, quality=90)

with open(os.path.join(OUT, "index.txt"), "w", encoding="ascii") as index:
    index.write("\n".join(INDEX))
