"""Colour profiles: naming them, and bringing pixels to sRGB.

Relative colorimetric with black point compensation, as is usual for pictures on a screen (ICC.1:2022, 6.2.3 and
ISO 18619). Pixels without a profile count as sRGB, and ink without one as printed by offset on coated paper (FOGRA39):
a guess, as inspection says, but a nearer one than the arithmetic of ideal inks.
"""

from __future__ import annotations

import io
from functools import lru_cache
from pathlib import Path

import numpy as np
from PIL import Image, ImageCms

SRGB = "sRGB"
_SPACES = {"RGB": ("RGB", "RGBA"), "GRAY": ("L",), "CMYK": ("CMYK",), "Lab": ("LAB",)}


@lru_cache(maxsize=1)
def srgb_profile() -> bytes:
    """An sRGB profile to tag output with; always the same bytes, so that equal pictures are equal files."""
    raw = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    raw[24:36] = bytes((7, 232, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0))  # the date of making would differ each time
    raw[84:100] = bytes(16)  # profile id: none calculated
    return bytes(raw)


@lru_cache(maxsize=1)
def press_profile() -> ImageCms.ImageCmsProfile:
    """Four-colour offset on coated paper, FOGRA39; its origin and licence lie beside it."""
    return _open((Path(__file__).parent / "icc" / "coated-fogra39.icc").read_bytes())


def profile_name(raw: bytes) -> str | None:
    """The profile's own description, or None where it is not a readable profile."""
    try:
        profile = _open(raw)
        name = ImageCms.getProfileDescription(profile).strip()
        profile.profile.xcolor_space.strip()  # of a damaged one not even that can be read
    except (ImageCms.PyCMSError, OSError, ValueError):
        return None
    return name[:200] or "unnamed profile"


def to_srgb(image: Image.Image, raw: bytes | None) -> Image.Image:
    """Pixels of mode L, LA, RGB, RGBA, CMYK or LAB as RGB or, where there is alpha, RGBA, in sRGB.

    `raw` is the embedded profile. One that is broken, or of another colour space than the pixels, is left out, as if
    there were none; `profile_name` and the inspection say so.
    """
    if image.mode == "LA":
        image = image.convert("RGBA")
    target = "RGBA" if image.mode == "RGBA" else "RGB"
    transform = _transform(raw, image.mode)
    return image.convert(target) if transform is None else transform.apply(image)


def _open(raw: bytes) -> ImageCms.ImageCmsProfile:
    return ImageCms.ImageCmsProfile(io.BytesIO(raw))


@lru_cache(maxsize=16)
def _transform(raw: bytes | None, mode: str) -> ImageCms.ImageCmsTransform | None:
    """The way from the profile to sRGB for one Pillow mode; None: nothing to do, or the profile does not fit."""
    source = _source(raw, mode)
    if source is None:
        return None
    try:
        transform = ImageCms.buildTransform(
            source,
            ImageCms.createProfile("sRGB"),
            mode,
            "RGBA" if mode == "RGBA" else "RGB",
            ImageCms.Intent.RELATIVE_COLORIMETRIC,
            ImageCms.Flags.BLACKPOINTCOMPENSATION,
        )
    except ImageCms.PyCMSError:
        return None
    return None if mode in ("RGB", "RGBA") and _changes_nothing(transform, mode) else transform


def _source(raw: bytes | None, mode: str) -> ImageCms.ImageCmsProfile | None:
    """The profile of the pixels: the embedded one, if it fits them; else what stands in; None: they are sRGB."""
    if raw is not None and profile_name(raw) is not None:
        embedded = _open(raw)
        if mode in _SPACES.get(embedded.profile.xcolor_space.strip(), ()):
            return embedded
    if mode == "LAB":
        return ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB"))
    return press_profile() if mode == "CMYK" else None


def _changes_nothing(transform: ImageCms.ImageCmsTransform, mode: str) -> bool:
    """Whether the profile is sRGB by its numbers, whatever it calls itself: then pixels are left as they are."""
    steps = np.arange(0, 256, 51, dtype=np.uint8)
    grid = Image.fromarray(np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(6, 36, 3)).convert(mode)
    moved = np.asarray(transform.apply(grid)).astype(int) - np.asarray(grid)
    return bool(np.abs(moved).max() <= 1)
