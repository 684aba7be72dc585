"""The maximal sets of up to 16 fixed windows, from a table of all their subsets."""

from __future__ import annotations

import numpy as np

from layouts.imaging.framing.problem import Pair
from layouts.imaging.framing.windows import Windows

MOST = 16


class Subsets:
    """Spares of all subsets of n <= 16 fixed windows. A set is a bit mask: bit i is window i.

    `sides` is the usable frame, longer side first, in camera pixels: the margin is off.
    """

    def __init__(self, every: Windows, sides: Pair) -> None:
        if len(every) > MOST or not every.fixed:
            raise ValueError(f"a table of subsets is for up to {MOST} fixed windows")
        self.n = len(every)
        reach = np.full((4, 1), -np.inf)
        tau = np.full(1, np.inf)
        for i in range(self.n):  # each window doubles the table: without it, with it
            reach = np.hstack([reach, np.maximum(reach, every.least[:4, i : i + 1])])
            tau = np.hstack([tau, np.minimum(tau, every.most[i])])
        with np.errstate(invalid="ignore"):
            wide, high = reach[0] + reach[2], reach[1] + reach[3]
            long, short = sides
            r = np.maximum(np.minimum(long / wide, short / high), np.minimum(short / wide, long / high))
            self._spares = r * tau
        self._spares[0] = np.inf

    def spare(self, members: int) -> float:
        return float(self._spares[members])

    def maximal(self, t: float) -> list[int]:
        """The sets of spare >= t to which no window can be added."""
        fits = self._spares >= t
        grows = np.zeros_like(fits)
        for i in range(self.n):
            pairs = fits.reshape(-1, 2, 1 << i)
            grows.reshape(-1, 2, 1 << i)[:, 0] |= pairs[:, 1]
        return [int(members) for members in np.flatnonzero(fits & ~grows) if members]
