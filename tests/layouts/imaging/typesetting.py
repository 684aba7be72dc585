"""Type set for measuring: premultiplied layers, their zones, and grounds whose luminance is known."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFilter, ImageFont

from layouts.imaging.colour import linear_to_srgb
from layouts.imaging.composite import premultiply, source_over
from layouts.imaging.geometry import Rect

FONT = Path(__file__).parents[3] / "fixtures/demo/fonts/Fraunces_600SemiBold.ttf"
SIZE = (1200, 300)


def of_hex(text: str) -> tuple[int, int, int]:
    text = text.lstrip("#")
    text = "".join(digit * 2 for digit in text) if len(text) == 3 else text
    return int(text[:2], 16), int(text[2:4], 16), int(text[4:], 16)


def flat(colour, size=SIZE):
    """A ground of one colour, (h, w, 3)."""
    return np.full((size[1], size[0], 3), colour, np.uint8)


def of_light(light):
    """Greys of this relative luminance (h, w), 0 to 1, as (h, w, 3) to the nearest of 256."""
    grey = np.rint(255 * linear_to_srgb(np.clip(light, 0, 1))).astype(np.uint8)
    return np.ascontiguousarray(np.broadcast_to(grey[..., None], (*grey.shape, 3)))


def set_type(
    colour, *, text="Slow mornings, all", size=72, alpha=255, canvas=SIZE, at=(60, 80), panel=None, glow=None,
    shadow=None, **drawing,
):  # fmt: skip
    """Type of one colour as a premultiplied layer, and the box of its ink.

    panel: a colour behind all of it; glow: (colour, blur in px); shadow: (colour, offset in px), hard.
    """
    font = ImageFont.truetype(str(FONT), size)
    image = Image.new("RGBA", canvas, (0, 0, 0, 0))
    if panel:
        ImageDraw.Draw(image).rectangle((20, 40, canvas[0] - 20, canvas[1] - 40), fill=(*panel, 255))
    if glow:
        under = Image.new("RGBA", canvas, (*glow[0], 0))
        ImageDraw.Draw(under).text(at, text, font=font, fill=(*glow[0], 255), stroke_width=glow[1])
        image.alpha_composite(under.filter(ImageFilter.GaussianBlur(glow[1])))
    if shadow:
        spot = (at[0] + shadow[1], at[1] + shadow[1])
        ImageDraw.Draw(image).text(spot, text, font=font, fill=(*shadow[0], 255))
    ink = Image.new("RGBA", canvas, (*colour, 0))
    ImageDraw.Draw(ink).text(at, text, font=font, fill=(*colour, alpha), **drawing)
    image.alpha_composite(ink)
    left, top, right, bottom = ink.getchannel("A").getbbox()
    return premultiply(np.asarray(image)), Rect(left, top, right - left, bottom - top)


def laid(layer, ground):
    return source_over(ground, layer)
