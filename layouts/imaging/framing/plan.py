"""The capture plan: what to photograph so that every placement keeps the pixels it needs, in the fewest captures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from layouts.imaging.framing.cover import Effort
from layouts.imaging.framing.floating import placed
from layouts.imaging.framing.geometry import Box, Framing, density_needed, frame, hull, whole_pixels, window_of
from layouts.imaging.framing.positions import Positions
from layouts.imaging.framing.problem import Placement, Problem, TooLarge
from layouts.imaging.framing.search import Search, Sets
from layouts.imaging.framing.subsets import MOST as MOST_SUBSETS
from layouts.imaging.framing.subsets import Subsets
from layouts.imaging.framing.windows import Windows, dominators, least_spare, spare_alone, windows

# Placements that differ enough to be planned by themselves; past it no answer is tried.
MOST_APART = 160
MOST = 2000
# Up to so many the spares of all captures are settled; past it, and past its effort, the worst one only.
MOST_LEXIMIN = 40
# Some 5 s of searching at the most, where it was measured.
EFFORT = 110_000
LEXIMIN_EFFORT = 20_000


@dataclass(frozen=True, slots=True)
class Crop:
    """A placement in a capture: its window in camera pixels, unrounded, and its spare."""

    placement: Placement
    box: Box
    x: float
    y: float
    width: float
    height: float
    spare: float
    pixels: tuple[int, int, int, int]


@dataclass(frozen=True, slots=True)
class Capture:
    """One picture to take. `spare` is that of its tightest placement; crops come in the order of the input."""

    framing: Framing
    spare: float
    crops: tuple[Crop, ...]


@dataclass(frozen=True, slots=True)
class NotServed:
    """A placement that no single capture can give its pixels, its window in the scene and its spare alone."""

    placement: Placement
    box: Box
    spare_alone: float


@dataclass(frozen=True, slots=True)
class Plan:
    """Captures in ascending order of spare, and what none of them serves.

    `settled`: of how many captures, from the worst up, the spare is proven the greatest possible: of all where up to
    some 30 placements (at most 40) are undominated, and never of less than the worst one.
    """

    problem: Problem
    captures: tuple[Capture, ...]
    not_served: tuple[NotServed, ...]
    settled: int

    @property
    def worst_spare(self) -> float | None:
        return self.captures[0].spare if self.captures else None

    @property
    def spares(self) -> list[float]:
        return [capture.spare for capture in self.captures]


def plan(problem: Problem, *, effort: int = EFFORT, leximin_effort: int = LEXIMIN_EFFORT) -> Plan:
    """The exact plan: fewest captures, then the greatest worst spare, then the greatest spares from there up.

    `effort` bounds the steps of the search. Raises TooLarge where that is not enough: no answer but the exact one.
    """
    if len(problem.placements) > MOST:
        raise TooLarge(f"{len(problem.placements)} placements are too many for one shot; {MOST} can be planned.")
    alone = [spare_alone(problem, p) for p in problem.placements]
    least = least_spare(problem)
    served = [p for p, spare in zip(problem.placements, alone, strict=True) if spare >= least]
    not_served = tuple(
        NotServed(p, window_of(p, problem.hero_aspect), spare)
        for p, spare in zip(problem.placements, alone, strict=True)
        if spare < least
    )
    if not served:
        return Plan(problem, (), not_served, 0)
    every = windows(problem, served)
    hosts = dominators(every)
    apart = sorted(set(hosts))
    if len(apart) > MOST_APART:
        raise TooLarge(
            f"{len(apart)} of these {len(problem.placements)} placements differ so that none rides in another's "
            f"capture; up to {MOST_APART} can be planned exactly. Plan fewer formats at a time."
        )
    search = Search(_sets(problem, every.take(apart)), least, Effort(effort))
    found = search.best(leximin_effort=leximin_effort if len(apart) <= MOST_LEXIMIN else 0)
    groups = [[apart[i] for i in range(len(apart)) if members >> i & 1] for members in found.sets]
    captures = _captures(problem, served, groups, hosts)
    return Plan(problem, tuple(captures), not_served, found.settled)


def usable_sides(problem: Problem) -> tuple[float, float]:
    """The camera's frame without the margin, longer side first, px."""
    return problem.usable * problem.long, problem.usable * problem.short


def _sets(problem: Problem, apart: Windows) -> Sets:
    if apart.fixed and len(apart) <= MOST_SUBSETS:
        return Subsets(apart, usable_sides(problem))
    return Positions(apart, usable_sides(problem))


def _captures(
    problem: Problem, served: Sequence[Placement], groups: list[list[int]], hosts: list[int]
) -> list[Capture]:
    """The captures of these groups, with those who ride in them; `hosts` says with whom each rides."""
    riders = [p for p in range(len(served)) if hosts[p] != p]
    if any(p.hero_down_to is not None for p in served):
        for p in riders:  # windows are not known yet: each stays with its host
            next(group for group in groups if hosts[p] in group).append(p)
        riders = []
    boxes: dict[int, Box] = {}
    for group in groups:
        boxes.update(zip(group, placed(problem, [served[p] for p in group]), strict=True))
    boxes.update({p: window_of(served[p], problem.hero_aspect) for p in riders})
    for rider, group in zip(riders, _seats(problem, served, groups, boxes, riders, hosts), strict=True):
        group.append(rider)
    captures = [_capture(problem, [(served[p], boxes[p]) for p in sorted(group)]) for group in groups]
    return sorted(captures, key=lambda capture: capture.spare)


def _seats(
    problem: Problem,
    served: Sequence[Placement],
    groups: list[list[int]],
    boxes: dict[int, Box],
    riders: list[int],
    hosts: list[int],
) -> list[list[int]]:
    """For each rider the group, of those that hold its window and have its density to give, of the greatest density."""
    held = [hull(boxes[p] for p in group) for group in groups]
    dense = [max(density_needed(boxes[p], served[p].need) for p in group) for group in groups]
    given = [frame(problem, box).density for box in held]
    seats = []
    for p in riders:
        wants = density_needed(boxes[p], served[p].need)
        holds = [
            g for g, group in enumerate(groups) if hosts[p] in group or (held[g].holds(boxes[p]) and wants <= dense[g])
        ]
        seats.append(groups[max(holds, key=lambda g: given[g])])
    return seats


def _capture(problem: Problem, members: list[tuple[Placement, Box]]) -> Capture:
    framing = frame(problem, hull(box for _, box in members))
    crops = tuple(_crop(framing, placement, box) for placement, box in members)
    return Capture(framing, min(crop.spare for crop in crops), crops)


def _crop(framing: Framing, placement: Placement, box: Box) -> Crop:
    x, y, width, height = framing.pixels(box)
    left, wide = whole_pixels(x, width, framing.width)
    top, high = whole_pixels(y, height, framing.height)
    spare = framing.density / density_needed(box, placement.need)
    return Crop(placement, box, x, y, width, height, spare, (left, top, wide, high))
