"""From a framing to a lens: focal length, distance, the turn between stitched tiles, what a margin buys.

Thin lens, a first approximation; distances run from the lens's front principal plane. 1/f = 1/u + 1/v with
magnification m = v / u = sensor / framing gives u = f (1 + 1/m) and v = f (1 + m).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from layouts.imaging.framing.geometry import Box, Framing
from layouts.imaging.framing.problem import Pair
from layouts.imaging.framing.stitch import Tiles


@dataclass(frozen=True, slots=True)
class Setting:
    """A lens and where it stands for a framing; mm and degrees, magnification without unit."""

    focal_mm: float
    distance_mm: float
    magnification: float
    framing_mm: Pair
    view_deg: Pair  # across and down


@dataclass(frozen=True, slots=True)
class Turns:
    """How to take stitched tiles: the camera turns about its lens's entrance pupil by so much between two."""

    across_deg: float
    down_deg: float
    overlap_px: Pair


def _magnification(framing: Framing, sensor_mm: Pair, hero_height_mm: float) -> tuple[float, Pair, Pair]:
    _above_zero("sensor", *sensor_mm)
    _above_zero("hero's height", hero_height_mm)
    sides = max(sensor_mm), min(sensor_mm)
    sensor = sides if framing.landscape else sides[::-1]
    seen = framing.box.width * hero_height_mm, framing.box.height * hero_height_mm
    return sensor[0] / seen[0], seen, sensor


def focal_for(framing: Framing, sensor_mm: Pair, hero_height_mm: float, distance_mm: float) -> Setting:
    """The focal length that frames this from `distance_mm`. Raises ValueError unless all are above 0."""
    _above_zero("distance", distance_mm)
    m, seen, sensor = _magnification(framing, sensor_mm, hero_height_mm)
    return _setting(distance_mm * m / (1 + m), distance_mm, m, seen, sensor)


def distance_for(framing: Framing, sensor_mm: Pair, hero_height_mm: float, focal_mm: float) -> Setting:
    """The distance from which a lens of `focal_mm` frames this. Raises ValueError unless all are above 0."""
    _above_zero("focal length", focal_mm)
    m, seen, sensor = _magnification(framing, sensor_mm, hero_height_mm)
    return _setting(focal_mm, focal_mm * (1 + 1 / m), m, seen, sensor)


def _setting(focal: float, distance: float, m: float, seen: Pair, sensor: Pair) -> Setting:
    image = focal * (1 + m)
    view = (_view(sensor[0], image), _view(sensor[1], image))
    return Setting(focal, distance, m, seen, view)


def _view(side: float, image_distance: float) -> float:
    return math.degrees(2 * math.atan(side / (2 * image_distance)))


def turns(stitched: Tiles, camera: Pair, sensor_mm: Pair, focal_mm: float, magnification: float = 0.0) -> Turns:
    """The turn from one tile to the next, so that neighbours share `overlap` of the angle of view.

    `magnification` widens the image distance for near subjects; 0 is focus at infinity. A side with one tile turns 0.
    """
    _above_zero("sensor", *sensor_mm)
    _above_zero("focal length", focal_mm)
    image = focal_mm * (1 + magnification)
    sides, px = (max(sensor_mm), min(sensor_mm)), (max(camera), min(camera))
    if not stitched.landscape:
        sides, px = sides[::-1], px[::-1]
    step = 1 - stitched.overlap
    across = step * _view(sides[0], image) if stitched.columns > 1 else 0.0
    down = step * _view(sides[1], image) if stitched.rows > 1 else 0.0
    return Turns(across, down, (stitched.overlap * px[0], stitched.overlap * px[1]))


def tile_setting(
    density: float, camera: Pair, landscape: bool, sensor_mm: Pair, hero_height_mm: float, distance_mm: float
) -> Setting:
    """The lens for one tile of a stitched picture of this density (camera px per hero height) from `distance_mm`."""
    wide, high = (max(camera), min(camera)) if landscape else (min(camera), max(camera))
    tile = Framing(landscape, wide, high, density, Box(0, 0, wide / density, high / density))
    return focal_for(tile, sensor_mm, hero_height_mm, distance_mm)


def straightening(frame: Box, held: Box) -> float:
    """How far the camera may have leaned, in degrees either way, so that `held` can still be cropped straight.

    Both in one unit; 0 where a crop touches the frame's corner, 90 at most. The picture turns about its middle: a
    corner of `held` at (x, y) from there moves to x cos t + y sin t, and must stay inside.
    """
    middle = (frame.left + frame.right) / 2, (frame.top + frame.bottom) / 2
    limits = [90.0]
    for x in (abs(held.left - middle[0]), abs(held.right - middle[0])):
        for y in (abs(held.top - middle[1]), abs(held.bottom - middle[1])):
            reach = math.hypot(x, y)
            for side, along, away in ((frame.width / 2, x, y), (frame.height / 2, y, x)):
                if side < reach:
                    limits.append(math.degrees(max(0.0, math.atan2(away, along) - math.acos(side / reach))))
    return min(limits)


def straightening_of_margin(aspect: float, margin: float) -> float:
    """What a margin (share of the framing a side) buys where the crops fill the rest of a frame of this aspect."""
    held = Box(margin * aspect, margin, (1 - margin) * aspect, 1 - margin)
    return straightening(Box(0.0, 0.0, aspect, 1.0), held)


def _above_zero(what: str, *values: float) -> None:
    for value in values:
        if not value > 0 or math.isinf(value):
            raise ValueError(f"the {what} must be more than 0; this is {value}")
