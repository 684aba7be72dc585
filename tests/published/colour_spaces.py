"""RGB colour spaces from their published numbers: what a value in them is in sRGB, and a profile to tag files with.

Nothing here is taken from a colour library, so that conversions by one can be held against it. All P:
Adobe RGB (1998) Color Image Encoding, version 2005-05, 4.3.1 (primaries, white, gamma 563/256);
SMPTE EG 432-1 primaries with the white and curve of IEC 61966-2-1 (known as Display P3);
ROMM RGB, ISO 22028-2 (primaries, D50, exponent 1.8; the straight foot below 1/32 is left out: use values above it).
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

import numpy as np

D65, D50 = (0.3127, 0.3290), (0.34567, 0.35850)
PCS = np.array([0.9642, 1.0, 0.8249])  # ICC.1:2022, 7.2.16: the white of the profile connection space
SRGB_XY = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))
# Bradford: ICC.1:2022, annex E
BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])


@dataclass(frozen=True)
class Space:
    primaries: tuple[tuple[float, float], ...]
    white: tuple[float, float]
    gamma: float | None  # None: the curve of sRGB

    def to_srgb(self, values):
        """Values (..., 3) of 0 to 1 as sRGB, not yet cut to 0 to 1."""
        values = np.asarray(values, float)
        light = values**self.gamma if self.gamma else _decoded(values)
        xyz = light @ _matrix(self.primaries, self.white).T @ adapted(_xyz(self.white), _xyz(D65)).T
        return _encoded(xyz @ np.linalg.inv(_matrix(SRGB_XY, D65)).T)

    def profile(self) -> bytes:
        """An ICC profile of this space: three colorants and a curve."""
        columns = adapted(_xyz(self.white), PCS) @ _matrix(self.primaries, self.white)
        curve = b"curv" + bytes(4) + struct.pack(">IH", 1, round(self.gamma * 256)) if self.gamma else _srgb_curve()
        tags = {b"desc": _text("a test's own profile"), b"cprt": _text("none"), b"wtpt": _xyz_tag(PCS)}
        tags |= {name: _xyz_tag(columns[:, at]) for at, name in enumerate((b"rXYZ", b"gXYZ", b"bXYZ"))}
        tags |= dict.fromkeys((b"rTRC", b"gTRC", b"bTRC"), curve)
        table, body = struct.pack(">I", len(tags)), b""
        for name, data in tags.items():
            table += struct.pack(">4sII", name, 132 + 12 * len(tags) + len(body), len(data))
            body += data + bytes(-len(data) % 4)
        head = struct.pack(">I4sI4s4s4s12s4s", 128 + len(table + body), b"", 0x04300000, b"mntr", b"RGB ", b"XYZ ",
                           bytes(12), b"acsp")  # fmt: skip
        head += bytes(68 - len(head)) + _fixed(PCS)
        return head + bytes(128 - len(head)) + table + body


def adapted(source, target):
    """Bradford's matrix from one white to another, both XYZ."""
    gains = (BRADFORD @ target) / (BRADFORD @ source)
    return np.linalg.inv(BRADFORD) @ np.diag(gains) @ BRADFORD


def _xyz(xy):
    x, y = xy
    return np.array([x / y, 1.0, (1 - x - y) / y])


def _matrix(primaries, white):
    """Light to XYZ: SMPTE RP 177-1993."""
    columns = np.stack([_xyz(xy) for xy in primaries], axis=1)
    return columns * np.linalg.solve(columns, _xyz(white))


def _decoded(values):
    return np.where(values <= 0.04045, values / 12.92, ((values + 0.055) / 1.055) ** 2.4)


def _encoded(light):
    return np.where(light <= 0.0031308, light * 12.92, 1.055 * np.maximum(light, 0.0031308) ** (1 / 2.4) - 0.055)


def _fixed(values):
    return struct.pack(">3i", *(round(float(value) * 65_536) for value in values))


def _xyz_tag(values):
    return b"XYZ " + bytes(4) + _fixed(values)


def _text(text):
    return b"mluc" + struct.pack(">4xII2s2sII", 1, 12, b"en", b"US", 2 * len(text), 28) + text.encode("utf-16-be")


def _srgb_curve():
    """Parametric, type 3: ICC.1:2022, 10.18."""
    numbers = (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)
    return b"para" + struct.pack(">4xHH5i", 3, 0, *(round(number * 65_536) for number in numbers))


ADOBE_RGB = Space(((0.64, 0.33), (0.21, 0.71), (0.15, 0.06)), D65, 563 / 256)
DISPLAY_P3 = Space(((0.680, 0.320), (0.265, 0.690), (0.150, 0.060)), D65, None)
ROMM_RGB = Space(((0.7347, 0.2653), (0.1596, 0.8404), (0.0366, 0.0001)), D50, 1.8)
SRGB = Space(SRGB_XY, D65, None)
SPACES = {"Adobe RGB": ADOBE_RGB, "Display P3": DISPLAY_P3, "ROMM RGB": ROMM_RGB}
