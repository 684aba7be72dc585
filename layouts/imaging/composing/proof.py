"""A soft proof: how a picture would print in four colours on coated paper, and what of it no ink can reach.

A guide on a screen that nobody calibrated; the printer's own proof decides.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageCms, ImageFilter

from layouts.imaging.colour import Array, delta_e_2000
from layouts.imaging.decoding.profiles import press_profile

Pixels = NDArray[np.uint8]

CONDITION = "offset on coated paper, FOGRA39, at most 300 % ink"
# In CIEDE2000. About 1 is just seen side by side. The profile's tables and the 8-bit steps on the way already cost
# printable colours 0.3 at the median and over 3 in 2 of 1000 (measured on random inks), so 3 marks what is seen
# and hardly ever what is not so. Proofs are held to a like size: ISO 12647-7 allows 2.5 on average (from memory).
OUT_OF_REACH = 3.0

_STEP = 5  # of 255 between the nodes of the table of differences: each node an exact 8-bit colour
_PER_DE = 10  # levels of the table for one unit of difference: it holds up to 25.5
_INTENT = ImageCms.Intent.RELATIVE_COLORIMETRIC
_BLACK_POINT = ImageCms.Flags.BLACKPOINTCOMPENSATION


class Proof(NamedTuple):
    """A proofed picture: sRGB (h, w, 3) uint8; where it cannot be printed, bool (h, w); their share, 0 to 1."""

    pixels: Pixels
    mask: NDArray[np.bool_]
    share: float


def soft_proof(pixels: Pixels) -> Proof:
    """Show how a picture prints.

    Parameters
    ----------
    pixels : ndarray, shape (h, w, 3), uint8
        sRGB.

    Returns
    -------
    Proof
        Colours go to ink relative colorimetric with black point compensation, and come back to the screen relative
        colorimetric: the paper shows as the screen's white, black ink as the dark grey that it is. A pixel is out of
        reach where its colour and what ink makes of it, both with their blacks brought together, differ by
        more than `OUT_OF_REACH`.

    Raises
    ------
    ValueError
        Pixels of another type or shape, or none at all.

    Source
    ------
    ICC.1:2022, 6.2.3; black point compensation ISO 18619; CIEDE2000 as in `delta_e_2000`.
    """
    if pixels.dtype != np.uint8 or pixels.ndim != 3 or pixels.shape[2] != 3 or not pixels.size:
        raise ValueError(f"a proof is made of uint8 (h, w, 3), not of {pixels.dtype} {pixels.shape}")
    image = Image.fromarray(np.ascontiguousarray(pixels))
    mask = np.asarray(image.filter(_differences()))[..., 0] > OUT_OF_REACH * _PER_DE
    return Proof(np.asarray(_transforms()[0].apply(image)), mask, float(mask.mean()))


@lru_cache(maxsize=1)
def _transforms() -> tuple[ImageCms.ImageCmsTransform, ...]:
    """sRGB as printed, in sRGB; sRGB to Lab; sRGB to ink; ink to Lab. Blacks are brought together in the last three."""
    screen, press, lab = ImageCms.createProfile("sRGB"), press_profile(), ImageCms.createProfile("LAB")
    flags = _BLACK_POINT | ImageCms.Flags.SOFTPROOFING
    return (
        ImageCms.buildProofTransform(screen, screen, press, "RGB", "RGB", _INTENT, _INTENT, flags),
        ImageCms.buildTransform(screen, lab, "RGB", "LAB", _INTENT, _BLACK_POINT),
        ImageCms.buildTransform(screen, press, "RGB", "CMYK", _INTENT, _BLACK_POINT),
        ImageCms.buildTransform(press, lab, "CMYK", "LAB", _INTENT, _BLACK_POINT),
    )


def press_difference(pixels: Pixels) -> Array:
    """CIEDE2000 between sRGB colours (h, w, 3), uint8, and what ink makes of them; (h, w). Exact, and slow."""
    _, to_lab, to_ink, ink_to_lab = _transforms()
    image = Image.fromarray(np.ascontiguousarray(pixels))
    return delta_e_2000(_lab(to_lab.apply(image)), _lab(ink_to_lab.apply(to_ink.apply(image))))


@lru_cache(maxsize=1)
def _differences() -> ImageFilter.Color3DLUT:
    """`press_difference` as a table: a thirtieth of the time; 1 pixel of 1000 falls to the other side."""
    steps = np.arange(0, 256, _STEP, dtype=np.uint8)
    blue, green, red = np.meshgrid(steps, steps, steps, indexing="ij")  # Pillow's tables run fastest along red
    nodes = np.stack([red, green, blue], axis=-1).reshape(-1, len(steps), 3)
    table = np.zeros((len(steps) ** 3, 3), np.float32)
    table[:, 0] = np.minimum(press_difference(nodes).ravel() * _PER_DE / 255, 1)
    return ImageFilter.Color3DLUT(len(steps), table.ravel())


def _lab(image: Image.Image) -> Array:
    """Pillow's 8-bit Lab in units of L*, a*, b*."""
    raw = np.asarray(image)
    return np.concatenate([raw[..., :1] * (100 / 255), raw[..., 1:].view(np.int8).astype(np.float64)], axis=-1)
