"""Pictures that the operator lays over live view: a placement's layout in its place in the frame, all crops, a mask.

All have the camera's aspect, turned as the capture is. Whatever shows the frame at any size shows these at the same.
Edges lie on the whole pixel nearest to where the plan has them. Neutral: black, white and clear.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from layouts.imaging.composite import resize_layer, unpremultiply
from layouts.imaging.framing.geometry import Box, Framing
from layouts.imaging.framing.plan import Capture, Crop
from layouts.imaging.geometry import Rect

Pixels = NDArray[np.uint8]
Edges = tuple[int, int, int, int]  # left, top, right, bottom; right and bottom are the first pixel outside

LONG_SIDE = 3000
DIMMED = 0.6
# Lengths drawn and left out, in line widths: crops are told apart by their lines and names, not by colour.
_DASHES: tuple[tuple[int, ...], ...] = (
    (), (12, 6), (3, 4), (14, 5, 3, 5), (30, 10), (6, 4, 6, 12), (3, 10), (20, 4, 3, 4, 3, 4), (5, 15), (40, 4),
)  # fmt: skip
# The hero is marked at its corners, by so much of each side.
_BRACKET = 0.2


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


def placement_overlay(
    on: Sheet, crop: Crop, layout: Pixels, window: Rect, *, hero_aspect: float | None = None, dimmed: float = DIMMED
) -> Pixels:
    """One placement's layout in its place, all outside of its crop dimmed.

    Parameters
    ----------
    layout : ndarray, shape (h, w, 4), uint8
        The designer's layout, premultiplied sRGB, in any reduction.
    window : Rect
        Where its window lies in `layout`, its pixels, need not be whole.
    hero_aspect : float, optional
        Mark the hero's corners; left out, nothing is marked.
    dimmed : float, 0 to 1
        How much of the picture outside of the crop is taken away: 1 is black.

    Returns
    -------
    ndarray, shape (on.height, on.width, 4), uint8, straight alpha.
    """
    if not 0 <= dimmed <= 1:
        raise ValueError(f"what is dimmed is dimmed by 0 to 1; this is {dimmed}")
    left, top, right, bottom = on.edges(crop.box)
    out = np.zeros((on.height, on.width, 4), np.uint8)
    out[..., 3] = round(255 * dimmed)
    out[top:bottom, left:right] = unpremultiply(
        np.ascontiguousarray(resize_layer(layout, (right - left, bottom - top), window))
    )
    if hero_aspect is None:
        return out
    image = Image.fromarray(out)
    _outline(ImageDraw.Draw(image), on.edges(hero_box(hero_aspect)), _line(on), None)
    return np.asarray(image, np.uint8)


def crops_overlay(
    on: Sheet, capture: Capture, *, hero_aspect: float | None = None, font: str | Path | None = None
) -> Pixels:
    """All crops of a capture, outlined and named, on nothing: (on.height, on.width, 4), uint8, straight alpha.

    `font` is a TrueType file for the names; left out, Pillow's own, which has Latin letters only.
    """
    image = Image.new("RGBA", (on.width, on.height), (0, 0, 0, 0))
    draw = ImageDraw.Draw(image)
    line = _line(on)
    if hero_aspect is not None:
        _outline(draw, on.edges(hero_box(hero_aspect)), line, None)
    # The largest first, so that no label is struck through by a later line.
    order = sorted(range(len(capture.crops)), key=lambda i: -capture.crops[i].width * capture.crops[i].height)
    for at in order:
        _outline(draw, on.edges(capture.crops[at].box), line, _DASHES[at % len(_DASHES)])
    letters = _font(font, max(12, round(max(on.width, on.height) / 75)))
    taken: list[Edges] = []
    for at in order:
        crop = capture.crops[at]
        taken.append(_label(draw, f"{crop.placement.id}", on.edges(crop.box), letters, line, taken, on))
    return np.asarray(image, np.uint8)


def mask(on: Sheet, crop: Crop) -> Pixels:
    """The crop as a plain mask: (on.height, on.width), uint8, 255 inside and 0 outside."""
    left, top, right, bottom = on.edges(crop.box)
    out = np.zeros((on.height, on.width), np.uint8)
    out[top:bottom, left:right] = 255
    return out


def index_text(capture: Capture, names: Sequence[tuple[str, str]]) -> str:
    """What the pictures of a capture are, one a line: `names` are file and placement, in the order of the crops."""
    f = capture.framing
    way = "landscape" if f.landscape else "portrait"
    says = [f"Frame: {f.width:g} x {f.height:g} px, {way}. Lay each picture over the whole frame.", ""]
    for (file, name), crop in zip(names, capture.crops, strict=True):
        x, y, wide, high = crop.pixels
        says.append(f"{file}: {name}, crop {wide} x {high} px at {x}, {y} of the frame.")
    return "\n".join(says) + "\n"


def _line(on: Sheet) -> int:
    return max(1, round(max(on.width, on.height) / 1000))


def _font(path: str | Path | None, size: int) -> Any:
    return ImageFont.truetype(str(path), size) if path else ImageFont.load_default(size)


def _outline(draw: ImageDraw.ImageDraw, edges: Edges, line: int, dashes: tuple[int, ...] | None) -> None:
    """A white line just inside the edges with a black one inside of it: it shows on any picture. None: corners only."""
    left, top, right, bottom = edges
    for inset, colour in ((0, (255, 255, 255, 255)), (line, (0, 0, 0, 255))):
        x0, y0, x1, y1 = left + inset, top + inset, right - inset, bottom - inset
        for start, end in _strokes(x1 - x0, line, dashes):
            for y in (y0, y1 - line):
                _fill(draw, (x0 + start, y, x0 + end, y + line), colour)
        for start, end in _strokes(y1 - y0, line, dashes):
            for x in (x0, x1 - line):
                _fill(draw, (x, y0 + start, x + line, y0 + end), colour)


def _fill(draw: ImageDraw.ImageDraw, edges: Edges, colour: tuple[int, int, int, int]) -> None:
    left, top, right, bottom = edges
    if right > left and bottom > top:
        draw.rectangle((left, top, right - 1, bottom - 1), fill=colour)  # Pillow's last pixel is inside


def _strokes(length: int, line: int, dashes: tuple[int, ...] | None) -> Iterator[tuple[int, int]]:
    """Where along a side the line is drawn; both of its ends always are, so that corners show."""
    if dashes is None:
        arm = round(_BRACKET * length)
        yield from ((0, arm), (length - arm, length))
        return
    if not dashes or length <= 8 * line:
        yield 0, max(0, length)
        return
    at, drawn = 0, True
    step = 0
    while at < length:
        end = min(length, at + dashes[step % len(dashes)] * line)
        if drawn:
            yield at, end
        at, drawn, step = end, not drawn, step + 1
    yield length - 3 * line, length


def _label(
    draw: ImageDraw.ImageDraw, name: str, edges: Edges, letters: Any, line: int, taken: Sequence[Edges], on: Sheet
) -> Edges:
    """The name on a black ground in the crop's upper left corner, moved down past other labels."""
    x0, y0, x1, y1 = (round(v) for v in draw.textbbox((0, 0), name, font=letters))
    pad = 3 * line
    wide, high = x1 - x0 + 2 * pad, y1 - y0 + 2 * pad
    left = max(0, min(edges[0] + 2 * line, on.width - wide))
    top = max(0, min(edges[1] + 2 * line, on.height - high))
    place = (left, top, left + wide, top + high)
    while (hit := next((t for t in taken if _meet(place, t)), None)) and hit[3] + high <= on.height:
        place = (left, hit[3], left + wide, hit[3] + high)
    _fill(draw, place, (0, 0, 0, 255))
    draw.text((place[0] + pad - x0, place[1] + pad - y0), name, font=letters, fill=(255, 255, 255, 255))
    return place


def _meet(one: Edges, other: Edges) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
