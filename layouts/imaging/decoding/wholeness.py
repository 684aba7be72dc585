"""Whether a file arrived whole, told from its structure, without decoding a pixel."""

from __future__ import annotations

import os
import struct
from pathlib import Path
from typing import BinaryIO

from layouts.imaging.decoding import png, tiff
from layouts.imaging.errors import Refused

_TAIL = 1 << 20
_MOST_SEGMENTS = 100_000
# Each scan of a progressive JPEG goes over the whole picture. Programs write about ten (common practice, no source); a
# small file of thousands keeps a decoder busy for minutes.
_MOST_SCANS = 100
_TOO_MANY_SCANS = "This JPEG is made of more passes than any program writes. Save it again as an ordinary JPEG."


def check_whole(path: str | Path, kind: str) -> None:
    """Raise Refused if the file of this type ("png", "jpeg", "tiff", "webp") visibly ends early."""
    look = {"png": png.is_whole, "jpeg": _jpeg, "tiff": _tiff, "webp": _webp}.get(kind)
    if look is None:
        return  # the readers of PDF and PSD find out as they open it
    with open(path, "rb") as file:
        size = os.fstat(file.fileno()).st_size
        try:
            whole = look(file, size)
        except struct.error:
            whole = False
    if not whole:
        raise Refused("This file ends early: it was cut off on the way. Send it again.")


def _jpeg(file: BinaryIO, size: int) -> bool:
    """The end marker must follow the first scan: FF D9 cannot occur inside coded data (ITU-T T.81, B.1.1.5)."""
    at, progressive = 2, False
    for _ in range(_MOST_SEGMENTS):
        file.seek(at)
        mark, kind, length = struct.unpack(">BBH", file.read(4))
        if mark != 0xFF:
            return False
        if kind == 0xFF:  # fill byte
            at += 1
            continue
        at += 2 + length
        progressive = progressive or kind in (0xC2, 0xCA)
        if kind == 0xDA:
            break
    if progressive and _scans(file, at) > _MOST_SCANS:
        raise Refused(_TOO_MANY_SCANS)
    file.seek(max(at, size - _TAIL))
    return b"\xff\xd9" in file.read(_TAIL)


def _scans(file: BinaryIO, at: int) -> int:
    """How many scans follow the first; looking ends soon after there are too many."""
    found, overlap = 0, b""
    file.seek(at)
    while found <= _MOST_SCANS and (piece := file.read(_TAIL)):
        found += (overlap + piece).count(b"\xff\xda")
        overlap = piece[-1:]
    return found


def _webp(file: BinaryIO, size: int) -> bool:
    (length,) = struct.unpack("<4xI", file.read(8))
    return bool(length + 8 <= size)


def _tiff(file: BinaryIO, size: int) -> bool:
    head = tiff.read_head(file.name)
    starts = head.starts
    return bool(starts) and all(at + count <= size for at, count in zip(starts, head.counts, strict=False))
