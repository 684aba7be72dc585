"""Whether the soft edges of type keep its colour, or go dark because colours were multiplied by alpha twice."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

_SAMPLES = 40_000  # edge pixels looked at in a file
_A_STRIP = 600
_FEWEST = 40  # with fewer nothing is said
_BRIGHT = 96  # of 255: the edge of dark type cannot go darker


class Edges:
    """Pixels between a solid and a clear one, side by side in a row: they should have the solid one's colour."""

    def __init__(self) -> None:
        self._darker: list[NDArray[np.float32]] = []
        self._have = 0

    def take(self, strip: NDArray[np.uint8], alpha: NDArray[np.uint8]) -> None:
        """Look at a strip of premultiplied RGBA; `alpha` is its last channel."""
        if self._have >= _SAMPLES or strip.shape[1] < 3:
            return
        strip, alpha = strip[::2], alpha[::2]  # each second row will do
        left, here, right = alpha[:, :-2], alpha[:, 1:-1], alpha[:, 2:]
        soft = (here > 64) & (here < 205)
        found = np.flatnonzero(soft & (((left == 255) & (right == 0)) | ((left == 0) & (right == 255))))
        if not len(found):
            return
        found = found[:: max(1, len(found) // _A_STRIP)]
        y, x = np.divmod(found, here.shape[1])
        solid = np.where(left[y, x] == 255, 0, 2)
        own = strip[y, x + 1].astype(np.float32)
        beside = strip[y, x + solid].astype(np.float32)
        channel = np.argmax(beside[:, :3], axis=1)
        row = np.arange(len(y))
        bright = beside[row, channel]
        share = own[:, 3] / 255
        straight = own[row, channel] / share
        fits = bright >= _BRIGHT
        darker = (1 - straight[fits] / bright[fits]) / (1 - share[fits])
        self._darker.append(darker)
        self._have += len(darker)

    @property
    def fringe(self) -> float | None:
        """How dark soft edges are: 0 as the type itself, 1 multiplied by alpha once too often; None: too few."""
        if self._have < _FEWEST:
            return None
        return float(np.median(np.concatenate(self._darker)))
