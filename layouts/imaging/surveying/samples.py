"""Small pieces of a canvas kept at full resolution, to see a pattern that reducing would blur."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

_SIDE = 128
_ACROSS, _DOWN = 5, 4
_NEUTRAL = 6  # of 255 between the channels of a grey
_SMALLEST = 4  # pixels, the side of a square
_ENOUGH = 0.65  # share of a piece that the two greys of a checkerboard cover; the rest is type


class Samples:
    """A grid of square pieces over the canvas, filled strip by strip."""

    def __init__(self, width: int, height: int) -> None:
        side = min(_SIDE, width, height)
        self._lefts = np.linspace(0, width - side, _ACROSS).astype(int)
        self._tops = np.linspace(0, height - side, _DOWN).astype(int)
        self._pieces = np.zeros((_DOWN, _ACROSS, side, side, 4), np.uint8)

    def take(self, top: int, strip: NDArray[np.uint8]) -> None:
        side = self._pieces.shape[2]
        for at, first in enumerate(self._tops):
            low, high = max(top, first), min(top + len(strip), first + side)
            if low < high:
                for column, left in enumerate(self._lefts):
                    self._pieces[at, column, low - first : high - first] = strip[
                        low - top : high - top, left : left + side
                    ]

    @property
    def checkerboard(self) -> tuple[int, int, int] | None:
        """The pattern that programs show behind transparency, where at least a fifth of the pieces have it: the side
        of its squares in pixels and its two greys, 0 to 255; else None."""
        pieces = self._pieces.reshape(-1, *self._pieces.shape[2:])
        found = [board for piece in pieces if (board := _checkerboard(piece))]
        return max(set(found), key=found.count) if len(found) >= len(pieces) / 5 else None


def _checkerboard(piece: NDArray[np.uint8]) -> tuple[int, int, int] | None:
    grey = piece[..., 1]
    neutral = (piece[..., 3] == 255) & (np.ptp(piece[..., :3].astype(np.int16), axis=-1) <= _NEUTRAL)
    counts = np.bincount(grey[neutral], minlength=256)
    one, other = (int(level) for level in np.argsort(counts)[-2:])
    least = counts[[one, other]].min()
    if counts[one] + counts[other] < _ENOUGH * grey.size or least < 0.2 * grey.size or abs(one - other) < 5:
        return None
    # +1 and -1 for the two greys, 0 for type: neighbours one square on are opposite, two squares on alike.
    sign = (neutral & (grey == one)).astype(np.int8) - (neutral & (grey == other)).astype(np.int8)
    for square in range(_SMALLEST, len(sign) // 2 + 1):
        aside = [(sign[:, :-square], sign[:, square:]), (sign[:-square], sign[square:])]
        if all(_agree(a, -b) > 0.98 for a, b in aside) and _upright(sign, square) and _upright(sign.T, square):
            return (square, max(one, other), min(one, other))
    return None


def _upright(sign: NDArray[np.int8], square: int) -> bool:
    """Whether one grey gives way to the other at the same columns in every row; between slanted stripes it does not."""
    turns = np.count_nonzero(sign[:, :-1] * sign[:, 1:] < 0, axis=0)
    most = np.sort(turns)[::-1][: math.ceil(len(turns) / square)]
    return bool(most.sum() > 0.8 * turns.sum())


def _agree(a: NDArray[np.int8], b: NDArray[np.int8]) -> float:
    both = a * b
    told = int(np.count_nonzero(both))
    return float((both > 0).sum() / told) if told > 0.2 * both.size else 0.0
