"""A keyline drawn at the crop, and flattened artwork laid on a clear canvas: found by the ink in rows and columns."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layouts.imaging.decoding.prepare import Prepared
from layouts.imaging.geometry import Rect

_THIN = 0.006  # a keyline is thinner than this share of the canvas's longer side


def find_keyline(prepared: Prepared) -> tuple[Rect, float] | None:
    """A thin rectangle on a clear ground: rows and columns with much ink, and little just beside them."""
    rows, cols = prepared.survey.ink_rows, prepared.survey.ink_cols
    thick = max(10, int(_THIN * max(len(rows), len(cols))))
    down, across = _ends(rows, len(cols) / 2), _ends(cols, len(rows) / 2)
    if down is None or across is None:
        return None
    (top, bottom), (left, right) = down, across
    wide, high = right - left + 1, bottom - top + 1
    if wide * high < 0.1 * len(rows) * len(cols) or min(wide, high) <= 4 * thick:
        return None
    spans = [
        (_stroke(rows[top : bottom + 1], wide, thick), rows[top], wide),
        (_stroke(rows[top : bottom + 1][::-1], wide, thick), rows[bottom], wide),
        (_stroke(cols[left : right + 1], high, thick), cols[left], high),
        (_stroke(cols[left : right + 1][::-1], high, thick), cols[right], high),
    ]
    if sum(stroke is not None for stroke, _, _ in spans) < 3 or any(
        abs(ink - side) > 0.02 * side for _, ink, side in spans
    ):
        return None
    stroke = min(stroke for stroke, _, _ in spans if stroke is not None)
    half = stroke / 2
    rect = Rect(left + half, top + half, wide - 2 * half, high - 2 * half)
    if rect.area > 0.98 * prepared.canvas.area:
        return None  # a line along the canvas edges: the canvas is the crop
    return rect, stroke


def _ends(counts: NDArray[np.int32], enough: float) -> tuple[int, int] | None:
    """First and last index with more than `enough` ink."""
    full = np.flatnonzero(counts > enough)
    return (int(full[0]), int(full[-1])) if len(full) > 1 else None


def _stroke(inwards: NDArray[np.int32], length: int, thick: int) -> int | None:
    """How thick the line is that begins here; None if the ink does not fall away behind it."""
    thin = np.flatnonzero(inwards[: thick + 1] < 0.9 * length)
    return int(thin[0]) if len(thin) else None


def find_filled(prepared: Prepared) -> tuple[Rect, float] | None:
    """Artwork that fills a rectangle on a clear canvas: flattened, with the artboard's rest around it."""
    rows, cols = prepared.survey.ink_rows, prepared.survey.ink_cols
    down, across = _ends(rows, 0), _ends(cols, 0)
    if down is None or across is None:
        return None
    rect = Rect(across[0], down[0], across[1] - across[0] + 1, down[1] - down[0] + 1)
    if min(rect.x, rect.y, len(cols) - rect.right, len(rows) - rect.bottom) < 1:
        return None  # artwork at the canvas edge is no rectangle laid on it
    if rows.sum() < 0.98 * rect.area or rect.area < 0.2 * prepared.canvas.area:
        return None
    if prepared.survey.alpha[2] < 0.9 * rect.area:
        return None  # a soft ground, not a flattened one
    return rect, 0
