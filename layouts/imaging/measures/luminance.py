"""Luminance and lightness of whole pictures, fast: by table, in single precision. `colour` has them exact."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from layouts.imaging.colour import srgb_to_linear

Pixels = NDArray[np.uint8]
Values = NDArray[np.float32]

_WEIGHTS = (0.2126, 0.7152, 0.0722)  # WCAG 2.2, "relative luminance"
_LIGHT = srgb_to_linear(np.arange(256) / 255)
_TABLE = np.stack([_LIGHT * weight for weight in _WEIGHTS], axis=-1).astype(np.float32).reshape(1, 256, 3)
_SUM = np.ones((1, 3), np.float32)


def luminance(pixels: Pixels) -> Values:
    """Relative luminance, 0 to 1, of uint8 sRGB pixels (h, w, 3); float32 (h, w). WCAG 2.2, "relative luminance"."""
    return np.asarray(cv2.transform(cv2.LUT(pixels, _TABLE), _SUM), np.float32).reshape(pixels.shape[:2])


def lightness(light: Values) -> Values:
    """CIE L*, 0 to 100, of relative luminance. CIE 15:2004, 8.2.1."""
    return np.asarray(np.where(light > 216 / 24389, 116 * np.cbrt(light) - 16, light * (24389 / 27)), np.float32)
