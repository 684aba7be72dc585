"""From what was measured to a plain verdict: what contrast a line needs, and whether a zone reaches it."""

from __future__ import annotations

from collections.abc import Sequence

# WCAG 2.2, success criterion 1.4.3: large type needs 3 : 1, all other type 4.5 : 1.
NEEDS_LARGE, NEEDS_SMALL = 3.0, 4.5
# Large is 24 px or more in reference pixels (WCAG 2.2, "large scale"; CSS Values and Units Level 4, "reference pixel":
# the angle of 1/96 inch at 28 inches), so that it is an angle and holds at any distance. A line is known here by its
# ink, and capitals are 0.7 of their type size (common practice, no source): 6.25 mm for each metre it is seen from.
LARGE_MM_PER_M = 0.7 * 24 * 1000 / (96 * 28)
# Share of the hero zone that type may cover and still be said to leave it clear: soft edges, and the corners of a
# rectangle round food that is round. Our own choice.
HERO_TOLERANCE = 0.02

WELL, PLACES, HARD, UNKNOWN = "well", "places", "hard", "unknown"


def needs(lines_mm: Sequence[float], distance_m: float | None) -> float:
    """The ratio that type of these line heights (mm on the poster) needs when seen from so far: 3 or 4.5.

    Where heights or distance are not known it is taken as large: on a poster nearly all type is. A graphic, which has
    no lines, needs 3 whatever its size: WCAG 2.2, 1.4.11.
    """
    if distance_m is None or not lines_mm:
        return NEEDS_LARGE
    return NEEDS_LARGE if min(lines_mm) >= LARGE_MM_PER_M * distance_m else NEEDS_SMALL


def reads(p5: float | None, median: float | None, wanted: float) -> str:
    """How a zone reads: "well", in "places" (more than one letter in twenty falls short), "hard" (half of them do).

    "unknown" where it could not be measured. Judged without rounding: 4.478 is less than 4.5.
    """
    if p5 is None or median is None:
        return UNKNOWN
    if median < wanted:
        return HARD
    return WELL if p5 >= wanted else PLACES
