"""Where windows come to lie that may grow and slide in a capture, because the hero may be smaller than its zone."""

from __future__ import annotations

from collections.abc import Sequence

from layouts.imaging.framing.geometry import Box, window_of
from layouts.imaging.framing.problem import Placement, Problem
from layouts.imaging.framing.windows import windows


def placed(problem: Problem, members: Sequence[Placement]) -> list[Box]:
    """The windows of one capture at its greatest spare, each as near to its own place as the others allow."""
    if all(p.hero_down_to is None for p in members):
        return [window_of(p, problem.hero_aspect) for p in members]
    every = windows(problem, members)
    left, top, right, bottom, wide, high = every.extents(float(every.most.min()))
    across = max(left.max() + right.max(), wide.max())
    down = max(top.max() + bottom.max(), high.max())
    long, short = problem.usable * problem.long, problem.usable * problem.short
    w, h = max(((long, short), (short, long)), key=lambda way: min(way[0] / across, way[1] / down))
    r = float(min(w / across, h / down))
    at_x = [_standing(p, 0, float(x), problem.hero_aspect) for p, x in zip(members, wide, strict=True)]
    at_y = [_standing(p, 1, float(y), 1.0) for p, y in zip(members, high, strict=True)]
    columns = _slid(left.tolist(), right.tolist(), wide.tolist(), at_x, w / r)
    rows = _slid(top.tolist(), bottom.tolist(), high.tolist(), at_y, h / r)
    return [
        window_of(p, problem.hero_aspect) if p.hero_down_to is None else Box(x0, y0, x1, y1)
        for p, (x0, x1), (y0, y1) in zip(members, columns, rows, strict=True)
    ]


def _standing(p: Placement, axis: int, length: float, hero: float) -> float:
    """Where a window this long starts when the hero stands in its zone as the anchor says."""
    start, end = p.zone[axis], p.zone[axis + 2]
    return -hero / 2 - p.anchor[axis] * ((end - start) * length - hero) - start * length


def _slid(
    before: Sequence[float], after: Sequence[float], lengths: Sequence[float], standing: Sequence[float], frame: float
) -> list[tuple[float, float]]:
    """Start and end of each window along one axis, inside one frame of this length and with the hero in its zone.

    `before` and `after` are how far each window reaches at the least on both sides of the hero's centre.
    """
    begin = min(max(-frame / 2, max(after) - frame), -max(before))
    spans = []
    for least, most, length, wish in zip(before, after, lengths, standing, strict=True):
        low, high = max(most - length, begin), min(-least, begin + frame - length)
        start = min(max(wish, low), high)
        spans.append((start, start + length))
    return spans
