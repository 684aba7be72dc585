"""What serves a placement that no single capture serves: a stitched picture, or the hero over a ground plate."""

from __future__ import annotations

import math
from dataclasses import dataclass

from layouts.imaging.framing.geometry import Box, density_given, density_needed
from layouts.imaging.framing.problem import Pair, Problem

OVERLAP = 0.3


@dataclass(frozen=True, slots=True)
class Tiles:
    """A grid of frames, each overlapping the next by `overlap` of its side."""

    columns: int
    rows: int
    landscape: bool
    overlap: float

    @property
    def count(self) -> int:
        return self.columns * self.rows


@dataclass(frozen=True, slots=True)
class GroundPlate:
    """The hero from a capture of its own, laid over a picture of the whole window.

    hero_spare      of a capture that holds the hero alone, within the margin: 1 or more gives the hero its pixels
    ground_spare    of one capture of the whole window: what the ground then has
    ground_enlarged how far the ground must be enlarged for the artwork, past 1
    """

    hero_spare: float
    ground_spare: float
    ground_enlarged: float


def tiles(problem: Problem, box: Box, need: Pair, overlap: float = OVERLAP) -> Tiles:
    """The fewest tiles that give a window its pixels; landscape on a tie.

    `overlap` is a share of a tile's side, 0 to under 1. Raises ValueError outside it.
    """
    if not 0 <= overlap < 1:
        raise ValueError(f"overlap is a share of a tile from 0 to under 1; this is {overlap}")
    d = density_needed(box, need)
    across = d * box.width / (problem.enlargement * problem.usable)
    down = d * box.height / (problem.enlargement * problem.usable)
    ways = [
        Tiles(_along(across, problem.long, overlap), _along(down, problem.short, overlap), True, overlap),
        Tiles(_along(across, problem.short, overlap), _along(down, problem.long, overlap), False, overlap),
    ]
    return min(ways, key=lambda way: way.count)


def _along(pixels: float, side: float, overlap: float) -> int:
    if pixels <= side * (1 + 1e-9):
        return 1
    return 1 + math.ceil((pixels - side) / ((1 - overlap) * side) - 1e-9)


def ground_plate(problem: Problem, box: Box, need: Pair) -> GroundPlate:
    """The numbers of a hero shot by itself over a plate of the ground."""
    d = density_needed(box, need)
    hero, _ = density_given(problem, problem.hero_aspect, 1.0)
    ground, _ = density_given(problem, box.width, box.height)
    return GroundPlate(hero / d, ground / d, max(1.0, d / ground))
