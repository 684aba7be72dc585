"""PNG read in strips: its head without what is of no concern, its rows inflated piece by piece.

PNG specification (third edition, W3C 2025). Each strip is handed to Pillow's decoder together with the last row of the
one before, which the filters look back to. Rows of 16 bits are taken apart here, so that they round to 8 bits rather
than lose their low byte, and so that a clear colour (tRNS) is compared in all its bits.
"""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFile, PngImagePlugin

from layouts.imaging.decoding.ahead import ahead
from layouts.imaging.errors import CUT_OFF, Refused

Pixels = NDArray[np.uint8]
SIGNATURE = b"\x89PNG\r\n\x1a\n"
MOST_CHUNKS = 1_000_000  # 512 MiB in pieces of 8 KiB, as some programs write it, are 65,536
MOST_NOTE = 16 << 20  # bytes of a chunk of the head, and of a profile unfolded
_HEAD = (b"IHDR", b"PLTE", b"tRNS", b"iCCP", b"sRGB", b"eXIf", b"acTL")
_STORED = 65_535  # most that a stored block of deflate holds (RFC 1951, 3.2.4)
_PIECE = 1 << 20

# Pillow's own limit, 1 MiB, is less than some profiles take.
PngImagePlugin.MAX_TEXT_CHUNK = MOST_NOTE


def open_head(path: str | Path) -> ImageFile.ImageFile:
    """The picture without its pixels: mode, size, palette, profile. Notes, previews and layers of other programs, which
    may be larger than the picture, are stepped over. Raises what Pillow raises, and struct.error."""
    with open(path, "rb") as file:
        parts = [SIGNATURE]
        for kind, length in _chunks(file):
            if kind == b"IDAT":
                break
            if kind in _HEAD and length <= MOST_NOTE:
                parts.append(struct.pack(">I4s", length, kind) + file.read(length + 4))
    parts.append(_chunk(b"IDAT", b"") + _chunk(b"IEND", b""))
    image = Image.open(io.BytesIO(b"".join(parts)), formats=["PNG"])
    mend_clear(image)
    return image


def mend_clear(image: ImageFile.ImageFile) -> None:
    """Give the clear grey of a picture of 2 or 4 bits in the steps of 8, to which Pillow brings the pixels alone."""
    step = {"L;2": 85, "L;4": 17}.get(_rawmode(image))
    if step and "transparency" in image.info:
        image.info["transparency"] *= step


def is_wide(head: ImageFile.ImageFile) -> bool:
    """Whether it has 16 bits a channel and can be read in strips."""
    return _bits(head) == 16 and not head.info.get("interlace")


def may_be_clear(head: ImageFile.ImageFile) -> bool:
    """Whether any pixel can be other than opaque."""
    return _bands(head) in (2, 4) or "transparency" in head.info


def is_whole(file: BinaryIO, size: int) -> bool:
    """Whether a file of `size` bytes has pixels and an end."""
    pixels = False
    for kind, length in _chunks(file):
        pixels = pixels or kind == b"IDAT"
        if kind == b"IEND":
            return bool(pixels and file.tell() + length + 4 <= size)
    return False


def check_pixels(path: str | Path) -> None:
    """Raise Refused where the checksum of a piece of the pixels is wrong; for what is decoded by another than us."""
    for _ in _idat(path):
        pass


def strips(path: str | Path, head: ImageFile.ImageFile, rows: int) -> Iterator[Pixels]:
    """RGBA with straight alpha, from the top. Not for interlaced files."""
    decode = _decode_wide if _bits(head) == 16 else _decode_plain
    row_bytes = _row_bytes(head)
    before, done = b"", 0
    for block in ahead(_inflated(path, rows * row_bytes, head.height * row_bytes)):
        n = len(block) // row_bytes
        pixels, last = decode(head, _stored(before + block), n + bool(before))
        yield pixels[1:] if before else pixels
        before = b"\0" + last
        done += n
    if done < head.height:
        raise Refused(CUT_OFF)


def _rawmode(head: ImageFile.ImageFile) -> str:
    return str(head.tile[0].args)


def _bits(head: ImageFile.ImageFile) -> int:
    rawmode = _rawmode(head)
    return (
        16 if rawmode.endswith(";16B") else {"1": 1, "P;1": 1, "L;2": 2, "P;2": 2, "L;4": 4, "P;4": 4}.get(rawmode, 8)
    )


def _bands(head: ImageFile.ImageFile) -> int:
    if _rawmode(head).startswith("LA"):
        return 2  # Pillow makes RGBA of grey and alpha of 16 bits
    return 1 if head.mode.startswith("I") else len(head.getbands())


def _row_bytes(head: ImageFile.ImageFile) -> int:
    """Of a row as it is stored, with the byte that names its filter."""
    return 1 + (head.width * _bits(head) * _bands(head) + 7) // 8


def _decode_plain(head: ImageFile.ImageFile, data: bytes, n: int) -> tuple[Pixels, bytes]:
    """Rows of up to 8 bits a channel as RGBA, and the last of them as it was before it was filtered."""
    rawmode = _rawmode(head)
    strip = Image.frombytes(head.mode, (head.width, n), data, "zip", rawmode, 0)
    last = strip.crop((0, n - 1, head.width, n)).tobytes("raw", rawmode)
    strip.info = head.info
    if head.palette is not None and strip.mode == "P":
        strip.palette = head.palette.copy()
        strip.palette.dirty = 1
    return np.asarray(strip if strip.mode == "RGBA" else strip.convert("RGBA")), last


def _decode_wide(head: ImageFile.ImageFile, data: bytes, n: int) -> tuple[Pixels, bytes]:
    """The same of 16 bits a channel."""
    bands = _bands(head)
    if bands <= 2:  # as bytes: filters know nothing of channels
        size, mode = (head.width, n), ("LA", "RGBA")[bands - 1]
        raw = np.asarray(Image.frombytes(mode, size, data, "zip", mode, 0))
        wide = np.ascontiguousarray(raw).reshape(n, -1).view(">u2").reshape(n, head.width, bands)
    else:  # Pillow gives the high bytes or the low ones
        mode = ("RGB", "RGBA")[bands - 3]
        high, low = (
            np.asarray(Image.frombytes(mode, (head.width, n), data, "zip", f"{mode};16{end}", 0)) for end in "BL"
        )
        wide = high.astype(np.uint16) << 8 | low
    return _rgba(wide, head.info.get("transparency")), wide[-1].astype(">u2").tobytes()


def _rgba(wide: NDArray[np.uint16], clear: int | tuple[int, ...] | None) -> Pixels:
    """(height, width, 1 to 4) of 16 bits as RGBA of 8; pixels of the colour `clear` are clear."""
    bands = wide.shape[2]
    small = narrow(wide)
    out = np.full((*wide.shape[:2], 4), 255, np.uint8)
    out[..., :3] = small[..., :3] if bands >= 3 else small[..., :1]
    if bands in (2, 4):
        out[..., 3] = small[..., -1]
    elif clear is not None:
        out[..., 3][(wide == np.asarray(clear, np.uint16)).all(axis=-1)] = 0
    return out


def narrow(wide: NDArray[np.uint16]) -> Pixels:
    """16 bits to 8, rounded: exact for every value, as libpng does it."""
    return (wide.astype(np.uint32) * 255 + 32895 >> 16).astype(np.uint8)


def _inflated(path: str | Path, size: int, total: int) -> Iterator[bytes]:
    """The filtered rows of a PNG in blocks of `size` bytes, the last one shorter; of what unfolds to more than `total`
    bytes only the checksums are still looked at."""
    stream = zlib.decompressobj()
    parts: list[bytes] = []
    have = 0
    for piece in _idat(path):
        while piece and total:
            part = stream.decompress(piece, min(size - have, total))
            piece = stream.unconsumed_tail
            parts.append(part)
            have += len(part)
            total -= len(part)
            if have == size:
                yield b"".join(parts)
                parts, have = [], 0
    if have:
        yield b"".join(parts)


def _idat(path: str | Path) -> Iterator[bytes]:
    """The compressed pixels in pieces. Raises Refused where the checksum of a chunk is wrong."""
    with open(path, "rb") as file:
        for kind, length in _chunks(file):
            if kind == b"IEND":
                return
            if kind != b"IDAT":
                continue
            sum_ = zlib.crc32(kind)
            while length:
                piece = file.read(min(length, _PIECE))
                if not piece:
                    raise Refused(CUT_OFF)
                length -= len(piece)
                sum_ = zlib.crc32(piece, sum_)
                yield piece
            if file.read(4) != struct.pack(">I", sum_):
                raise Refused(CUT_OFF)


def _chunks(file: BinaryIO) -> Iterator[tuple[bytes, int]]:
    """Kind and length of each chunk; the file then stands at its data, and may be read on from there."""
    at = len(SIGNATURE)
    for _ in range(MOST_CHUNKS):
        file.seek(at)
        mark = file.read(8)
        if len(mark) < 8:
            return
        length, kind = struct.unpack(">I4s", mark)
        yield kind, length
        at += 12 + length


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def _stored(data: bytes) -> bytes:
    """`data` as a zlib stream of stored blocks: what the decoder takes, without the cost of compressing."""
    view, parts = memoryview(data), [b"\x78\x01"]
    for at in range(0, len(data), _STORED):
        piece = view[at : at + _STORED]
        parts.append(struct.pack("<BHH", at + _STORED >= len(data), len(piece), len(piece) ^ 0xFFFF))
        parts.append(piece)  # type: ignore[arg-type]
    parts.append(struct.pack(">I", zlib.adler32(data)))
    return b"".join(parts)
