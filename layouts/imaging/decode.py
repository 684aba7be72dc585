"""Any accepted file as strips of pixels from the top, so that no large layout need lie in memory whole.

A PNG is inflated piece by piece; each strip is handed to Pillow's decoder with the last row of the one before, which
the filters look back to. A PSD is read row by row. What cannot be read so (interlaced or 16-bit PNG, TIFF, WebP, JPEG,
PDF) is decoded whole in 8 bits and then cut into strips.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFile, ImageOps

from layouts.imaging import pdf, psd
from layouts.imaging.errors import Refused
from layouts.imaging.files import FileFacts, sniff

Pixels = NDArray[np.uint8]
_T = TypeVar("_T")
_STRIP_BYTES = 2 << 20  # stays in the processor's cache, which made it twice as fast as 8 MiB
_STORED = 65_535  # most that a stored block of deflate holds (RFC 1951, 3.2.4)
CUT_OFF = "This file is damaged or was cut off on the way: its pixels cannot be read to the end. Send it again."


@dataclass(frozen=True)
class Strips:
    """A file being decoded. `rows` yields uint8 arrays (n, width, 4) in order: RGBA with straight alpha or CMYK ink."""

    facts: FileFacts
    space: str  # "RGBA" or "CMYK"
    rows: Iterator[Pixels]


def open_strips(path: str | Path) -> Strips:
    """Begin to decode a file, upright. Raises Refused at once or, where pixels turn out damaged, while iterating."""
    facts = sniff(path)
    rows = max(8, _STRIP_BYTES // (4 * facts.width))
    if facts.type == "psd":
        head = psd.read_head(path)
        return Strips(facts, "CMYK" if head.space == "CMYK" else "RGBA", _ahead(_guard(psd.strips(path, head, rows))))
    if facts.type == "pdf":
        return Strips(facts, "RGBA", _cut(pdf.draw(path), rows))
    if facts.type == "png":
        with Image.open(path, formats=["PNG"]) as image:
            by_rows = facts.bits <= 8 and not image.info.get("interlace") and facts.orientation == 1
        if by_rows:
            return Strips(facts, "RGBA", _guard(_png(path, image, rows)))
    whole = load_upright(path)
    space = "CMYK" if whole.mode == "CMYK" else "RGBA"
    return Strips(facts, space, _image_strips(whole, space, rows))


def load_upright(path: str | Path) -> Image.Image:
    """A PNG, JPEG, TIFF or WebP decoded whole, turned upright, with its palette and 16-bit greys brought to 8 bits."""
    with Image.open(path, formats=["PNG", "JPEG", "TIFF", "WEBP"]) as image:
        try:
            image.load()
            return plain(ImageOps.exif_transpose(image))
        except (OSError, SyntaxError, ValueError, struct.error) as error:
            raise Refused(CUT_OFF) from error


def plain(image: Image.Image) -> Image.Image:
    """Bring a decoded picture to L, RGB, RGBA, CMYK or LAB with 8 bits a channel; `info` stays."""
    if image.mode in ("I;16", "I;16B", "I;16L", "I", "F"):
        wide = np.asarray(image).astype(np.float64)
        top = 1.0 if image.mode == "F" else 65535.0
        grey = Image.fromarray(np.clip(wide / top * 255 + 0.5, 0, 255).astype(np.uint8))
        grey.info = image.info
        return grey
    if image.mode in ("LA", "PA", "La", "RGBa") or "transparency" in image.info:
        return image.convert("RGBA")
    if image.mode in ("L", "RGB", "RGBA", "CMYK", "LAB"):
        return image
    return image.convert("L" if image.mode == "1" else "RGB")


def _guard(strips: Iterator[Pixels]) -> Iterator[Pixels]:
    try:
        yield from strips
    except (OSError, ValueError, IndexError, zlib.error, struct.error) as error:
        raise (error if isinstance(error, Refused) else Refused(CUT_OFF)) from error


def _cut(pixels: Pixels, rows: int) -> Iterator[Pixels]:
    for top in range(0, len(pixels), rows):
        yield pixels[top : top + rows]


def _image_strips(image: Image.Image, space: str, rows: int) -> Iterator[Pixels]:
    for top in range(0, image.height, rows):
        part = image.crop((0, top, image.width, min(top + rows, image.height)))
        yield np.asarray(part if part.mode == space else part.convert(space))


def _png(path: str | Path, head: ImageFile.ImageFile, rows: int) -> Iterator[Pixels]:
    rawmode = str(head.tile[0].args)
    bits = {"1": 1, "P;1": 1, "L;2": 2, "P;2": 2, "L;4": 4, "P;4": 4}.get(rawmode)
    row_bytes = 1 + (head.width * (bits or 8 * len(head.getbands())) + 7) // 8
    before = b""
    done = 0
    for block in _ahead(_inflated(path, rows * row_bytes)):
        n = len(block) // row_bytes
        data = _stored(before + block)
        strip = Image.frombytes(head.mode, (head.width, n + bool(before)), data, "zip", rawmode, 0)
        if before:
            strip = strip.crop((0, 1, head.width, n + 1))
        before = b"\0" + strip.crop((0, n - 1, head.width, n)).tobytes("raw", rawmode)
        done += n
        strip.info = head.info
        if head.palette is not None and strip.mode == "P":
            strip.palette = head.palette.copy()
            strip.palette.dirty = 1
        yield np.asarray(strip if strip.mode == "RGBA" else strip.convert("RGBA"))
        if done >= head.height:
            return
    raise Refused(CUT_OFF)


def _inflated(path: str | Path, size: int) -> Iterator[bytes]:
    """The filtered rows of a PNG in blocks of `size` bytes, the last one shorter."""
    stream = zlib.decompressobj()
    parts: list[bytes] = []
    have = 0
    for chunk in _idat(path):
        while chunk:
            part = stream.decompress(chunk, size - have)
            chunk = stream.unconsumed_tail
            parts.append(part)
            have += len(part)
            if have == size:
                yield b"".join(parts)
                parts, have = [], 0
    if have:
        yield b"".join(parts)


def _idat(path: str | Path) -> Iterator[bytes]:
    with open(path, "rb") as file:
        file.seek(8)
        while len(mark := file.read(8)) == 8:
            length, kind = struct.unpack(">I4s", mark)
            if kind == b"IDAT":
                yield file.read(length)
                file.seek(4, 1)
            elif kind == b"IEND":
                return
            else:
                file.seek(length + 4, 1)


def _stored(data: bytes) -> bytes:
    """`data` as a zlib stream of stored blocks: what the decoder takes, without the cost of compressing."""
    view, parts = memoryview(data), [b"\x78\x01"]
    for at in range(0, len(data), _STORED):
        piece = view[at : at + _STORED]
        parts.append(struct.pack("<BHH", at + _STORED >= len(data), len(piece), len(piece) ^ 0xFFFF))
        parts.append(piece)  # type: ignore[arg-type]
    parts.append(struct.pack(">I", zlib.adler32(data)))
    return b"".join(parts)


def _ahead(items: Iterator[_T]) -> Iterator[_T]:
    """The same items, the next one made in a second thread while this one is used."""
    with ThreadPoolExecutor(1) as pool:
        coming = pool.submit(next, items, None)
        while (item := coming.result()) is not None:
            coming = pool.submit(next, items, None)
            yield item
