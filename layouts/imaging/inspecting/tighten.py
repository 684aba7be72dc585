"""Boxes and lines found on the reduced layer, put right from the masks at full resolution."""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from layouts.imaging.geometry import Rect
from layouts.imaging.inspecting.letters import Line, boxes_of, letters_of
from layouts.imaging.surveying.survey import Masks

_LOW = 200  # canvas pixels: of lines higher than this the layer tells the letters' height well enough
_SOFT = 1.7  # times as much half-covered as solid ink: a shadow or a glow, not soft edges
_LEAST = 4  # pixels of a piece that is ink


def tight(box: Rect, masks: Masks, scale: float) -> Rect:
    """The box moved to the solid ink inside it, by no more than the error of a layer of `scale` pixels a pixel.

    A soft edge counts from half its cover on, unless a shadow or glow lies beyond it.
    """
    reach = math.ceil(1.5 / scale) if scale < 1 else 1
    x0, y0, x1, y1 = round(box.x), round(box.y), round(box.right), round(box.bottom)
    top = _first(masks, (x0, y0 - reach, x1, y0 + reach + 1), 0, flip=False)
    bottom = _first(masks, (x0, y1 - reach - 1, x1, y1 + reach), 0, flip=True)
    left = _first(masks, (x0 - reach, y0, x0 + reach + 1, y1), 1, flip=False)
    right = _first(masks, (x1 - reach - 1, y0, x1 + reach, y1), 1, flip=True)
    new = [
        old if found is None else found for found, old in zip((left, top, right, bottom), (x0, y0, x1, y1), strict=True)
    ]
    if new[2] <= new[0] or new[3] <= new[1]:
        return box
    return Rect(new[0], new[1], new[2] - new[0], new[3] - new[1])


def _first(masks: Masks, part: tuple[int, int, int, int], axis: int, *, flip: bool) -> int | None:
    """The first row (axis 0) or column (1) of a part with solid ink, coming from outside; None: there is none."""
    solid, half, ink = (_lines_with(mask.cut(*part), axis, flip=flip) for mask in (masks.solid, masks.half, masks.ink))
    limit = (masks.solid.height, masks.solid.width)[axis]
    low, high = max(0, part[1 - axis]), min(limit, part[3 - axis])
    if not solid.any():
        return None
    at = int(np.argmax(solid))
    if at >= 1 and half[at - 1] and not (at >= 2 and ink[at - 2] and half[at - 2]) and (at < 3 or not ink[at - 3]):
        at -= 1
    return high - at if flip else low + at


def _lines_with(mask: NDArray[np.uint8], axis: int, *, flip: bool) -> NDArray[np.bool_]:
    found = np.asarray(mask.any(axis=1 - axis))
    return np.asarray(found[::-1] if flip else found)


def fine_line(line: Line, masks: Masks) -> Line:
    """A low line with its letters measured at full resolution; a high one as it is."""
    if line.height > _LOW:
        return line
    box = line.ink
    part = (round(box.x), round(box.y), round(box.right), round(box.bottom))
    solid, half = masks.solid.cut(*part), masks.half.cut(*part)
    if solid.sum() < 0.05 * solid.size:
        return line
    mask = half if half.sum() <= _SOFT * solid.sum() else solid
    _, _, stats, _ = cv2.connectedComponentsWithStats(np.ascontiguousarray(mask), connectivity=8)
    boxes = boxes_of(np.asarray(stats[1:], np.int64), _LEAST)
    if not len(boxes):
        return line
    top, height, even = letters_of(boxes)
    return Line(box, part[1] + top, height, even)
