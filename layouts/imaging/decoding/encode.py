"""Finished pixels as a file that browsers show, tagged sRGB."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from layouts.imaging.decoding.profiles import srgb_profile

# Full colour resolution: red type on a picture frays when colour is halved.
# WebP method 2 takes far less time than the default at about the same size.
_WAYS: dict[str, dict[str, Any]] = {
    ".png": {"format": "PNG", "compress_level": 3},
    ".jpg": {"format": "JPEG", "quality": 90, "subsampling": "4:4:4"},
    ".jpeg": {"format": "JPEG", "quality": 90, "subsampling": "4:4:4"},
    ".webp": {"format": "WEBP", "quality": 90, "method": 2},
}


def save_picture(pixels: NDArray[np.uint8], out: str | Path) -> None:
    """Write sRGB pixels (height, width, 3 or, with straight alpha, 4) as PNG, JPEG or WebP by the ending of `out`.

    Raises ValueError for another ending, and for alpha in a JPEG.
    """
    save_image(Image.fromarray(pixels), out)


def save_image(image: Image.Image, out: str | Path) -> None:
    """Write an RGB or RGBA image that is in sRGB already; see `save_picture`."""
    image.save(out, icc_profile=srgb_profile(), **way(out, alpha=image.mode == "RGBA"))


def way(out: str | Path, *, alpha: bool = False) -> dict[str, Any]:
    """How a file of this ending is written. Raises ValueError: ask before the work is done, not after."""
    ending = Path(out).suffix.lower()
    if ending not in _WAYS:
        raise ValueError(f"pictures are written as .png, .jpg or .webp, not as “{ending or 'a name without ending'}”")
    if alpha and _WAYS[ending]["format"] == "JPEG":
        raise ValueError("a JPEG cannot be transparent; write .png or .webp")
    return _WAYS[ending]
