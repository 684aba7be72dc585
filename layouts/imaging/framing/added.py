"""A format that comes on the day: does a frame that was planned, or is already taken, serve it as it is?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from layouts.imaging.framing.geometry import Framing, density_needed, whole_pixels, window_of
from layouts.imaging.framing.plan import Plan, plan
from layouts.imaging.framing.problem import Placement, Problem
from layouts.imaging.framing.windows import least_spare


@dataclass(frozen=True, slots=True)
class Fit:
    """What one frame gives a placement.

    frame    which, from 0
    inside   whether the whole window is in the frame
    margin   whether it also keeps the margin on every side
    spare    its pixels over those that it needs; where it is not inside, as if the picture went on
    serves   inside, and pixels enough with the enlargement agreed
    pixels   the crop, x, y, width, height in camera pixels; None where it is not inside
    """

    frame: int
    inside: bool
    margin: bool
    spare: float
    serves: bool
    pixels: tuple[int, int, int, int] | None


@dataclass(frozen=True, slots=True)
class Added:
    """Each frame's answer, the best first; and where none serves, the plan with the placement in it.

    reshoot   frames of the old plan that the new one does not keep; empty where one serves
    """

    fits: tuple[Fit, ...]
    replanned: Plan | None
    reshoot: tuple[int, ...]


def add(now: Plan, placement: Placement) -> Added:
    """Ask the frames of a plan for one more placement. Raises Unplannable, also for an id that is taken."""
    problem = replace(now.problem, placements=(*now.problem.placements, placement))
    framings = [capture.framing for capture in now.captures]
    fits = fits_in(problem, framings, placement)
    if fits and fits[0].serves:
        return Added(fits, None, ())
    after = plan(problem)
    kept = [capture.framing for capture in after.captures]
    return Added(fits, after, tuple(i for i, framing in enumerate(framings) if framing not in kept))


def fits_in(problem: Problem, framings: Sequence[Framing], placement: Placement) -> tuple[Fit, ...]:
    """What each frame gives the placement: those that serve first, then by their spare."""
    fits = [_fit(problem, at, framing, placement) for at, framing in enumerate(framings)]
    return tuple(sorted(fits, key=lambda fit: (not fit.serves, not fit.inside, -fit.spare, fit.frame)))


def _fit(problem: Problem, at: int, framing: Framing, placement: Placement) -> Fit:
    box = window_of(placement, problem.hero_aspect)
    x, y, wide, high = framing.pixels(box)
    spare = framing.density / density_needed(box, placement.need)
    room = min(
        x / framing.width,
        y / framing.height,
        1 - (x + wide) / framing.width,
        1 - (y + high) / framing.height,
    )
    inside = room >= -1e-9
    across, down = whole_pixels(x, wide, framing.width), whole_pixels(y, high, framing.height)
    return Fit(
        frame=at,
        inside=inside,
        margin=room >= problem.margin - 1e-9,
        spare=spare,
        serves=inside and spare >= least_spare(problem),
        pixels=(across[0], down[0], across[1], down[1]) if inside else None,
    )
