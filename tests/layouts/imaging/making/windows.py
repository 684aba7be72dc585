"""The canvas round a window: surrounds of every kind, keylines, rounded corners, or nothing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw

from layouts.imaging.geometry import Rect
from tests.layouts.imaging.making.artwork import round_corners
from tests.layouts.imaging.making.made import Manner, between, one_of

SURROUNDS = ("white", "black", "grey", "brand", "hatched", "half-clear")


@dataclass(frozen=True)
class Margins:
    left: int
    top: int
    right: int
    bottom: int


def margins(rng: np.random.Generator, manner: Manner, window: tuple[int, int]) -> Margins:
    """Equal on all sides, or equal in pairs, as an artboard is centred on a pasteboard."""
    one = max(8, round(between(rng, manner.margin) * min(window)))
    other = one if rng.random() < 0.6 else max(8, round(between(rng, manner.margin) * min(window)))
    return Margins(one, other, one, other)


def ground(rng: np.random.Generator, manner: Manner, size: tuple[int, int], kind: str) -> Image.Image:
    """A canvas filled as the surround is."""
    if kind == "hatched":
        return _hatched(rng, manner, size)
    colour = {
        "white": (255, 255, 255, 255), "black": (0, 0, 0, 255),
        "grey": (*[int(rng.integers(60, 220))] * 3, 255), "brand": (*one_of(rng, manner.brand), 255),
        "half-clear": (*[int(rng.integers(0, 255))] * 3, int(rng.integers(*manner.half))),
    }[kind]  # fmt: skip
    return Image.new("RGBA", size, colour)


def _hatched(rng: np.random.Generator, manner: Manner, size: tuple[int, int]) -> Image.Image:
    """Diagonal stripes, on a clear, a half-clear or a solid ground."""
    period = int(rng.integers(*manner.hatch))
    stripe = max(2, round(period * between(rng, (0.25, 0.6))))
    x, y = np.arange(size[0])[None, :], np.arange(size[1])[:, None]
    on = (x + (y if rng.random() < 0.5 else -y)) % period < stripe
    under = one_of(rng, ((0, 0, 0, 0), (235, 235, 235, 255), (255, 255, 255, 128)))
    over = (*[int(rng.integers(0, 160))] * 3, 255)
    return Image.fromarray(np.where(on[..., None], np.array(over, np.uint8), np.array(under, np.uint8)))


def with_surround(
    artwork: Image.Image, around: Image.Image, edge: Margins, corner: int = 0
) -> tuple[Image.Image, Rect]:
    """The artwork in a hole of its surround; `corner`: radius of the hole's corners in pixels."""
    window = Rect(edge.left, edge.top, artwork.width, artwork.height)
    canvas = around.copy()
    if corner:
        mask = round_corners(artwork, corner)
        keep = around.crop((edge.left, edge.top, edge.left + artwork.width, edge.top + artwork.height))
        share = np.asarray(mask) / 255
        hole = keep.copy()
        hole.putalpha(Image.fromarray(np.rint(np.asarray(keep)[..., 3] * (1 - share)).astype(np.uint8)))
        own = artwork.copy()
        own.putalpha(Image.fromarray(np.rint(np.asarray(artwork)[..., 3] * share).astype(np.uint8)))
        hole.alpha_composite(own)
    else:
        hole = artwork
    canvas.paste(hole, (edge.left, edge.top))
    return canvas, window


def with_keyline(
    rng: np.random.Generator, manner: Manner, artwork: Image.Image, edge: Margins
) -> tuple[Image.Image, Rect]:
    """A thin line whose middle runs along the crop, on a clear canvas."""
    canvas = Image.new("RGBA", (edge.left + artwork.width + edge.right, edge.top + artwork.height + edge.bottom))
    canvas.paste(artwork, (edge.left, edge.top))
    stroke = int(rng.integers(manner.stroke[0], manner.stroke[1] + 1))
    out = (stroke + 1) // 2  # an odd line lies one pixel more outside
    draw = ImageDraw.Draw(canvas)
    box = (edge.left - out, edge.top - out, edge.left + artwork.width + out - 1, edge.top + artwork.height + out - 1)
    draw.rectangle(box, outline=one_of(rng, ((0, 0, 0, 255), (255, 0, 255, 255), (0, 160, 220, 255))), width=stroke)
    return canvas, Rect(edge.left, edge.top, artwork.width, artwork.height)
