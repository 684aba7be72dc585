"""Pixels per inch: what a crop gives the poster, and what an eye needs from where it stands."""

from __future__ import annotations

import math

from layouts.imaging.framing.problem import Pair

MM_PER_INCH = 25.4
# The angle that an eye of normal sight tells apart: one minute of arc, Snellen's 20/20.
EYE = math.radians(1 / 60)


def ppi_at_full_size(crop: Pair, mm: Pair) -> float:
    """Of a crop (px) on a poster (mm) at full size; the tighter side counts."""
    return min(crop[0] / (mm[0] / MM_PER_INCH), crop[1] / (mm[1] / MM_PER_INCH))


def ppi_of_artwork(crop: Pair, mm: Pair, scale: float) -> float:
    """The same in artwork that is made at 1 : scale."""
    return scale * ppi_at_full_size(crop, mm)


def ppi_for_the_eye(distance_m: float) -> float:
    """At full size: the density past which an eye at this distance sees no more. Raises ValueError unless above 0."""
    if not distance_m > 0:
        raise ValueError(f"a viewing distance is more than 0 m; this is {distance_m}")
    return MM_PER_INCH / (1000 * distance_m * math.tan(EYE))


def need_of_artwork(mm: Pair, scale: float, ppi: float) -> Pair:
    """Pixels that artwork at 1 : scale needs at this ppi; not rounded."""
    return ppi * mm[0] / scale / MM_PER_INCH, ppi * mm[1] / scale / MM_PER_INCH
