"""The head of a TIFF: the tags of its first page that matter here, whatever else lies in the file.

TIFF 6.0 (1992), sections 2, 8, 14, 15 and 18, and BigTIFF. A TIFF may carry a whole layered document in a private tag;
such tags are stepped over, where a general reader would take them into memory.
"""

from __future__ import annotations

import io
import struct
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from PIL import Image, ImageFile

from layouts.imaging.errors import Refused

BEGINNINGS = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")
SUBFILE, WIDTH, HEIGHT, BITS, PACKING, PHOTOMETRIC, FILL_ORDER = 254, 256, 257, 258, 259, 262, 266
STARTS, ORIENTATION, SAMPLES, ROWS, COUNTS, PLANAR, PREDICTOR = 273, 274, 277, 278, 279, 284, 317
PALETTE, TILE_WIDTH, TILE_HEIGHT, TILE_STARTS, TILE_COUNTS, INK_SET = 320, 322, 323, 324, 325, 332
EXTRA, FORMAT, JPEG_TABLES, SUBSAMPLING, PROFILE = 338, 339, 347, 530, 34675
_WANTED = {
    SUBFILE, WIDTH, HEIGHT, BITS, PACKING, PHOTOMETRIC, FILL_ORDER, STARTS, ORIENTATION, SAMPLES, ROWS, COUNTS, PLANAR,
    PREDICTOR, PALETTE, TILE_WIDTH, TILE_HEIGHT, TILE_STARTS, TILE_COUNTS, INK_SET, EXTRA, FORMAT, JPEG_TABLES,
    SUBSAMPLING, PROFILE, 529, 532,
}  # fmt: skip
_KINDS = {1: "B", 2: "B", 3: "H", 4: "I", 6: "b", 7: "B", 8: "h", 9: "i", 11: "f", 12: "d", 13: "I", 16: "Q", 18: "Q"}
_SIZES = {5: 8, 10: 8} | {kind: struct.calcsize(f"={letter}") for kind, letter in _KINDS.items()}
_MOST_VALUE = 32 << 20  # bytes of one tag's values
_MOST_PAGES = 1000
_FLOATING = (
    "This TIFF holds floating-point or 32-bit pixels, in which white is not fixed. Save it with 8 or 16 bits a channel."
)


@dataclass(frozen=True)
class TiffHead:
    """Tags of the first page: number -> values; bytes for undefined data, as a profile is. `order` is "<" or ">"."""

    order: str
    tags: dict[int, tuple[int, ...] | bytes]
    raw: dict[int, tuple[int, int, bytes]]  # kind, count and bytes of each tag as they stand
    pages: int

    def one(self, tag: int, default: int = 0) -> int:
        return int((self.tags.get(tag) or (default,))[0])

    def all(self, tag: int) -> tuple[int, ...]:
        return tuple(self.tags.get(tag, ()))

    @property
    def starts(self) -> tuple[int, ...]:
        return self.all(STARTS) or self.all(TILE_STARTS)

    @property
    def counts(self) -> tuple[int, ...]:
        return self.all(COUNTS) or self.all(TILE_COUNTS)

    @property
    def profile(self) -> bytes | None:
        found = self.tags.get(PROFILE)
        return found if isinstance(found, bytes) and found else None


def read_head(path: str | Path) -> TiffHead:
    """Raises struct.error where the head breaks off, and Refused for pixels that cannot be shown."""
    with open(path, "rb") as file:
        order = {b"II": "<", b"MM": ">"}[file.read(2)]
        (version,) = struct.unpack(order + "H", file.read(2))
        big = version == 43
        if big:
            file.seek(8)
        (at,) = struct.unpack(order + ("Q" if big else "I"), file.read(8 if big else 4))
        raw, following = _directory(file, order, big, at)
        pages = 1 + _pages(file, order, big, following, {at})
    tags = {tag: _values(order, kind, data) for tag, (kind, _, data) in raw.items()}
    head = TiffHead(order, tags, raw, pages)
    if any(found not in (1, 4) for found in head.all(FORMAT)) or max(head.all(BITS), default=1) > 16:
        raise Refused(_FLOATING)
    return head


def open_head(head: TiffHead) -> ImageFile.ImageFile:
    """The picture without its pixels, as Pillow sees it. Raises what Pillow raises."""
    entries, data = b"", b""
    after = 8 + 2 + 12 * len(head.raw) + 4
    for tag, (kind, count, value) in sorted(head.raw.items()):
        if kind in (16, 18):  # of BigTIFF: as LONG, for where they point does not matter here
            value = struct.pack(f"{head.order}{count}I", *(min(one, 2**32 - 1) for one in head.all(tag)))
            kind = 4
        if len(value) <= 4:
            place = value.ljust(4, b"\0")
        else:
            place = struct.pack(head.order + "I", after + len(data))
            data += value + b"\0" * (len(value) % 2)
        entries += struct.pack(head.order + "HHI", tag, kind, count) + place
    begin = {"<": b"II*\0", ">": b"MM\0*"}[head.order] + struct.pack(head.order + "IH", 8, len(head.raw))
    return Image.open(io.BytesIO(begin + entries + bytes(4) + data), formats=["TIFF"])


def _directory(
    file: BinaryIO, order: str, big: bool, at: int, wanted: frozenset[int] | set[int] = _WANTED
) -> tuple[dict[int, tuple[int, int, bytes]], int]:
    """The wanted tags of a directory, and where the next one stands (0: nowhere)."""
    file.seek(at)
    (entries,) = struct.unpack(order + ("Q" if big else "H"), file.read(8 if big else 2))
    entries = min(entries, 65_535)
    size = 20 if big else 12
    table = file.read(entries * size)
    (following,) = struct.unpack(
        order + ("Q" if big else "I"), file.read(8 if big else 4).ljust(8 if big else 4, b"\0")
    )
    found = {}
    for begin in range(0, len(table) - size + 1, size):
        tag, kind, count = struct.unpack_from(order + ("HHQ" if big else "HHI"), table, begin)
        if tag in wanted and kind in _SIZES and tag not in found:
            place = table[begin + size - (8 if big else 4) : begin + size]
            found[tag] = (kind, count, _value(file, order, big, place, count * _SIZES[kind]))
    return found, following


def _value(file: BinaryIO, order: str, big: bool, place: bytes, length: int) -> bytes:
    if length <= len(place):
        return place[:length]
    if length > _MOST_VALUE:
        raise struct.error("a tag that is larger than the picture needs")
    file.seek(struct.unpack(order + ("Q" if big else "I"), place)[0])
    data = file.read(length)
    if len(data) < length:
        raise struct.error("a tag that lies past the end")
    return data


def _values(order: str, kind: int, data: bytes) -> tuple[int, ...] | bytes:
    if kind in (2, 7) or kind not in _KINDS:
        return data
    letter = _KINDS[kind]
    return tuple(
        int(one) for one in struct.unpack(f"{order}{len(data) // struct.calcsize(f'={letter}')}{letter}", data)
    )


def _pages(file: BinaryIO, order: str, big: bool, at: int, seen: set[int]) -> int:
    """How many further pages there are; smaller copies of a page are none (TIFF 6.0, NewSubfileType)."""
    pages = 0
    while at and at not in seen and len(seen) < _MOST_PAGES:
        seen.add(at)
        try:
            found, following = _directory(file, order, big, at, {SUBFILE})
        except (struct.error, OverflowError, OSError):
            return pages
        subfile = _values(order, *found[SUBFILE][::2]) if SUBFILE in found else ()
        pages += not (subfile and subfile[0] & 1)
        at = following
    return pages
