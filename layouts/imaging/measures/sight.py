"""How large a poster looks from where it is seen, and the least that an eye tells apart there. Lengths in mm, angles in
minutes of arc.
"""

from __future__ import annotations

import math

MINUTE = math.tan(math.radians(1 / 60))
# ISO 8596:2017 (from memory): an optotype read at acuity 1.0 has strokes of one minute and stands five minutes high.
LEAST_LETTER = 5
# 25 mm for each 10 m, common practice for outdoor signs, no source: a guide.
PRACTICE_LETTER = 25 / (10_000 * MINUTE)
# Common practice, no source: the eye of who sits at a desk.
EYE_CM = 60
EYE_RANGE_CM = (10, 1000)


def as_seen(size_mm: float, distance_m: float, eye_mm: float) -> float:
    """The length on a screen, `eye_mm` before the eye, that fills the angle of `size_mm` at `distance_m`."""
    if distance_m <= 0 or eye_mm <= 0:
        raise ValueError(f"distances are positive; these are {distance_m} m and {eye_mm} mm")
    return size_mm * eye_mm / (1000 * distance_m)


def minute_at(distance_m: float) -> float:
    """What one minute of arc is, in mm, at a distance in m: 0.29 mm for each metre."""
    return 1000 * distance_m * MINUTE


def minutes_of(size_mm: float, distance_m: float) -> float:
    """The minutes of arc that a length of `size_mm` fills at `distance_m`."""
    return size_mm / minute_at(distance_m)


# Scales that drawings have, 1 : so many.
_ROUND = (1, 1.25, 1.5, 2, 2.5, 3, 4, 5, 6, 8)


def round_scale(sizes: list[tuple[float, float]], room: tuple[float, float]) -> float:
    """The largest usual scale, 1 : n, at which each of `sizes` (width, height in mm) fits into `room` (mm); gives n."""
    least = max((max(wide / room[0], high / room[1]) for wide, high in sizes), default=1.0)
    power = 10.0 ** math.floor(math.log10(least))
    return next(step * power * more for more in (1, 10) for step in _ROUND if step * power * more >= least * (1 - 1e-9))
