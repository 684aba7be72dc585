"""Writing a PNG strip by strip, with words in it: a picture of any size in the memory of one strip.

The same pixels and words make the same bytes with the same zlib: no time is written.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
# Colour types of one and of four channels a pixel.
_KINDS = {1: 0, 4: 6}
_UP = 2  # each row as its difference to the row above: flat areas, and type's stems, become zeros
# The fastest level: marks on clear and dimmed ground pack to almost nothing at any.
_LEVEL = 1
_CHUNK = 1 << 16


def write_png(
    out: str | Path,
    width: int,
    height: int,
    strips: Iterable[NDArray[np.uint8]],
    texts: Mapping[str, str] | None = None,
) -> None:
    """Write strips of rows from the top, grey (rows, width) or RGBA with straight alpha (rows, width, 4), in sRGB.

    `texts`: keyword, 1 to 79 letters of Latin-1, to words. Raises ValueError where the strips do not make `height`
    rows of `width`.

    Source: PNG specification, third edition (W3C 2025), 5 (structure), 9 (filter type Up), 11.3 (sRGB, tEXt, iTXt).
    """
    with Path(out).open("wb") as file:
        file.write(_SIGNATURE)
        rows, packer, above = 0, zlib.compressobj(_LEVEL), np.zeros(0, np.uint8)
        for strip in strips:
            channels = strip.shape[2] if strip.ndim == 3 else 1
            flat = strip.reshape(strip.shape[0], -1)
            if strip.shape[1] != width or channels not in _KINDS or (rows and flat.shape[1] != above.size):
                raise ValueError(f"a strip of {strip.shape} does not belong to a picture {width} px wide")
            if not rows:
                _head(file, width, height, channels, texts or {})
                above = np.zeros(flat.shape[1], np.uint8)
            for packed in _packed(packer, flat, above):
                _chunk(file, b"IDAT", packed)
            above, rows = flat[-1].copy(), rows + len(flat)
        if rows != height:
            raise ValueError(f"the strips make {rows} rows; the picture has {height}")
        _chunk(file, b"IDAT", packer.flush())
        _chunk(file, b"IEND", b"")


def _head(file: BinaryIO, width: int, height: int, channels: int, texts: Mapping[str, str]) -> None:
    _chunk(file, b"IHDR", struct.pack(">IIBBBBB", width, height, 8, _KINDS[channels], 0, 0, 0))
    _chunk(file, b"sRGB", b"\0")
    for keyword, words in texts.items():
        _chunk(file, *_text(keyword, words))


def _text(keyword: str, words: str) -> tuple[bytes, bytes]:
    name = keyword.encode("latin-1")
    if not 1 <= len(name) <= 79:
        raise ValueError(f"a keyword is 1 to 79 letters long; this is “{keyword}”")
    try:
        return b"tEXt", name + b"\0" + words.encode("latin-1")
    except UnicodeEncodeError:
        return b"iTXt", name + b"\0\0\0\0\0" + words.encode()


def _packed(packer: zlib._Compress, flat: NDArray[np.uint8], above: NDArray[np.uint8]) -> Iterator[bytes]:
    """The rows filtered and packed, in pieces."""
    lines = np.empty((flat.shape[0], flat.shape[1] + 1), np.uint8)
    lines[:, 0] = _UP
    np.subtract(flat[:1], above, out=lines[:1, 1:])
    np.subtract(flat[1:], flat[:-1], out=lines[1:, 1:])
    made = packer.compress(lines.data)
    for at in range(0, len(made), _CHUNK):
        yield made[at : at + _CHUNK]


def _chunk(file: BinaryIO, kind: bytes, data: bytes) -> None:
    if kind == b"IDAT" and not data:
        return
    file.write(struct.pack(">I", len(data)))
    file.write(kind + data)
    file.write(struct.pack(">I", zlib.crc32(data, zlib.crc32(kind))))
