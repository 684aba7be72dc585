"""Layouts and pictures drawn for tests, with what was drawn where, so that findings can be held against the truth."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from layouts.imaging.geometry import Rect

CREAM, RED, INK = (250, 244, 230, 255), (176, 32, 40, 255), (20, 20, 20, 255)


@dataclass
class Drawn:
    """What is in a drawn layout: its window and the ink boxes of its lines, in canvas pixels."""

    path: Path
    window: Rect
    lines: list[Rect] = field(default_factory=list)
    band: Rect | None = None


def draw_layout(
    path: str | Path,
    size: tuple[int, int],
    *,
    kind: str = "canvas",
    headline: str = "Fresh from the pan",
    second: str = "every morning",
    surround: tuple[int, int, int, int] = (60, 60, 60, 255),
    margins: tuple[int, int, int, int] | None = None,
    band: tuple[int, int, int, int] | None = RED,
    type_colour: tuple[int, int, int, int] = CREAM,
    **saving: Any,
) -> Drawn:
    """Draw a layout of `size` (width, height) as a designer would send it, and save it by the ending of `path`.

    kind : "canvas", nothing around the crop; "surround", one colour (`surround`, RGBA) around it; "keyline", a thin
    line at the crop on a clear canvas; "flattened", on white; "empty", all clear; "faint", all at a third; "haze", a
    stray layer of 3 % over all; "gradient", with a soft dark foot, which is no fault.
    margins : left, top, right, bottom of the window, in pixels; None: a tenth of the canvas.
    band : colour of a band at the window's foot with a small line on it; None: no band.
    saving : passed on to Pillow's `save`.
    """
    path = Path(path)
    width, height = size
    framed = kind in ("surround", "keyline")
    left, top, right, bottom = margins or ((round(width / 10), round(height / 10)) * 2 if framed else (0, 0, 0, 0))
    window = Rect(left, top, width - left - right, height - top - bottom)
    ground = {"flattened": (255, 255, 255, 255), "surround": surround}.get(kind, (0, 0, 0, 0))
    image = Image.new("RGBA", size, ground)
    inside = (left, top, width - right - 1, height - bottom - 1)
    draw = ImageDraw.Draw(image)
    if kind == "surround":
        draw.rectangle(inside, fill=(0, 0, 0, 0))
    if kind == "keyline":
        draw.rectangle(inside, outline=(0, 160, 220, 255), width=max(2, width // 1000))
    if kind == "gradient":
        image.alpha_composite(_foot(window), (left, top))
    drawn = Drawn(path, window)
    if kind != "empty":
        _type(draw, drawn, headline, second, band, INK if kind == "flattened" else type_colour)
    if kind == "faint":
        image.putalpha(image.getchannel("A").point(lambda alpha: alpha // 3))
    if kind == "haze":
        image = Image.alpha_composite(Image.new("RGBA", size, (0, 0, 0, 8)), image)
    if path.suffix == ".png":
        saving.setdefault("compress_level", 1)
    image.save(path, **saving)
    return drawn


def _type(draw: ImageDraw.ImageDraw, drawn: Drawn, headline: str, second: str, band: Any, colour: Any) -> None:
    window = drawn.window
    unit = min(window.height, window.width / 2)
    at = window.y + 0.12 * window.height
    for text, share in ((headline, 0.2), (second, 0.1)):
        font = ImageFont.load_default(round(share * unit))
        draw.text((window.x + 0.08 * window.width, at), text, font=font, fill=colour)
        drawn.lines.append(_ink(font, text, (window.x + 0.08 * window.width, at)))
        at = drawn.lines[-1].bottom + 0.06 * unit
    if band:
        high = round(0.16 * window.height)
        drawn.band = Rect(window.x, window.bottom - high, window.width, high)
        draw.rectangle((drawn.band.x, drawn.band.y, drawn.band.right - 1, drawn.band.bottom - 1), fill=band)
        font = ImageFont.load_default(round(0.06 * unit))
        spot = (window.x + 0.08 * window.width, drawn.band.y + 0.3 * high)
        draw.text(spot, "open from seven", font=font, fill=(255, 255, 255, 255) if band != CREAM else INK)
        drawn.lines.append(_ink(font, "open from seven", spot))


def _ink(font: Any, text: str, spot: tuple[float, float]) -> Rect:
    """The box of the ink of a text drawn at `spot`."""
    mask, (right, below) = font.getmask2(text)
    x0, y0, x1, y1 = mask.getbbox()
    return Rect(int(spot[0]) + right + x0, int(spot[1]) + below + y0, x1 - x0, y1 - y0)


def _foot(window: Rect) -> Image.Image:
    pixels = np.zeros((round(window.height), round(window.width), 4), np.uint8)
    pixels[..., 3] = (np.linspace(0, 1, len(pixels)) ** 2 * 200).astype(np.uint8)[:, None]
    return Image.fromarray(pixels)


def draw_picture(path: str | Path, size: tuple[int, int] = (1200, 800), *, seed: int = 1, **saving: Any) -> Path:
    """A soft, coloured picture with a bright plate in the middle, saved by the ending of `path`."""
    rng = np.random.default_rng(seed)
    small = rng.integers(40, 180, (6, 9, 3), dtype=np.uint8)
    image = Image.fromarray(small).resize(size, Image.Resampling.BICUBIC)
    width, height = size
    ImageDraw.Draw(image).ellipse((0.35 * width, 0.35 * height, 0.65 * width, 0.75 * height), fill=(235, 225, 205))
    image.save(path, **saving)
    return Path(path)
