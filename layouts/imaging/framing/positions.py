"""The maximal sets of any number of windows, by sliding the usable frame over the scene.

At a spare t, for each tau that a member allows at most, the frame without margin is of a fixed size. Of any set that
fits, slide the frame until its left and its top lie on some members'; the set is still inside. So it is enough to try
frames at the members' lefts and tops: at most 2 n^3 sets, and few of them maximal.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layouts.imaging.framing.masks import lying_within
from layouts.imaging.framing.problem import Pair
from layouts.imaging.framing.windows import Floats, Windows

Flags = NDArray[np.bool_]
Whole = NDArray[np.intp]

# Two ways to the same number may differ in its last bits; far below the slack of feasibility.
_BITS = 1 + 1e-12


class Positions:
    """Spares and maximal sets of windows, fixed or not. A set is a bit mask: bit i is window i.

    `sides` is the usable frame, longer side first, in camera pixels: the margin is off.
    """

    def __init__(self, every: Windows, sides: Pair) -> None:
        self.n = len(every)
        self._every = every
        self._ways = {sides, sides[::-1]}
        self._bits = [1 << i for i in range(self.n)]
        self._taus = [float(tau) for tau in np.unique(every.most)]
        self._fixed = every.extents(0.0) if every.fixed else None
        self._spares: dict[int, float] = {}

    def spare(self, members: int) -> float:
        """The greatest spare of a capture that holds these windows."""
        if members not in self._spares:
            self._spares[members] = self._spare([i for i in range(self.n) if members >> i & 1])
        return self._spares[members]

    def _spare(self, some: list[int]) -> float:
        tau = float(self._every.most[some].min())
        left, top, right, bottom, wide, high = self._extents(tau)[:, some].max(axis=1).tolist()
        across, down = max(left + right, wide), max(top + bottom, high)
        return float(max(min(w / across, h / down) for w, h in self._ways)) * tau

    def _extents(self, tau: float) -> Floats:
        return self._every.extents(tau) if self._fixed is None else self._fixed

    def maximal(self, t: float) -> list[int]:
        """The sets of spare >= t to which no window can be added."""
        found: set[int] = set()
        for tau in self._taus:
            extents = self._extents(tau)
            allow = self._every.most >= tau
            binding = sum(self._bits[i] for i in np.flatnonzero(self._every.most == tau))
            for wide, high in self._ways:
                frame = (wide * tau / t * _BITS, high * tau / t * _BITS)
                inside = allow & (extents[4] <= frame[0]) & (extents[5] <= frame[1])
                columns = self._along(extents[0], extents[2], frame[0], inside, binding)
                rows = self._along(extents[1], extents[3], frame[1], inside, binding)
                found.update(both for column in columns for row in rows if (both := column & row) & binding)
        return only_maximal(found, self.n)

    def _along(self, before: Floats, after: Floats, length: float, inside: Flags, binding: int) -> list[int]:
        """The maximal sets that a frame of this length takes in along one axis, its start on a member's.

        Only those with a binding window: the others lie in the sets of a greater tau.
        """
        some = np.flatnonzero(inside)
        by_start, by_end = some[before[some].argsort()], some[after[some].argsort()]
        ends = after[by_end].searchsorted(length - before[by_start], side="right").tolist()
        starting, ending = self._growing(by_start), self._growing(by_end)
        sets: list[int] = []
        last = len(ends) - 1
        for i, j in enumerate(ends):
            if i < last and ends[i + 1] == j:
                continue  # the next start takes in one more and loses none
            members = starting[i + 1] & ending[j]
            while sets and sets[-1] | members == members:
                sets.pop()
            if not sets or sets[-1] | members != sets[-1]:
                sets.append(members)
        return [members for members in sets if members & binding]

    def _growing(self, order: Whole) -> list[int]:
        masks = [0]
        for i in order.tolist():
            masks.append(masks[-1] | self._bits[i])
        return masks


def only_maximal(sets: set[int], n: int) -> list[int]:
    """Those that lie in no other, greatest first."""
    order = sorted(sets, key=lambda members: (-members.bit_count(), members))
    return [members for members, lies in zip(order, lying_within(order, n), strict=True) if not lies]
