"""Source-over, and resizing without dark fringes.

Arrays are (height, width, channels). Layers are premultiplied: each colour already times its alpha. Blending and
resizing run on the encoded sRGB values, as browsers and layout programs do, so that a preview looks as the designer saw
it.
"""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from layouts.imaging.geometry import Rect

Pixels = NDArray[np.uint8]
_BAND = 64  # rows at a time: small enough for the cache


def premultiply(straight: Pixels) -> Pixels:
    """RGBA, uint8, straight to premultiplied, rounded to nearest."""
    return np.asarray(cv2.cvtColor(straight, cv2.COLOR_RGBA2mRGBA), np.uint8)


def unpremultiply(layer: Pixels) -> Pixels:
    """RGBA, uint8, premultiplied to straight; clear pixels become clear black."""
    return np.asarray(cv2.cvtColor(layer, cv2.COLOR_mRGBA2RGBA), np.uint8)


def source_over(backdrop: NDArray[Any], layer: NDArray[Any], opacity: float = 1.0) -> NDArray[Any]:
    """Lay a premultiplied layer over an opaque backdrop.

    Parameters
    ----------
    backdrop : ndarray, shape (h, w, 3)
    layer : ndarray, shape (h, w, 4)
        Premultiplied, of the backdrop's type: uint8, 0 to 255, or floating point, 0 to 1.
    opacity : float, 0 to 1
        Of the whole layer.

    Returns
    -------
    ndarray, shape (h, w, 3), of the backdrop's type. For uint8 within 1 of the exact value.

    Raises
    ------
    ValueError
        Shapes that do not fit, or an opacity outside 0 to 1.

    Source
    ------
    W3C Compositing and Blending Level 1, section 9.1.4: co = cs as + cb ab (1 - as), with ab = 1.
    """
    if backdrop.shape != (*layer.shape[:2], 3) or layer.shape[2:] != (4,) or backdrop.dtype != layer.dtype:
        raise ValueError(f"a layer of {layer.shape} {layer.dtype} does not fit {backdrop.shape} {backdrop.dtype}")
    if not 0 <= opacity <= 1:
        raise ValueError(f"opacity lies in 0 to 1; this is {opacity}")
    if backdrop.dtype != np.uint8:
        return np.asarray(layer[..., :3] * opacity + backdrop * (1 - layer[..., 3:] * opacity), backdrop.dtype)
    out = np.empty_like(backdrop)
    for top in range(0, len(out), _BAND):
        rows = slice(top, top + _BAND)
        out[rows] = _bytes_over(backdrop[rows], layer[rows], opacity)
    return out


def _bytes_over(backdrop: Pixels, layer: Pixels, opacity: float) -> NDArray[Any]:
    if opacity < 1:
        mixed = layer[..., :3] * np.float32(opacity) + backdrop * (1 - layer[..., 3:] * np.float32(opacity / 255))
        return np.asarray(np.minimum(mixed + 0.5, 255))
    under = backdrop.astype(np.uint16) * (255 - layer[..., 3:]).astype(np.uint16) + 128
    under += under >> 8
    under >>= 8  # now divided by 255, rounded to nearest, exact for all that fits 16 bits
    under += layer[..., :3]
    return np.minimum(under, 255)


def resize_layer(layer: Pixels, size: tuple[int, int], box: Rect | None = None) -> Pixels:
    """Resize a premultiplied layer, or the part of it in `box` (its pixels, need not be whole), to (width, height).

    Steps down by whole boxes to under twice the size, then a bicubic filter; where nothing changes, the same pixels.
    What of `box` lies outside the layer comes out clear.
    """
    height, width = layer.shape[:2]
    box = box or Rect(0, 0, width, height)
    if (box.width, box.height) == size and box.x == int(box.x) and box.y == int(box.y):
        x, y = int(box.x), int(box.y)
        if x >= 0 and y >= 0 and box.right <= width and box.bottom <= height:
            return layer[y : y + size[1], x : x + size[0]]
    inside = box.within(width, height)
    across, down = size[0] / box.width, size[1] / box.height
    left, top = round((inside.x - box.x) * across), round((inside.y - box.y) * down)
    part = (max(1, round(inside.width * across)), max(1, round(inside.height * down)))
    small = _resample(layer, (min(part[0], size[0] - left), min(part[1], size[1] - top)), inside)
    if small.shape[:2] == (size[1], size[0]):
        return small
    out = np.zeros((size[1], size[0], 4), np.uint8)
    out[top : top + small.shape[0], left : left + small.shape[1]] = small
    return out


def _resample(layer: Pixels, size: tuple[int, int], box: Rect) -> Pixels:
    image = Image.frombuffer("RGBa", (layer.shape[1], layer.shape[0]), np.ascontiguousarray(layer), "raw", "RGBa", 0, 1)
    edges = (box.x, box.y, box.right, box.bottom)
    small = np.array(image.resize(size, Image.Resampling.BICUBIC, box=edges, reducing_gap=2.0))
    np.minimum(small[..., :3], small[..., 3:], out=small[..., :3])  # the filter's overshoot must not pass the alpha
    return small
