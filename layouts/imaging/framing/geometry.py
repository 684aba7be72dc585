"""Where a placement's window lies in the scene, and what a camera gives it.

The scene's unit is the hero's height, its origin the hero's centre, y down: the hero is [-A/2, A/2] x [-1/2, 1/2].
Densities are camera pixels per scene unit.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from layouts.imaging.framing.problem import Pair, Placement, Problem, Zone


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle in the scene, in hero heights."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top

    def holds(self, other: Box) -> bool:
        """Whether the other lies inside; shared edges count as inside."""
        return (
            self.left <= other.left
            and self.top <= other.top
            and other.right <= self.right
            and other.bottom <= self.bottom
        )


@dataclass(frozen=True, slots=True)
class Framing:
    """One capture: the camera's way up, its density and what is in frame.

    width, height   camera pixels, turned
    density         pixels per hero height
    box             what is in frame, in hero heights
    """

    landscape: bool
    width: float
    height: float
    density: float
    box: Box

    def pixels(self, box: Box) -> tuple[float, float, float, float]:
        """x, y, width, height in camera pixels of a box of the scene."""
        r = self.density
        return (box.left - self.box.left) * r, (box.top - self.box.top) * r, box.width * r, box.height * r


def window(aspect: float, zone: Zone, anchor: Pair, hero_aspect: float) -> Box:
    """The smallest window of this aspect whose zone holds the hero ("contain").

    One pair of zone sides touches the hero; in the other pair's free room the hero stands where `anchor` says.
    """
    x0, y0, x1, y1 = zone
    ax, ay = anchor
    h = contain(aspect, zone, hero_aspect)
    w = aspect * h
    left = -hero_aspect / 2 - ax * ((x1 - x0) * w - hero_aspect) - x0 * w
    top = -0.5 - ay * ((y1 - y0) * h - 1) - y0 * h
    return Box(left, top, left + w, top + h)


def contain(aspect: float, zone: Zone, hero_aspect: float) -> float:
    """Height of the smallest window whose zone holds the hero, in hero heights."""
    x0, y0, x1, y1 = zone
    return max(hero_aspect / ((x1 - x0) * aspect), 1 / (y1 - y0))


def window_of(placement: Placement, hero_aspect: float) -> Box:
    return window(placement.aspect, placement.zone, placement.anchor, hero_aspect)


def density_needed(box: Box, need: Pair) -> float:
    """Pixels per hero height at which the window has the pixels that it needs, on the tighter side."""
    return max(need[0] / box.width, need[1] / box.height)


def hull(boxes: Iterable[Box]) -> Box:
    """The smallest box that holds all."""
    every = list(boxes)
    return Box(
        min(b.left for b in every),
        min(b.top for b in every),
        max(b.right for b in every),
        max(b.bottom for b in every),
    )


def density_given(problem: Problem, width: float, height: float) -> tuple[float, bool]:
    """The density that the camera gives a hull of this size within the margin, and whether as landscape.

    This is "hull plus margin, grown to the camera's aspect"; landscape on a tie.
    """
    across = problem.usable * min(problem.long / width, problem.short / height)
    upright = problem.usable * min(problem.short / width, problem.long / height)
    return (across, True) if across >= upright else (upright, False)


def frame(problem: Problem, held: Box) -> Framing:
    """The framing of a hull: the room that the growth leaves brings the hero as near the middle as the margin allows.

    Where the hull sits changes no pixel count.
    """
    r, landscape = density_given(problem, held.width, held.height)
    wide, high = (problem.long, problem.short) if landscape else (problem.short, problem.long)
    w, h, m = wide / r, high / r, problem.margin
    x = _clamp(-w / 2, held.right + m * w - w, held.left - m * w)
    y = _clamp(-h / 2, held.bottom + m * h - h, held.top - m * h)
    return Framing(landscape, wide, high, r, Box(x, y, x + w, y + h))


def whole_pixels(x: float, length: float, side: float) -> tuple[int, int]:
    """A crop along one side in whole pixels, for files: where it starts and how long it is, inside 0 to `side`."""
    whole = min(int(length + 1e-4), int(side))
    return max(0, min(round(x), int(side) - whole)), whole


def _clamp(value: float, low: float, high: float) -> float:
    return max(low, min(value, high))
