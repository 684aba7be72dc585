"""Marks over parts of a picture that are told from it by their lines, and not by a colour alone."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]
_PERIOD, _LINE = 1 / 150, 1 / 1200  # of the longer side: from line to line, and the width of one
_SPECK = 5  # px; smaller spots are grain and get no mark


def hatched(mask: NDArray[np.bool_]) -> Pixels:
    """Where a mask (h, w) holds, slanting white lines with a dark edge, and an outline; else clear. Straight RGBA."""
    high, wide = mask.shape[:2]
    longer = max(high, wide)
    period, line = max(12, round(_PERIOD * longer)), max(2, round(_LINE * longer))
    part = np.asarray(cv2.medianBlur(mask.astype(np.uint8), _SPECK)) > 0
    slant = (np.arange(high)[:, None] + np.arange(wide)[None, :]) % period
    inner = part & ~_grown(~part, line)
    edge = part & ~inner
    out = np.zeros((high, wide, 4), np.uint8)
    out[part & (slant < 2 * line)] = (0, 0, 0, 255)
    out[part & (slant < line)] = (255, 255, 255, 255)
    out[edge] = (255, 255, 255, 255)
    out[_grown(part, line) & ~part] = (0, 0, 0, 255)
    return out


def _grown(mask: NDArray[np.bool_], by: int) -> NDArray[np.bool_]:
    kernel = np.ones((2 * by + 1, 2 * by + 1), np.uint8)
    return np.asarray(cv2.dilate(mask.astype(np.uint8), kernel)) > 0
