"""The windows of a problem as arrays, and domination: which placements ride in any capture that holds another.

Where the designer agrees that the hero may be smaller than its zone, the window may grow and slide. In a capture of
density r and spare t let tau = t / r. A window that is h high at the least, needs n pixels down and takes the hero at s
to 1 of its zone is then max(h, n tau) high, and tau may be at most h / (s n); a fixed window has s = 1. Every extent is
so a constant up to h / n, and a straight line through or above the origin from there on. So at one spare a greater tau
loosens every constraint, and a set's best tau is the least that any member allows: exact, without a search.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layouts.imaging.framing.geometry import contain, density_given, density_needed, window
from layouts.imaging.framing.problem import Placement, Problem

Floats = NDArray[np.float64]

# Feasible is E x spare >= 1 - this, on unrounded numbers.
SLACK = 1e-9


@dataclass(frozen=True)
class Windows:
    """Placements as arrays, n long in the last axis.

    least   (6, n)  how far the window reaches at the least left, up, right and down of the hero's centre; then its
                    width and height
    grows   (6, n)  what of each comes with a unit of tau past `starts`; 0 where the window is fixed
    starts  (n,)    1 / density needed
    most    (n,)    the greatest tau
    """

    least: Floats
    grows: Floats
    starts: Floats
    most: Floats

    def __len__(self) -> int:
        return len(self.most)

    def take(self, which: Sequence[int]) -> Windows:
        """Only those placements."""
        at = list(which)
        return Windows(self.least[:, at], self.grows[:, at], self.starts[at], self.most[at])

    @property
    def fixed(self) -> bool:
        """Whether no window may grow or slide."""
        return not self.grows.any()

    def extents(self, tau: float | Floats) -> Floats:
        """Reaches and sizes, (6, n), at this tau, or each window's at a tau of its own."""
        return self.least + self.grows * np.maximum(0.0, tau - self.starts)


def windows(problem: Problem, placements: Sequence[Placement]) -> Windows:
    """The placements' windows on this problem's hero."""
    columns = [_column(placement, problem.hero_aspect) for placement in placements]
    table = np.array(columns, dtype=np.float64).reshape(len(columns), 14).T
    return Windows(table[0:6], table[6:12], table[12], table[13])


def _column(p: Placement, hero_aspect: float) -> list[float]:
    box = window(p.aspect, p.zone, p.anchor, hero_aspect)
    starts = 1 / density_needed(box, p.need)
    if p.hero_down_to is None:
        reach = [-box.left, -box.top, box.right, box.bottom]
        return [*reach, box.width, box.height, *[0.0] * 6, starts, starts]
    x0, y0, x1, y1 = p.zone
    h = contain(p.aspect, p.zone, hero_aspect)
    shares = [x0 * p.aspect, y0, (1 - x1) * p.aspect, 1 - y1]
    heroes = [hero_aspect / 2, 0.5, hero_aspect / 2, 0.5]
    size = [p.aspect * h, h]
    per_tau = h / starts
    grows = [share * per_tau for share in (*shares, p.aspect, 1.0)]
    reach = [hero + share * h for hero, share in zip(heroes, shares, strict=True)]
    return [*reach, *size, *grows, starts, starts / p.hero_down_to]


def spare_alone(problem: Problem, placement: Placement) -> float:
    """The spare of a capture for this placement alone.

    Neither its zone nor the hero enters where the artwork has the window's shape, nor does it help to let the hero
    be smaller: what cannot be served is known from the order and the camera.
    """
    box = window(placement.aspect, placement.zone, placement.anchor, problem.hero_aspect)
    return density_given(problem, box.width, box.height)[0] / density_needed(box, placement.need)


def least_spare(problem: Problem) -> float:
    """The spare that a capture must have."""
    return (1 - SLACK) / problem.enlargement


def dominators(every: Windows) -> list[int]:
    """For each placement one in whose captures it always rides, or itself where there is none.

    p rides with q where p's window lies in q's at every tau that q allows, and p allows them too; of equals the first
    stays. What is returned stays itself.
    """
    n = len(every)
    inside = np.ones((n, n), dtype=bool)  # [p, q]
    for taus in (every.starts, every.most):  # q is constant, then straight; p is convex: the ends decide
        of_q = every.extents(taus)
        for e in range(6):
            base = every.least[e][:, None]
            grown = every.grows[e][:, None] * np.maximum(0.0, taus[None, :] - every.starts[:, None])
            inside &= base + grown <= of_q[e][None, :]
    inside &= every.most[:, None] >= every.most[None, :]
    later = np.arange(n)[:, None] > np.arange(n)[None, :]
    rides = inside & (~inside.T | later)
    np.fill_diagonal(rides, False)
    return [_top(p, rides) for p in range(n)]


def _top(p: int, rides: NDArray[np.bool_]) -> int:
    """Follow to one that rides with nobody; `rides` is an order, so this ends."""
    free: NDArray[np.bool_] = ~np.any(rides, axis=1)
    if free[p]:
        return p
    return int(np.argmax(rides[p] & free))
