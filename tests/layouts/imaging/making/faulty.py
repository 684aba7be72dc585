"""Files as they should not be: each takes a good file's artwork and does one thing wrong."""

from __future__ import annotations

import numpy as np
from PIL import Image

from tests.layouts.imaging.making.made import Manner, between, one_of


def on_white(image: Image.Image) -> Image.Image:
    """Exported with a white artboard under it."""
    out = Image.new("RGBA", image.size, (255, 255, 255, 255))
    out.alpha_composite(image)
    return out


def on_checkerboard(rng: np.random.Generator, image: Image.Image) -> Image.Image:
    """The pattern that programs show behind transparency, flattened in."""
    square = int(one_of(rng, (8, 10, 12, 16, 20, 32)))
    light, dark = one_of(rng, ((255, 204), (255, 191), (255, 229), (238, 204), (153, 102)))
    x, y = np.arange(image.width) // square, np.arange(image.height) // square
    board = np.where((x[None, :] + y[:, None]) % 2 == 0, light, dark).astype(np.uint8)
    out = Image.fromarray(board).convert("RGBA")
    out.alpha_composite(image)
    return out


def dark_fringed(image: Image.Image) -> Image.Image:
    """Colours multiplied by alpha and then saved as if they were not: half-clear edges go dark."""
    pixels = np.asarray(image).astype(np.float64)
    pixels[..., :3] *= pixels[..., 3:] / 255
    return Image.fromarray(np.rint(pixels).astype(np.uint8))


def hazed(rng: np.random.Generator, image: Image.Image) -> Image.Image:
    """A layer left on: a faint soft cloud somewhere, or a tint over all."""
    alpha = int(rng.integers(3, 16))
    haze = Image.new("RGBA", image.size, (0, 0, 0, 0))
    if rng.random() < 0.5:
        haze.paste((0, 0, 0, alpha), (0, 0, *image.size))
    else:
        wide, high = image.width // 2, image.height // 2
        x, y = int(rng.integers(0, image.width - wide)), int(rng.integers(0, image.height - high))
        haze.paste((0, 0, 0, alpha), (x, y, x + wide, y + high))
    haze.alpha_composite(image)
    return haze


def faded(rng: np.random.Generator, image: Image.Image) -> Image.Image:
    """The type's layer left at part of its strength."""
    share = between(rng, (0.2, 0.6))
    out = image.copy()
    out.putalpha(image.getchannel("A").point(lambda value: round(value * share)))
    return out


def cropped_wrong(rng: np.random.Generator, image: Image.Image) -> Image.Image:
    """An artboard of another shape: a good part of one side missing."""
    share = between(rng, (0.6, 0.93))
    if rng.random() < 0.5:
        return image.crop((0, 0, round(share * image.width), image.height))
    return image.crop((0, 0, image.width, round(share * image.height)))


def as_cmyk(image: Image.Image) -> Image.Image:
    """For the press: flattened on white in ink."""
    return on_white(image).convert("RGB").convert("CMYK")


def reversed_manner(manner: Manner) -> Manner:
    """A manner with its texts in the other order, so that two drawings of one seed differ in words alone."""
    return Manner(**{**vars(manner), "texts": manner.texts[::-1]})
