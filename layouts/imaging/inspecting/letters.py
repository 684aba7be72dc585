"""The height of the letters of a line, from the boxes of its pieces of ink."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from layouts.imaging.geometry import Rect

# Boxes are rows of x0, y0, x1, y1.
Boxes = NDArray[np.int64]
_SMALL = 0.35  # of the tallest: dots, commas, hyphens
_LEVEL = 0.07  # of the tallest: letters that stand on one line; round ones reach a little below it
_PART = 0.3  # of a line's letters end on its foot line at least
_TALL = 0.88  # of the tallest that stands on the line: capitals, figures and letters with an ascender


@dataclass(frozen=True)
class Line:
    """A line of type. `ink`: all of it, from the highest to the lowest; `y` and `height`: of its letters alone.

    The height is that of the capitals (of the lowest of the tall letters), without what hangs below the line. `even`:
    all letters have that height, so that they are either capitals or small letters without a tall one among them.
    """

    ink: Rect
    y: float
    height: float
    even: bool


def boxes_of(stats: NDArray[np.int64], least: int) -> Boxes:
    """Boxes of the pieces that OpenCV counted (their stats, without the ground's) that have `least` pixels."""
    kept = stats[stats[:, cv2.CC_STAT_AREA] >= least]
    return np.concatenate([kept[:, :2], kept[:, :2] + kept[:, 2:4]], axis=1)


def letters_of(boxes: Boxes) -> tuple[float, float, bool]:
    """Top and height of the letters of one line, and whether all are of that height; from the boxes of its pieces."""
    high = boxes[:, 3] - boxes[:, 1]
    main = boxes[high >= _SMALL * high.max()]
    foot = _foot(main[:, 3], max(1.0, _LEVEL * high.max()))
    standing = main[np.abs(main[:, 3] - foot) <= max(1.0, _LEVEL * high.max())]
    tall_of = standing[:, 3] - standing[:, 1]
    # Of the tall ones the lowest: ascenders rise above capitals, and what is read farthest is not to be overstated.
    height = float(tall_of[tall_of >= _TALL * tall_of.max()].min())
    return foot - height, height, bool((tall_of >= 0.85 * height).all())


def _foot(bottoms: NDArray[np.int64], near: float) -> float:
    """The line that letters stand on: the highest at which a good part of them end. Others hang below it."""
    counts = (np.abs(bottoms[:, None] - bottoms[None, :]) <= near).sum(axis=1)
    enough = min(int(counts.max()), max(2, math.ceil(_PART * len(bottoms))))
    highest = bottoms[counts >= enough].min()
    return float(np.median(bottoms[np.abs(bottoms - highest) <= near]))
