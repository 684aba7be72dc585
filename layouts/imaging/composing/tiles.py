"""A layout's own pixels in square tiles, to look at an edge of its window pixel for pixel; never whole in memory."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from layouts.imaging.decoding.decode import Strips, open_strips
from layouts.imaging.decoding.encode import save_image
from layouts.imaging.decoding.profiles import to_srgb

Pixels = NDArray[np.uint8]
SIDE = 1024  # a band of them across 20,000 px holds 80 MB; the magnified view needs four of them at most


def write_tiles(path: str | Path, folder: Path, side: int = SIDE) -> dict[tuple[int, int], Path]:
    """Write the file's pixels as PNG tiles of `side` by `side`, those at the right and lower edge smaller.

    Returns (column, row) -> file, in sRGB with straight alpha. Raises Refused where the file cannot be read to its end.
    """
    strips = open_strips(path)
    made = {}
    for row, band in enumerate(_bands(strips, side)):
        for column, left in enumerate(range(0, band.shape[1], side)):
            file = folder / f"{column}-{row}.png"
            save_image(_upright_colour(band[:, left : left + side], strips), file)
            made[column, row] = file
    return made


def _bands(strips: Strips, side: int) -> Iterator[Pixels]:
    """The same rows, regrouped in bands of `side`; the last may be lower."""
    held: list[Pixels] = []
    count = 0
    for strip in strips.rows:
        rows = strip
        while count + len(rows) >= side:
            cut = side - count
            yield np.concatenate([*held, rows[:cut]])
            held, count, rows = [], 0, rows[cut:]
        if len(rows):
            held.append(rows.copy())
            count += len(rows)
    if held:
        yield np.concatenate(held)


def _upright_colour(pixels: Pixels, strips: Strips) -> Image.Image:
    ink = strips.space == "CMYK"
    size = (pixels.shape[1], pixels.shape[0])
    data = np.ascontiguousarray(pixels)
    image = Image.frombuffer("CMYK" if ink else "RGBA", size, data, "raw", "CMYK" if ink else "RGBA", 0, 1)
    profile = strips.facts.profile_bytes
    return to_srgb(image, profile).convert("RGBA") if ink or profile else image
