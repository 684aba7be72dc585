"""The edges of a window put right to the pixel, from the masks at full resolution."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from layouts.imaging.decoding.prepare import Prepared
from layouts.imaging.geometry import Rect
from layouts.imaging.surveying.bits import Bits
from layouts.imaging.surveying.survey import Masks

_ENDS = 0.12  # of a side at each end are left out, where corners may be round
Shares = NDArray[np.float64]


def to_the_pixel(rect: Rect, prepared: Prepared) -> tuple[Rect, float]:
    """The rectangle (canvas pixels, good to a pixel or two of the layer) with its edges where the masks step.

    Also how clear the least clear of the four steps is, 0 to 1; over 0.2 it is beyond doubt. Without masks the
    rectangle comes back in whole pixels, with 0.
    """
    masks = prepared.survey.masks
    whole = Rect(round(rect.x), round(rect.y), round(rect.right) - round(rect.x), round(rect.bottom) - round(rect.y))
    if masks is None:
        return whole, 0.0
    across, down = (math.ceil(2 / scale) + 2 for scale in (prepared.across, prepared.down))
    top, bottom = (_row(masks, whole, at, down) for at in (whole.y, whole.bottom))
    left, right = (_column(masks, whole, at, across) for at in (whole.x, whole.right))
    width, height = right[0] - left[0], bottom[0] - top[0]
    if width < 8 or height < 8:
        return whole, 0.0
    return Rect(left[0], top[0], width, height), min(step for _, step in (left, top, right, bottom))


def _row(masks: Masks, rect: Rect, near: float, reach: int) -> tuple[float, float]:
    x0, x1 = round(rect.x + _ENDS * rect.width), round(rect.right - _ENDS * rect.width)
    return _step(masks, lambda mask, low, high: mask.by_row(x0, low, x1, high), near, reach)


def _column(masks: Masks, rect: Rect, near: float, reach: int) -> tuple[float, float]:
    y0, y1 = round(rect.y + _ENDS * rect.height), round(rect.bottom - _ENDS * rect.height)
    return _step(masks, lambda mask, low, high: mask.by_column(low, y0, high, y1), near, reach)


def _step(masks: Masks, shares: Callable[[Bits, int, int], Shares], near: float, reach: int) -> tuple[float, float]:
    """Where, within reach of `near`, ink or the ground's colour steps most, and by how much."""
    low, high = max(0, round(near) - reach), round(near) + reach
    best = (float(near), 0.0)
    for mask in (masks.same, masks.ink):
        steps = np.abs(np.diff(shares(mask, low, high)))
        if len(steps):
            at = int(np.argmax(steps))
            if steps[at] > best[1] + 0.02:
                best = (float(low + at + 1), float(steps[at]))
    return best if best[1] >= 0.05 else (float(round(near)), 0.0)
