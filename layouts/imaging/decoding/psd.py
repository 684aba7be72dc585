"""The flattened composite of a Photoshop document, read in strips.

Adobe Photoshop File Formats Specification (2019): a header, three sections to step over, then the merged image, planar,
raw or packed row by row. Pillow reads only 8 bits and does not tell transparency from a saved selection; here a
negative layer count tells it, and the white that Photoshop blends into half-clear pixels is taken out again.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from layouts.imaging.errors import Refused

_COLOURS = {1: ("L", 1), 3: ("RGB", 3), 4: ("CMYK", 4), 8: ("L", 1)}
_MOST_PROFILE = 16 << 20
_MOST_RESOURCES = 10_000
_COMPATIBLE = "Save it with “Maximize compatibility” on, in RGB with 8 or 16 bits a channel, or export a PNG."


@dataclass(frozen=True)
class PsdHead:
    """What the head of the file says; `data` is where the merged image begins, `merged_alpha` if channel 4 is alpha."""

    width: int
    height: int
    bits: int
    channels: int
    space: str
    colours: int
    merged_alpha: bool
    profile: bytes | None
    data: int

    @property
    def has_alpha(self) -> bool:
        return self.merged_alpha and self.channels > self.colours


def read_head(path: str | Path) -> PsdHead:
    """Raises Refused for a document without a composite that can be read."""
    try:
        with open(path, "rb") as file:
            return _read_head(file)
    except struct.error:
        raise Refused("This PSD ends early: it was cut off on the way. Send it again.") from None


def _read_head(file: BinaryIO) -> PsdHead:
    _, version, channels, height, width, bits, mode = struct.unpack(">4sH6xHIIHH", file.read(26))
    if version != 1:
        raise Refused("This is a large document (PSB). Save it as PSD, or export a PNG.")
    if mode not in _COLOURS or bits not in (8, 16) or channels < _COLOURS[mode][1]:
        raise Refused(f"This PSD has a colour mode or depth that cannot be read. {_COMPATIBLE}")
    space, colours = _COLOURS[mode]
    file.seek(*_length(file), 1)  # colour mode data
    profile = _profile(file, *_length(file))
    (size,) = _length(file)
    start, alpha = file.tell(), False
    if size >= 6:
        inner, count = struct.unpack(">Ih", file.read(6))
        alpha = inner > 0 and count < 0
    return PsdHead(width, height, bits, channels, space, colours, alpha, profile, start + size)


def _length(file: BinaryIO) -> tuple[int]:
    return struct.unpack(">I", file.read(4))


def _profile(file: BinaryIO, size: int) -> bytes | None:
    """Step over the image resources and return resource 1039, the ICC profile."""
    end, found = file.tell() + size, None
    for _ in range(_MOST_RESOURCES):
        if file.tell() >= end:
            break
        signature, number, name = struct.unpack(">4sHB", file.read(7))
        if signature != b"8BIM":
            break
        file.seek(name + (name + 1) % 2, 1)
        (length,) = _length(file)
        if number == 1039 and length <= _MOST_PROFILE:
            found = file.read(length)
            file.seek(length % 2, 1)
        else:
            file.seek(length + length % 2, 1)
    file.seek(end)
    return found


def strips(path: str | Path, head: PsdHead, rows: int) -> Iterator[NDArray[np.uint8]]:
    """The composite from the top: arrays (n, width, 4) of RGBA with straight alpha or, in CMYK, of ink 0 to 255."""
    wanted = head.colours + head.has_alpha
    with open(path, "rb") as file:
        file.seek(head.data)
        (packing,) = struct.unpack(">H", file.read(2))
        if packing not in (0, 1):
            raise Refused(f"The composite of this PSD is packed in a way that cannot be read. {_COMPATIBLE}")
        bytes_per_row = head.width * head.bits // 8
        counts = np.full(head.channels * head.height, bytes_per_row, np.int64)
        if packing:
            counts[:] = np.frombuffer(file.read(2 * len(counts)), ">u2")
        starts = np.concatenate(([0], np.cumsum(counts))) + file.tell()
        for top in range(0, head.height, rows):
            n = min(rows, head.height - top)
            planes = []
            for channel in range(wanted):
                first = channel * head.height + top
                file.seek(int(starts[first]))
                raw = file.read(int(starts[first + n] - starts[first]))
                planes.append(_plane(raw, (bytes_per_row, n), bool(packing), head.bits))
            yield _pixels(planes, head)


def _plane(raw: bytes, size: tuple[int, int], packed: bool, bits: int) -> NDArray[np.uint8]:
    if packed:
        raw = Image.frombytes("L", size, raw, "packbits", "L").tobytes()
    plane = np.frombuffer(raw, np.uint8).reshape(size[1], size[0])
    return plane[:, ::2] if bits == 16 else plane  # the high byte comes first


def _pixels(planes: list[NDArray[np.uint8]], head: PsdHead) -> NDArray[np.uint8]:
    if head.space == "CMYK":
        return 255 - np.stack(planes[:4], axis=-1)  # stored as light, not as ink
    colour = planes[:1] * 3 if head.colours == 1 else planes[:3]
    alpha = planes[head.colours] if head.has_alpha else np.full_like(planes[0], 255)
    pixels = np.stack([*colour, alpha], axis=-1)
    half = (alpha > 0) & (alpha < 255)
    if half.any():
        a = pixels[half][:, 3:].astype(np.float32)
        pixels[half, :3] = np.clip((pixels[half][:, :3] - (255 - a)) * 255 / a + 0.5, 0, 255).astype(np.uint8)
    return pixels
