"""A capture drawn to scale: the camera's frame, its crops outlined and named, the hero, the margin. Lengths in per cent
of the frame, so that the drawing is true at every width; words keep the size of the page's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from layouts.imaging.framing.geometry import Box, Framing
from layouts.imaging.framing.plan import Capture, Crop, Plan
from layouts.imaging.framing.report import hero_in
from layouts.pictures import queries as mockups
from layouts.pictures.models import Mockup
from portal.site.drawing import percent

# One after the other: lines are told apart by dashes, numbers and names, and by no colour.
DASHES = ("", "9 4", "2 3", "14 4 2 4", "5 3", "18 5", "9 3 2 3 2 3", "1 5")
# What a word takes of a frame as usual screens draw it, px: at most so wide and so high; monospace of 13 px.
_WIDE, _HIGH, _LETTER, _LINE = 900.0, 680.0, 8.0, 24.0


@dataclass(frozen=True)
class Outlined:
    """A crop to draw: what it is called, and where it lies in fractions of the frame."""

    number: int
    name: str
    x: float
    y: float
    width: float
    height: float


def outlined(number: int, name: str, crop: Crop, framing: Framing) -> Outlined:
    """A crop of a capture, to draw."""
    wide, high = framing.width, framing.height
    return Outlined(number, name, crop.x / wide, crop.y / high, crop.width / wide, crop.height / high)


def drawn(plan: Plan, capture: Capture, crops: Sequence[Outlined], mockup: Mockup | None, url: str) -> dict[str, Any]:
    """What the template draws of one capture. `url` is the mockup's picture, "" where it has no copy yet."""
    framing = capture.framing
    x, y, wide, high = hero_in(framing, plan.problem.hero_aspect)
    margin = plan.problem.margin
    return {
        "width": round(framing.width),
        "height": round(framing.height),
        "hero": _rect(x / framing.width, y / framing.height, wide / framing.width, high / framing.height),
        "margin": _rect(margin, margin, 1 - 2 * margin, 1 - 2 * margin) if margin else None,
        "picture": _laid(plan, capture, mockup, url) if mockup and url else None,
        "crops": placed(crops, framing.height / framing.width),
    }


def placed(crops: Sequence[Outlined], ratio: float) -> list[dict[str, Any]]:
    """Outlines from the largest to the smallest, so that none hides one inside it, with words where they are free."""
    taken: list[tuple[float, float, float, float]] = []
    worded = {crop.number: _word(crop, ratio, taken) for crop in sorted(crops, key=lambda crop: crop.number)}
    order = sorted(crops, key=lambda crop: -crop.width * crop.height)
    return [
        {
            **_rect(crop.x, crop.y, crop.width, crop.height),
            **worded[crop.number],
            "number": crop.number,
            "name": crop.name,
            "dash": dash_of(crop.number),
        }
        for crop in order
    ]


def dash_of(number: int) -> str:
    """The dashes of the crop with this number, as SVG has them."""
    return DASHES[(number - 1) % len(DASHES)]


def _word(crop: Outlined, ratio: float, taken: list[tuple[float, float, float, float]]) -> dict[str, Any]:
    """Where a crop's number and name stand: along its edges, the first place that no other word takes."""
    drawn = min(_WIDE, _HIGH / ratio)
    wide = (len(str(crop.number)) + 2 + len(crop.name)) * _LETTER / drawn
    high = _LINE / (drawn * ratio)
    steps = [0.0, 1.0, *(n / 8 for n in range(1, 8))]
    spots = [(at, 0.0) for at in steps] + [(at, 1.0) for at in steps]
    spots += [(0.0, n / 10) for n in range(1, 10)] + [(1.0, n / 10) for n in range(1, 10)]
    room = max(0.0, crop.width - wide), max(0.0, crop.height - high)
    found = None
    for across, down in spots:
        left, top = crop.x + across * room[0], crop.y + down * room[1]
        left, top = min(left, 1 - wide), min(top, 1 - high)
        box = (left, top, left + wide, top + high)
        if not any(_meet(box, other) for other in taken):
            found = box
            break
    box = found or (crop.x, crop.y, crop.x + wide, crop.y + high)
    taken.append(box)
    return {"word_x": percent(max(0.0, box[0])), "word_y": percent(max(0.0, box[1]))}


def _meet(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _rect(x: float, y: float, width: float, height: float) -> dict[str, str]:
    return {"x": percent(x), "y": percent(y), "width": percent(width), "height": percent(height)}


def _laid(plan: Plan, capture: Capture, mockup: Mockup, url: str) -> dict[str, Any] | None:
    """The mockup where its hero zone meets the hero: the whole scene is then as the mockup shows it."""
    if mockup.hero is None:
        return None
    x0, y0, x1, y1 = mockup.hero
    wide, high = float(mockup.file.width or 0), float(mockup.file.height or 0)
    # Hero heights a mockup pixel: the hero is held by its zone, as in each placement's window.
    scale = max(plan.problem.hero_aspect / ((x1 - x0) * wide), 1 / ((y1 - y0) * high))
    left, top = -(x0 + x1) / 2 * wide * scale, -(y0 + y1) / 2 * high * scale
    x, y, across, down = capture.framing.pixels(Box(left, top, left + wide * scale, top + high * scale))
    frame = capture.framing
    return {"url": url, **_rect(x / frame.width, y / frame.height, across / frame.width, down / frame.height)}


def copy_width(mockup: Mockup | None) -> int:
    """Width of the copy that is laid under drawings; 0 where none is made yet."""
    copies = mockups.copies(mockup) if mockup else []
    found = next((copy["width"] for copy in copies if copy["width"] >= 1200), copies[-1]["width"] if copies else 0)
    return int(found)
