"""A format that comes on the day and that no frame serves: which frame to take again, framed how, or one more.

Only one frame is taken anew, so that what is taken already stays: no plan is made over. So it takes no search, and
answers at once however many placements there are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from layouts.imaging.framing.geometry import Box, Framing, density_needed, frame, hull, window_of
from layouts.imaging.framing.plan import Capture
from layouts.imaging.framing.problem import Placement, Problem
from layouts.imaging.framing.stitch import GroundPlate, Tiles, ground_plate, tiles
from layouts.imaging.framing.windows import least_spare


@dataclass(frozen=True, slots=True)
class Taken:
    """A frame as it was planned or taken: the windows of its placements, and the density that each needs."""

    framing: Framing
    boxes: tuple[Box, ...]
    needs: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Retake:
    """A frame to take anew. `frame` is which it replaces, from 0; None: it is one more, for the new placement alone.

    `spare` is that of its tightest placement, `gives` that of the new one.
    """

    frame: int | None
    framing: Framing
    spare: float
    gives: float


@dataclass(frozen=True, slots=True)
class Otherwise:
    """What serves a placement that no single frame serves."""

    gives: float  # its spare in a frame of its own
    stitched: Tiles
    plate: GroundPlate


def taken(capture: Capture) -> Taken:
    """A planned capture as a frame."""
    boxes = tuple(crop.box for crop in capture.crops)
    needs = tuple(density_needed(crop.box, crop.placement.need) for crop in capture.crops)
    return Taken(capture.framing, boxes, needs)


def retakes(problem: Problem, frames: Sequence[Taken], placement: Placement) -> tuple[Retake, ...]:
    """Each single frame that, taken anew, serves all that it served and the new placement; then one more frame.

    `problem` gives camera, hero, margin and enlargement. Those that replace a frame come by their spare, the greatest
    first. Empty where not even a frame of its own serves the placement.
    """
    box = window_of(placement, problem.hero_aspect)
    need = density_needed(box, placement.need)
    least = least_spare(problem)
    found = []
    for at, one in enumerate(frames):
        framing = frame(problem, hull((*one.boxes, box)))
        spare = min(framing.density / needed for needed in (*one.needs, need))
        if spare >= least:
            found.append(Retake(at, framing, spare, framing.density / need))
    found.sort(key=lambda retake: -retake.spare)
    own = frame(problem, box)
    if own.density / need >= least:
        found.append(Retake(None, own, own.density / need, own.density / need))
    return tuple(found)


def otherwise(problem: Problem, placement: Placement) -> Otherwise:
    """Tiles and ground plate for a placement that no single frame serves."""
    box = window_of(placement, problem.hero_aspect)
    given = frame(problem, box).density / density_needed(box, placement.need)
    return Otherwise(given, tiles(problem, box, placement.need), ground_plate(problem, box, placement.need))
