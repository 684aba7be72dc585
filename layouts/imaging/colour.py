"""Colour by the book: sRGB, luminance, contrast, CIE Lab and CIEDE2000. Arrays in, arrays out, float64."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

_KNEE = 0.04045  # IEC 61966-2-1; WCAG 2.0 first had 0.03928, and the two differ for no 8-bit value
_WEIGHTS = np.array([0.2126, 0.7152, 0.0722])
# Linear sRGB to XYZ, IEC 61966-2-1:1999, with the digits of its amendment 1.
_TO_XYZ = np.array([[0.412453, 0.357580, 0.180423], [0.212671, 0.715160, 0.072169], [0.019334, 0.119193, 0.950227]])
_WHITE = np.array([0.95047, 1.0, 1.08883])  # D65, 2 degrees


def srgb_to_linear(srgb: ArrayLike) -> Array:
    """Light of sRGB values, both in [0, 1], any shape. Raises ValueError outside. IEC 61966-2-1."""
    srgb = _in_unit(srgb)
    return np.where(srgb <= _KNEE, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)


def linear_to_srgb(linear: ArrayLike) -> Array:
    """sRGB values of light, both in [0, 1], any shape. Raises ValueError outside. IEC 61966-2-1."""
    linear = _in_unit(linear)
    return np.where(linear <= _KNEE / 12.92, linear * 12.92, 1.055 * np.maximum(linear, 1e-9) ** (1 / 2.4) - 0.055)


def relative_luminance(srgb: ArrayLike) -> Array:
    """Relative luminance of sRGB colours.

    Parameters
    ----------
    srgb : array_like, shape (..., 3)
        Non-linear sRGB, each channel in [0, 1].

    Returns
    -------
    ndarray, shape (...)
        0 is black, 1 is the white of sRGB. No unit.

    Raises
    ------
    ValueError
        The last axis is not 3 long, or a value is outside [0, 1] or not a number.

    Source
    ------
    WCAG 2.2, definition of "relative luminance".
    """
    return np.asarray(srgb_to_linear(_triples(srgb)) @ _WEIGHTS)


def contrast_ratio(one: ArrayLike, other: ArrayLike) -> Array:
    """Contrast of sRGB colours (..., 3) in [0, 1], in either order: 1 to 21. WCAG 2.2, "contrast ratio"."""
    first, second = relative_luminance(one), relative_luminance(other)
    return np.asarray((np.maximum(first, second) + 0.05) / (np.minimum(first, second) + 0.05))


def srgb_to_lab(srgb: ArrayLike) -> Array:
    """CIE L*a*b* of sRGB colours.

    Parameters
    ----------
    srgb : array_like, shape (..., 3)
        Non-linear sRGB, each channel in [0, 1].

    Returns
    -------
    ndarray, shape (..., 3)
        L* in [0, 100], a* and b*, for D65 and the 2 degree observer.

    Raises
    ------
    ValueError
        As `relative_luminance`.

    Source
    ------
    CIE 15:2004, 8.2.1, with the exact fractions for the linear part.
    """
    ratio = srgb_to_linear(_triples(srgb)) @ _TO_XYZ.T / _WHITE
    f = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio * (29 / 6) ** 2 / 3 + 4 / 29)
    return np.stack(
        [116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])], axis=-1
    )  # fmt: skip


def delta_e_2000(one: ArrayLike, other: ArrayLike) -> Array:
    """Colour difference CIEDE2000 between Lab colours, with kL = kC = kH = 1.

    Parameters
    ----------
    one, other : array_like, shapes (..., 3) that broadcast
        L*, a*, b*.

    Returns
    -------
    ndarray, shape (...)
        0 is equal; about 1 is just seen side by side.

    Raises
    ------
    ValueError
        The last axis is not 3 long.

    Source
    ------
    Sharma, Wu, Dalal, "The CIEDE2000 color-difference formula", Color Research and Application 30(1), 2005,
    equations 2 to 22.
    """
    one, other = _triples(one), _triples(other)
    mean_chroma = (np.hypot(one[..., 1], one[..., 2]) + np.hypot(other[..., 1], other[..., 2])) / 2
    stretch = 1 + 0.5 * (1 - np.sqrt(mean_chroma**7 / (mean_chroma**7 + 25.0**7)))
    light1, chroma1, hue1 = _lch(one, stretch)
    light2, chroma2, hue2 = _lch(other, stretch)

    grey = chroma1 * chroma2 == 0
    turn = hue2 - hue1
    turn = np.where(grey, 0.0, turn - 360 * np.sign(turn) * (np.abs(turn) > 180))
    d_light, d_chroma = light2 - light1, chroma2 - chroma1
    d_hue = 2 * np.sqrt(chroma1 * chroma2) * np.sin(np.radians(turn) / 2)

    light, chroma = (light1 + light2) / 2, (chroma1 + chroma2) / 2
    both = hue1 + hue2
    wrapped = np.abs(hue1 - hue2) > 180
    hue = np.where(grey, both, (both + 360 * wrapped * np.where(both < 360, 1, -1)) / 2)
    s_light, s_chroma, s_hue, rotation = _weights(light, chroma, hue)
    d_light, d_chroma, d_hue = d_light / s_light, d_chroma / s_chroma, d_hue / s_hue
    return np.asarray(np.sqrt(d_light**2 + d_chroma**2 + d_hue**2 + rotation * d_chroma * d_hue))


def _lch(lab: Array, stretch: Array) -> tuple[Array, Array, Array]:
    """Lightness, chroma and hue (degrees, 0 to 360) with a* stretched: equations 5 to 7."""
    a, b = lab[..., 1] * stretch, lab[..., 2]
    return lab[..., 0], np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360


def _weights(light: Array, chroma: Array, hue: Array) -> tuple[Array, Array, Array, Array]:
    """SL, SC, SH and RT: equations 15 to 21."""
    cos = [np.cos(np.radians(times * hue + shift)) for times, shift in ((1, -30), (2, 0), (3, 6), (4, -63))]
    t = 1 - 0.17 * cos[0] + 0.24 * cos[1] + 0.32 * cos[2] - 0.20 * cos[3]
    s_light = 1 + 0.015 * (light - 50) ** 2 / np.sqrt(20 + (light - 50) ** 2)
    angle = 30 * np.exp(-(((hue - 275) / 25) ** 2))
    rotation = -2 * np.sqrt(chroma**7 / (chroma**7 + 25.0**7)) * np.sin(np.radians(2 * angle))
    return s_light, 1 + 0.045 * chroma, 1 + 0.015 * chroma * t, rotation


def _in_unit(values: ArrayLike) -> Array:
    array = np.asarray(values, dtype=np.float64)
    if not np.all((array >= 0) & (array <= 1)):
        raise ValueError("channels must lie in [0, 1]")
    return array


def _triples(values: ArrayLike) -> Array:
    array = np.asarray(values, dtype=np.float64)
    if array.shape[-1:] != (3,):
        raise ValueError(f"the last axis must hold three channels; the shape is {array.shape}")
    return array
