"""What stands on a window: a headline, a second thought, a legal line, a roundel, a band."""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageDraw

from tests.layouts.imaging.making.blocks import DARK, LIGHT, Sheet, put_band, put_roundel, put_type
from tests.layouts.imaging.making.made import Colour, Manner, between, one_of


def draw_artwork(
    rng: np.random.Generator, manner: Manner, size: tuple[int, int], *, style: str = "plain",
    band: Colour | None = None, side: str = "bottom",
) -> Sheet:  # fmt: skip
    """Artwork for a window of `size`.

    style : "plain"; "soft", with shadows or glows round the type; "full", type over most of it; "legal", with a legal
    line 20 px high; "light", light type for certain; "foot", with a soft dark gradient at the foot.
    band : colour of a band that touches the window's `side`.
    """
    sheet = Sheet(Image.new("RGBA", size, (0, 0, 0, 0)))
    if style == "foot":
        _foot(sheet)
    if band:
        put_band(sheet, rng, manner, side, band)
    light = rng.random() < 0.7 or style in ("foot", "light")
    colour = one_of(rng, LIGHT if light else DARK)
    effect = str(one_of(rng, ("shadow", "glow") if light else ("glow",))) if style == "soft" else "none"
    share = between(rng, manner.headline)
    if style == "full":
        put_type(sheet, rng, manner, (0.5, 0.5), share, 0, colour)
    else:
        count = int(rng.integers(1, 4))
        spot = (one_of(rng, (0.06, 0.5, 0.94)), one_of(rng, (0.06, 0.12, 0.5)))
        put_type(sheet, rng, manner, spot, share, count, colour, effect=effect)
        for _ in range(int(rng.integers(0, 3))):
            spot = (one_of(rng, (0.06, 0.5, 0.94)), between(rng, (0.1, 0.95)))
            put_type(sheet, rng, manner, spot, share * between(rng, (0.35, 0.7)), 1, colour, effect=effect)
        if rng.random() < 0.5:
            put_roundel(sheet, rng, (one_of(rng, (0.04, 0.96)), one_of(rng, (0.06, 0.94))), one_of(rng, manner.brand))
    if style == "legal":
        put_type(sheet, rng, manner, (0.05, 0.97), 0, 1, colour, px=28)
    return sheet


def _foot(sheet: Sheet) -> None:
    pixels = np.zeros((sheet.image.height, sheet.image.width, 4), np.uint8)
    ramp = np.clip((np.linspace(0, 1, len(pixels)) - 0.45) / 0.55, 0, 1)
    pixels[..., 3] = (ramp**1.6 * 190).astype(np.uint8)[:, None]
    sheet.image.alpha_composite(Image.fromarray(pixels))


def round_corners(image: Image.Image, radius: int) -> Image.Image:
    """The image's corners made clear, with soft edges drawn four times as large."""
    big = Image.new("L", (8 * radius, 8 * radius), 0)
    ImageDraw.Draw(big).ellipse((0, 0, 8 * radius - 1, 8 * radius - 1), fill=255)
    disc = big.resize((2 * radius, 2 * radius), Image.Resampling.BOX)
    mask = Image.new("L", image.size, 255)
    width, height = image.size
    for x, left in ((0, 0), (width - radius, radius)):
        for y, top in ((0, 0), (height - radius, radius)):
            mask.paste(disc.crop((left, top, left + radius, top + radius)), (x, y))
    return mask
