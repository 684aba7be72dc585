"""Blocks of type and graphics, laid out on a window so that each stands clear of the others."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import numpy as np
from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageFont

from layouts.imaging.geometry import Rect
from tests.layouts.imaging.making.made import Colour, Line, Manner, between, one_of

# Lines of a block stand closer than this many times the lower one's letters; blocks stand further apart than APART.
APART = 1.7
LIGHT: tuple[Colour, ...] = ((255, 255, 255), (250, 244, 230), (255, 236, 120))
DARK: tuple[Colour, ...] = ((20, 20, 20), (60, 20, 10), (10, 30, 70))


@dataclass
class Sheet:
    """The artwork of a window while it is drawn, RGBA, and what was put on it, in the window's own pixels."""

    image: Image.Image
    blocks: list[Rect] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    _taken: list[Rect] = field(default_factory=list)

    def is_free(self, box: Rect, apart: float) -> bool:
        grown = Rect(box.x - apart, box.y - apart, box.width + 2 * apart, box.height + 2 * apart)
        inside = box.x >= 0 and box.y >= 0 and box.right <= self.image.width and box.bottom <= self.image.height
        return inside and all(grown.meet(other).area == 0 for other in self._taken)

    def take(self, box: Rect, apart: float) -> None:
        self.blocks.append(box)
        grown = Rect(box.x - apart, box.y - apart, box.width + 2 * apart, box.height + 2 * apart)
        self._taken.append(grown)


@lru_cache(maxsize=256)
def font_of(path: str, size: int) -> Any:
    return ImageFont.truetype(path, size) if path else ImageFont.load_default(size)


def capitals(font: Any, text: str) -> float:
    """The height of a line's capitals, or of an x where it has neither capitals nor ascenders: from the font itself."""
    tall = any(letter.isupper() or letter.isdigit() or letter in "bdfhklßäöü" for letter in text)
    _, top, _, bottom = font.getbbox("H" if tall else "x")
    return float(bottom - top)


def text_mask(
    size: tuple[int, int], spot: tuple[float, float], texts: list[str], font: Any, step: float, align: str = "left"
) -> tuple[Image.Image, list[Line]]:
    """Lines of text as a mask of the window's size, and their ink. Soft edges come from the font's own rendering."""
    mask = Image.new("L", size, 0)
    widths = [font.getlength(text) for text in texts]
    lines = []
    for at, text in enumerate(texts):
        shift = {"left": 0.0, "centre": (max(widths) - widths[at]) / 2, "right": max(widths) - widths[at]}[align]
        where = (round(spot[0] + shift), round(spot[1] + at * step))
        own = Image.new("L", size, 0)
        ImageDraw.Draw(own).text(where, text, font=font, fill=255)
        box = own.point(lambda value: 255 if value >= 128 else 0).getbbox()
        if box:
            ink = Rect(box[0], box[1], box[2] - box[0], box[3] - box[1])
            lines.append(Line(ink, capitals(font, text)))
        mask = ImageChops.lighter(mask, own)
    return mask, lines


def around(boxes: list[Rect]) -> Rect:
    x, y = min(box.x for box in boxes), min(box.y for box in boxes)
    return Rect(x, y, max(box.right for box in boxes) - x, max(box.bottom for box in boxes) - y)


def put_type(
    sheet: Sheet, rng: np.random.Generator, manner: Manner, spot: tuple[float, float], share: float, count: int,
    colour: Colour, *, effect: str = "none", px: int = 0,
) -> bool:  # fmt: skip
    """One block of `count` lines (0: as many as fill the window); `spot`: how the room left
    beside its box is shared out, 0 to 1 each way. False: no room.

    `share` of the window's shorter side, or `px`, is the letters' size. effect: "none", "shadow" or "glow".
    """
    width, height = sheet.image.size
    size = px or max(14, round(share * min(width, height)))
    texts = [str(one_of(rng, manner.texts)) for _ in range(count or 12)]
    path = str(one_of(rng, manner.fonts))
    longest = max(font_of(path, 100).getlength(text) for text in texts) / 100
    if count == 0 or longest * size > 0.9 * width:
        size = min(int(0.9 * width / longest), int(0.42 * height))
    if size < 12:
        return False
    font = font_of(path, size)
    step = size * between(rng, manner.leading)
    if count == 0:
        texts = texts[: max(1, int(0.9 * height / step))]
    align = str(one_of(rng, ("left", "centre", "right")))
    # First on a larger sheet, so that nothing of it is cut off when its box is taken.
    _, lines = text_mask((width + 2 * size, height + 4 * size), (size, size), texts, font, step, align)
    box = around([line.ink for line in lines])
    apart = APART * max(line.letters for line in lines)
    x, y = spot[0] * (width - box.width), spot[1] * (height - box.height)
    if not sheet.is_free(Rect(round(x), round(y), box.width, box.height), apart):
        return False
    at = (round(x) - round(box.x) + size, round(y) - round(box.y) + size)
    mask, lines = text_mask((width, height), at, texts, font, step, align)
    if effect != "none":
        _soft(sheet, mask, rng, manner, size, effect)
    _lay(sheet, mask, colour)
    sheet.lines += lines
    sheet.take(around([line.ink for line in lines]), apart)
    return True


def put_band(sheet: Sheet, rng: np.random.Generator, manner: Manner, side: str, colour: Colour) -> None:
    """A solid band along one side of the window, or all round two of its corners, with a line of type on it."""
    width, height = sheet.image.size
    deep = round(between(rng, (0.1, 0.22)) * min(width, height))
    box = {
        "bottom": Rect(0, height - deep, width, deep), "top": Rect(0, 0, width, deep),
        "left": Rect(0, 0, deep, height), "right": Rect(width - deep, 0, deep, height),
    }[side]  # fmt: skip
    draw = ImageDraw.Draw(sheet.image)
    draw.rectangle((box.x, box.y, box.right - 1, box.bottom - 1), fill=(*colour, 255))
    sheet.take(box, 0.12 * min(width, height))
    if side in ("top", "bottom"):
        bright = sum(colour) > 400
        font = font_of(str(one_of(rng, manner.fonts)), max(12, round(0.42 * deep)))
        text = str(one_of(rng, manner.texts))
        spot = (0.06 * width, box.y + 0.22 * deep)
        mask, lines = text_mask((width, height), spot, [text], font, 0)
        if lines and lines[0].ink.right < 0.96 * width:
            _lay(sheet, mask, DARK[0] if bright else LIGHT[0])
            sheet.lines += lines


def put_roundel(sheet: Sheet, rng: np.random.Generator, spot: tuple[float, float], colour: Colour) -> bool:
    """A filled disc or a pill, as a logo or an offer stands on a poster; drawn four times as large for soft edges."""
    width, height = sheet.image.size
    high = max(24, round(between(rng, (0.14, 0.26)) * min(width, height)))
    wide = high if rng.random() < 0.5 else round(high * between(rng, (1.6, 3.0)))
    box = Rect(round(spot[0] * (width - wide)), round(spot[1] * (height - high)), wide, high)
    if not sheet.is_free(box, 0.5 * high):
        return False
    big = Image.new("L", (4 * wide, 4 * high), 0)
    ImageDraw.Draw(big).rounded_rectangle((0, 0, 4 * wide - 1, 4 * high - 1), radius=2 * high, fill=255)
    mask = Image.new("L", (width, height), 0)
    mask.paste(big.resize((wide, high), Image.Resampling.BOX), (int(box.x), int(box.y)))
    _lay(sheet, mask, colour)
    sheet.take(box, 0.5 * high)
    return True


def _soft(sheet: Sheet, mask: Image.Image, rng: np.random.Generator, manner: Manner, size: int, effect: str) -> None:
    """A soft shadow or glow under the type."""
    radius = max(2.0, between(rng, manner.blur) * size)
    soft = mask.filter(ImageFilter.GaussianBlur(radius))
    if effect == "shadow":
        away = max(1, round(0.06 * size))
        soft = ImageChops.offset(soft, away, away)
    strength = between(rng, manner.shadow)
    _lay(sheet, soft.point(lambda value: round(value * strength)), (0, 0, 0) if effect == "shadow" else (255, 255, 240))


def _lay(sheet: Sheet, mask: Image.Image, colour: Colour) -> None:
    layer = Image.new("RGBA", sheet.image.size, (*colour, 0))
    layer.putalpha(mask)
    sheet.image.alpha_composite(layer)
