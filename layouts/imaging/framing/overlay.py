"""Pictures that the operator lays over live view: a placement's layout in its place in the frame, all crops, a mask.

All have the camera's aspect, turned as the capture is. Whatever shows the frame at any size shows these at the same.
Edges lie on the whole pixel nearest to where the plan has them. Neutral: black, white and clear.

Each comes in strips of rows from the top, so that a large frame is never in memory whole; or whole, for small ones.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from layouts.imaging.composite import resize_layer, unpremultiply
from layouts.imaging.framing.geometry import Box, Framing
from layouts.imaging.framing.marks import DASHES, Edges, Marks, marks_of
from layouts.imaging.framing.plan import Capture, Crop
from layouts.imaging.geometry import Rect

Pixels = NDArray[np.uint8]
Named = tuple[str, Box]

LONG_SIDE = 3000
DIMMED = 0.6
# Pixels in a strip, about.
_STRIP = 1 << 20
# Up to so many pixels a layout is brought to its crop's size at once, past it strip by strip.
_AT_ONCE = 16 << 20


@dataclass(frozen=True, slots=True)
class Sheet:
    """A capture's frame at a size in whole pixels."""

    framing: Framing
    width: int
    height: int

    def edges(self, box: Box) -> Edges:
        """The whole pixels nearest to a box of the scene, cut to the frame and at least one pixel each way."""
        x, y, wide, high = self.framing.pixels(box)
        across, down = self.width / self.framing.width, self.height / self.framing.height
        left, right = _span(x * across, (x + wide) * across, self.width)
        top, bottom = _span(y * down, (y + high) * down, self.height)
        return left, top, right, bottom

    def strips(self) -> Iterator[tuple[int, int]]:
        """First row of each strip, and the first one after it."""
        rows = max(1, _STRIP // self.width)
        for top in range(0, self.height, rows):
            yield top, min(top + rows, self.height)


def _span(start: float, end: float, side: int) -> tuple[int, int]:
    first = min(max(0, round(start)), side - 1)
    return first, max(first + 1, min(round(end), side))


def sheet(framing: Framing, long_side: int = LONG_SIDE) -> Sheet:
    """The frame with its longer side so many pixels long. Raises ValueError outside 64 to 20000."""
    if not 64 <= long_side <= 20_000:
        raise ValueError(f"the longer side of an overlay is 64 to 20000 px; this is {long_side}")
    scale = long_side / max(framing.width, framing.height)
    return Sheet(framing, max(1, round(framing.width * scale)), max(1, round(framing.height * scale)))


def hero_box(hero_aspect: float) -> Box:
    return Box(-hero_aspect / 2, -0.5, hero_aspect / 2, 0.5)


def placement_strips(
    on: Sheet, box: Box, layout: Pixels | None, window: Rect | None, *, hero: Box | None = None, dimmed: float = DIMMED
) -> Iterator[Pixels]:
    """One placement's layout in its place, all outside of its crop dimmed: strips (rows, on.width, 4), straight alpha.

    Parameters
    ----------
    box : Box
        The crop, in the scene.
    layout : ndarray, shape (h, w, 4), uint8
        The designer's layout, premultiplied sRGB, in any reduction. None: the crop stays clear.
    window : Rect
        Where its window lies in `layout`, its pixels, need not be whole.
    hero : Box, optional
        Mark its corners; left out, nothing is marked.
    dimmed : float, 0 to 1
        How much of the picture outside of the crop is taken away: 1 is black.
    """
    if not 0 <= dimmed <= 1:
        raise ValueError(f"what is dimmed is dimmed by 0 to 1; this is {dimmed}")
    left, top, right, bottom = on.edges(box)
    laid = _Laid(layout, window, (right - left, bottom - top)) if layout is not None and window else None
    marks = marks_of(on.width, on.height)
    if hero is not None:
        marks.outline(on.edges(hero), None)
    for first, after in on.strips():
        out = np.zeros((after - first, on.width, 4), np.uint8)
        out[..., 3] = round(255 * dimmed)
        start, end = max(first, top), min(after, bottom)
        if end > start:
            out[start - first : end - first, left:right] = laid.rows(start - top, end - top) if laid else 0
        yield _painted(out, marks, first)


def crops_strips(
    on: Sheet, crops: Sequence[Named], *, hero: Box | None = None, font: str | Path | None = None
) -> Iterator[Pixels]:
    """Crops (name, box) outlined and named, on nothing: strips (rows, on.width, 4), uint8, straight alpha.

    `font` is a TrueType file for the names; left out, Pillow's own, which has Latin letters only.
    """
    marks = marks_of(on.width, on.height, font)
    if hero is not None:
        marks.outline(on.edges(hero), None)
    # The largest first, so that no label is struck through by a later line.
    order = sorted(range(len(crops)), key=lambda at: -crops[at][1].width * crops[at][1].height)
    for at in order:
        marks.outline(on.edges(crops[at][1]), DASHES[at % len(DASHES)])
    taken: list[Edges] = []
    for at in order:
        taken.append(marks.label(crops[at][0], on.edges(crops[at][1]), taken))
    for first, after in on.strips():
        yield _painted(np.zeros((after - first, on.width, 4), np.uint8), marks, first)


def mask_strips(on: Sheet, box: Box) -> Iterator[Pixels]:
    """A crop as a plain mask: strips (rows, on.width), uint8, 255 inside and 0 outside."""
    left, top, right, bottom = on.edges(box)
    for first, after in on.strips():
        out = np.zeros((after - first, on.width), np.uint8)
        out[max(0, top - first) : max(0, bottom - first), left:right] = 255
        yield out


def placement_overlay(
    on: Sheet, crop: Crop, layout: Pixels, window: Rect, *, hero_aspect: float | None = None, dimmed: float = DIMMED
) -> Pixels:
    """`placement_strips` whole: (on.height, on.width, 4)."""
    hero = None if hero_aspect is None else hero_box(hero_aspect)
    return np.concatenate(list(placement_strips(on, crop.box, layout, window, hero=hero, dimmed=dimmed)))


def crops_overlay(
    on: Sheet, capture: Capture, *, hero_aspect: float | None = None, font: str | Path | None = None
) -> Pixels:
    """All crops of a capture by their ids, whole: (on.height, on.width, 4)."""
    hero = None if hero_aspect is None else hero_box(hero_aspect)
    named = [(f"{crop.placement.id}", crop.box) for crop in capture.crops]
    return np.concatenate(list(crops_strips(on, named, hero=hero, font=font)))


def mask(on: Sheet, crop: Crop) -> Pixels:
    """`mask_strips` whole: (on.height, on.width)."""
    return np.concatenate(list(mask_strips(on, crop.box)))


def index_text(capture: Capture, names: Sequence[tuple[str, str]]) -> str:
    """What the pictures of a capture are, one a line: `names` are file and placement, in the order of the crops."""
    f = capture.framing
    way = "landscape" if f.landscape else "portrait"
    says = [f"Frame: {f.width:g} x {f.height:g} px, {way}. Lay each picture over the whole frame.", ""]
    for (file, name), crop in zip(names, capture.crops, strict=True):
        x, y, wide, high = crop.pixels
        says.append(f"{file}: {name}, crop {wide} x {high} px at {x}, {y} of the frame.")
    return "\n".join(says) + "\n"


def _painted(out: Pixels, marks: Marks, first: int) -> Pixels:
    if not marks:
        return out
    image = Image.fromarray(out)
    marks.paint(image, first)
    return np.asarray(image, np.uint8)


class _Laid:
    """A layout's window at the size of its crop, by its rows; straight alpha."""

    def __init__(self, layout: Pixels, window: Rect, size: tuple[int, int]) -> None:
        self.layout, self.window, self.size = layout, window, size
        self.step = window.height / size[1]
        coarse = max(self.step, window.width / size[0]) >= 2
        # What is reduced to half or less starts from whole boxes of pixels, which strips would cut differently.
        at_once = coarse or size[0] * size[1] <= _AT_ONCE
        self.whole = self._straight(resize_layer(layout, size, window)) if at_once else None

    def rows(self, first: int, after: int) -> Pixels:
        if self.whole is not None:
            return self.whole[first:after]
        # A strip is made with some rows more above and below: what interpolation reaches to.
        reach = math.ceil(3 / min(self.step, 1)) + 1
        top, bottom = max(0, first - reach), min(self.size[1], after + reach)
        box = Rect(self.window.x, self.window.y + top * self.step, self.window.width, (bottom - top) * self.step)
        made = resize_layer(self.layout, (self.size[0], bottom - top), box)
        return self._straight(made[first - top : after - top])

    @staticmethod
    def _straight(layer: Pixels) -> Pixels:
        return unpremultiply(np.ascontiguousarray(layer))
