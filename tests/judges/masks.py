"""Masks to try the core on: easy ones, ugly ones, and likenesses of real patterns."""

import numpy as np


def blobs(height, width, seed, size=9, share=0.6):
    """Smooth random shapes: about `share` of the picture is wood."""
    import cv2

    noise = np.random.default_rng(seed).random((height, width), dtype=np.float32)
    smooth = cv2.GaussianBlur(noise, (0, 0), size)
    return (smooth < np.quantile(smooth, share)).astype(np.uint8)


def framed(height, width, seed, size=9, frame=20):
    mask = blobs(height, width, seed, size)
    mask[:frame] = mask[-frame:] = 1
    mask[:, :frame] = mask[:, -frame:] = 1
    return mask


def noise(height, width, seed):
    return (np.random.default_rng(seed).random((height, width)) < 0.5).astype(np.uint8)


def checkerboard(height, width):
    y, x = np.indices((height, width))
    return ((x + y) % 2).astype(np.uint8)


def spiral(height, width, pitch=2):
    """One strip of wood, wound from the edge to the middle."""
    mask = np.zeros((height, width), np.uint8)
    top, left, bottom, right = 0, 0, height - 1, width - 1
    while top <= bottom and left <= right:
        mask[top, max(left - pitch, 0):right + 1] = 1
        mask[top:bottom + 1, right] = 1
        mask[bottom, left:right + 1] = 1
        mask[top + pitch:bottom + 1, left] = 1
        top, left, bottom, right = top + pitch, left + pitch, bottom - pitch, right - pitch
    return mask


def comb(height, width):
    mask = np.zeros((height, width), np.uint8)
    mask[:, ::2] = 1
    mask[-1] = 1
    return mask


def diagonal(height, width):
    mask = np.zeros((height, width), np.uint8)
    n = min(height, width)
    mask[np.arange(n), np.arange(n)] = 1
    return mask


def ugly(height, width):
    """Name and mask of each that has broken somebody's code before."""
    return {
        "noise": noise(height, width, 1),
        "checkerboard": checkerboard(height, width),
        "spiral": spiral(height, width),
        "comb": comb(height, width),
        "all wood": np.ones((height, width), np.uint8),
        "all opening": np.zeros((height, width), np.uint8),
        "diagonal": diagonal(height, width),
    }


def samples():
    """Small masks of many kinds and of widths about the size of a machine word."""
    for name, mask in ugly(67, 130).items():
        yield name, mask
    for width in (1, 2, 63, 64, 65, 127, 128, 129, 200):
        yield f"blobs {width} wide", blobs(90, width, width, 3)
    yield "one pixel", np.ones((1, 1), np.uint8)
    yield "one row", noise(1, 300, 2)
    yield "one column", noise(300, 1, 3)
    yield "framed", framed(300, 400, 4)
