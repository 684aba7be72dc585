"""Marks on a picture for live view: outlines told apart by their dashes, corners, names on a ground.

They are collected first and painted then, on any band of the picture's rows, so that a picture of any size is made in
little memory. Neutral: black and white, each beside the other, so that they show on any picture.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from PIL import Image, ImageDraw, ImageFont

Edges = tuple[int, int, int, int]  # left, top, right, bottom; right and bottom are the first pixel outside
Colour = tuple[int, int, int, int]

WHITE: Colour = (255, 255, 255, 255)
BLACK: Colour = (0, 0, 0, 255)
# Lengths drawn and left out, in line widths: crops are told apart by their lines and names, not by colour.
DASHES: tuple[tuple[int, ...], ...] = (
    (), (12, 6), (3, 4), (14, 5, 3, 5), (30, 10), (6, 4, 6, 12), (3, 10), (20, 4, 3, 4, 3, 4), (5, 15), (40, 4),
)  # fmt: skip
# The hero is marked at its corners, by so much of each side.
_BRACKET = 0.2


@dataclass(frozen=True, slots=True)
class _Word:
    x: int
    y: int
    text: str
    letters: Any


@dataclass
class Marks:
    """What is drawn on a picture of `width` by `height`, in the order in which it is painted.

    `line` is the width of its lines, px; `letters` the font of its names.
    """

    width: int
    height: int
    line: int
    letters: Any = None
    _drawn: list[tuple[Edges, Colour] | _Word] = field(default_factory=list)

    def outline(self, edges: Edges, dashes: tuple[int, ...] | None) -> None:
        """A white line just inside the edges with a black one inside of it. `dashes` None: corners only."""
        left, top, right, bottom = edges
        line = self.line
        for inset, colour in ((0, WHITE), (line, BLACK)):
            x0, y0, x1, y1 = left + inset, top + inset, right - inset, bottom - inset
            for start, end in _strokes(x1 - x0, line, dashes):
                for y in (y0, y1 - line):
                    self._fill((x0 + start, y, x0 + end, y + line), colour)
            for start, end in _strokes(y1 - y0, line, dashes):
                for x in (x0, x1 - line):
                    self._fill((x, y0 + start, x + line, y0 + end), colour)

    def label(self, name: str, edges: Edges, taken: Sequence[Edges]) -> Edges:
        """The name on a black ground in the upper left corner of the edges, moved down past `taken`; where it is."""
        x0, y0, x1, y1 = (round(v) for v in self.letters.getbbox(name))
        line, pad = self.line, 3 * self.line
        wide, high = x1 - x0 + 2 * pad, y1 - y0 + 2 * pad
        left = max(0, min(edges[0] + 2 * line, self.width - wide))
        top = max(0, min(edges[1] + 2 * line, self.height - high))
        place = (left, top, left + wide, top + high)
        while (hit := next((t for t in taken if _meet(place, t)), None)) and hit[3] + high <= self.height:
            place = (left, hit[3], left + wide, hit[3] + high)
        self._fill(place, BLACK)
        self._drawn.append(_Word(place[0] + pad - x0, place[1] + pad - y0, name, self.letters))
        return place

    def paint(self, image: Image.Image, top: int = 0) -> None:
        """Paint what falls on a band of the picture: `image` is its rows from `top` on."""
        draw = ImageDraw.Draw(image)
        for drawn in self._drawn:
            if isinstance(drawn, _Word):
                draw.text((drawn.x, drawn.y - top), drawn.text, font=drawn.letters, fill=WHITE)
                continue
            (x0, y0, x1, y1), colour = drawn
            if y1 > top and y0 < top + image.height:
                draw.rectangle((x0, y0 - top, x1 - 1, y1 - top - 1), fill=colour)  # Pillow's last pixel is inside

    def _fill(self, edges: Edges, colour: Colour) -> None:
        left, top, right, bottom = edges
        if right > left and bottom > top:
            self._drawn.append((edges, colour))

    def __bool__(self) -> bool:
        return bool(self._drawn)


def marks_of(width: int, height: int, font: str | Path | None = None) -> Marks:
    """No marks yet, with lines and letters that suit the size. `font` is a TrueType file; else Pillow's own, Latin."""
    side = max(width, height)
    size = max(12, round(side / 75))
    letters = ImageFont.truetype(str(font), size) if font else ImageFont.load_default(size)
    return Marks(width, height, max(1, round(side / 1000)), letters)


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


def _meet(one: Edges, other: Edges) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
