"""The rows of a TIFF, strip by strip or a row of tiles at a time, so that a large one need not lie in memory whole.

TIFF 6.0 (1992): grey, RGB and CMYK of 8 or 16 bits with any number of further samples, chunky or planar, plain or
packed by PackBits, LZW or deflate, with or without differencing. General readers mix up channels of some of these, and
refuse others. What is not among them (palettes, bits, JPEG, YCbCr, Lab) is left to Pillow.
"""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from layouts.imaging.decoding import tiff
from layouts.imaging.decoding.png import narrow
from layouts.imaging.decoding.tiff import TiffHead
from layouts.imaging.errors import CUT_OFF, Refused

Pixels = NDArray[np.uint8]
_PLAIN, _LZW, _DEFLATE, _PACKBITS = 1, 5, (8, 32946), 32773
_MOST_OF_A_BYTE = 2731  # bytes that one byte of LZW can stand for: a code of 12 bits for a string of up to 4,096
_COLOURS = {0: ("L", 1), 1: ("L", 1), 2: ("RGB", 3), 5: ("CMYK", 4)}
_ASSOCIATED = 1  # ExtraSamples: colours are multiplied by this alpha; 2: they are not; 0: it is no transparency


@dataclass(frozen=True)
class Layout:
    """How the samples of a TIFF lie. `across` and `down`: the size of a tile or, of strips, width and rows of one."""

    head: TiffHead
    width: int
    height: int
    bits: int
    samples: int
    space: str
    colours: int
    alpha: int | None
    associated: bool
    across: int
    down: int

    @property
    def planar(self) -> bool:
        return self.head.one(tiff.PLANAR, 1) == 2 and self.samples > 1

    @property
    def mode(self) -> str:
        return self.space + ("A" if self.alpha is not None else "")


def layout_of(head: TiffHead) -> Layout | None:
    """How to read it, or None where it is left to Pillow."""
    bits, samples = set(head.all(tiff.BITS)) or {1}, head.one(tiff.SAMPLES, 1)
    photometric, packing = head.one(tiff.PHOTOMETRIC, -1), head.one(tiff.PACKING, 1)
    known = bits in ({8}, {16}) and packing in (_PLAIN, _LZW, *_DEFLATE, _PACKBITS) and photometric in _COLOURS
    if not known or head.one(tiff.FILL_ORDER, 1) != 1 or head.one(tiff.PREDICTOR, 1) not in (1, 2):
        return None
    if head.one(tiff.INK_SET, 1) != 1 and photometric == 5:
        return None
    space, colours = _COLOURS[photometric]
    width, height = head.one(tiff.WIDTH), head.one(tiff.HEIGHT)
    if not colours <= samples <= 32 or min(width, height) < 1:
        return None
    extra = head.all(tiff.EXTRA)[: samples - colours]
    alpha = next((at for at, kind in enumerate(extra) if kind in (1, 2)), None)
    tiled = bool(head.all(tiff.TILE_STARTS))
    across = head.one(tiff.TILE_WIDTH) if tiled else width
    down = head.one(tiff.TILE_HEIGHT) if tiled else min(head.one(tiff.ROWS, height) or height, height)
    if across < 1 or down < 1 or (tiled and across * down > 1 << 24):
        return None
    associated = alpha is not None and extra[alpha] == _ASSOCIATED
    at = None if alpha is None else colours + alpha
    return Layout(head, width, height, bits.pop(), samples, space, colours, at, associated, across, down)


def strips(path: str | Path, layout: Layout, rows: int) -> Iterator[Pixels]:
    """From the top, not turned: arrays (n, width, 4) of RGBA with straight alpha or, in CMYK, of ink 0 to 255."""
    with open(path, "rb") as file:
        for band in _bands(file, layout, rows):
            yield _pixels(band, layout)


def _bands(file: BinaryIO, layout: Layout, rows: int) -> Iterator[NDArray[np.uint16]]:
    """Arrays (n, width, samples) of samples as they are, in the machine's own order."""
    planes = range(layout.samples if layout.planar else 1)
    wide = -(-layout.width // layout.across)
    per_plane = wide * -(-layout.height // layout.down)
    for number, top in enumerate(range(0, layout.height, layout.down)):
        n = layout.down if layout.head.all(tiff.TILE_STARTS) else min(layout.down, layout.height - top)
        parts = [
            [_segment(file, layout, plane * per_plane + number * wide + column, n, rows) for column in range(wide)]
            for plane in planes
        ]
        for pieces in zip(*(zip(*row, strict=True) for row in parts), strict=True):
            across = [np.concatenate(row, axis=1) if len(row) > 1 else row[0] for row in pieces]
            band = np.concatenate(across, axis=2) if len(across) > 1 else across[0]
            yield band[: layout.height - top, : layout.width]
            top += len(band)
            if top >= layout.height:
                break


def _segment(file: BinaryIO, layout: Layout, number: int, n: int, rows: int) -> Iterator[NDArray[np.uint16]]:
    """One strip or tile of `n` rows, in arrays of up to `rows` of them."""
    samples = 1 if layout.planar else layout.samples
    row_bytes = layout.across * samples * layout.bits // 8
    kind = np.dtype(np.uint8 if layout.bits == 8 else f"{layout.head.order}u2")
    starts, counts = layout.head.starts, layout.head.counts
    if number >= min(len(starts), len(counts)):
        raise Refused(CUT_OFF)
    differs = layout.head.one(tiff.PREDICTOR, 1) == 2 and layout.head.one(tiff.PACKING, 1) in (_LZW, *_DEFLATE)
    unpacked = _unpacked(file, layout.head.one(tiff.PACKING, 1), starts[number], counts[number], row_bytes, n, rows)
    for raw in unpacked:
        found = np.frombuffer(raw, kind).reshape(-1, layout.across, samples)
        found = found.astype(kind.newbyteorder("="), copy=False)
        yield np.cumsum(found, axis=1, dtype=found.dtype) if differs else found


def _unpacked(
    file: BinaryIO, packing: int, start: int, count: int, row_bytes: int, n: int, rows: int
) -> Iterator[bytes]:
    """The bytes of `n` rows, up to `rows` rows at a time. Raises Refused where there are fewer."""
    stream = zlib.decompressobj()
    whole, at, rest = None, start, b""
    if packing in (_LZW, _PACKBITS):
        if count * _MOST_OF_A_BYTE < n * row_bytes:
            raise Refused(CUT_OFF)
        file.seek(start)
        whole = (_lzw if packing == _LZW else _packbits)(file.read(count), row_bytes, n)
    for top in range(0, n, rows):
        size = min(rows, n - top) * row_bytes
        if whole is not None:
            out = whole.crop((0, top, row_bytes, min(top + rows, n))).tobytes()
        elif packing == _PLAIN:
            file.seek(start + top * row_bytes)
            out = file.read(size)
        else:
            parts, have = [], 0
            while have < size:
                if not rest:
                    file.seek(at)
                    rest = file.read(min(1 << 20, start + count - at))
                    at += len(rest)
                part = stream.decompress(rest, size - have)
                if not part and not stream.unconsumed_tail and (not rest or stream.eof):
                    break
                rest = stream.unconsumed_tail
                parts.append(part)
                have += len(part)
            out = b"".join(parts)
        if len(out) < size:
            raise Refused(CUT_OFF)
        yield out


def _packbits(raw: bytes, row_bytes: int, n: int) -> Image.Image:
    """Each row is packed by itself (TIFF 6.0, section 9), which the decoder need not know."""
    return Image.frombytes("L", (row_bytes, n), raw, "packbits", "L")


def _lzw(raw: bytes, row_bytes: int, n: int) -> Image.Image:
    """By Pillow's libtiff, which is handed the bytes as a grey picture of their own."""
    tags = (
        (256, row_bytes),
        (257, n),
        (258, 8),
        (259, _LZW),
        (262, 1),
        (273, 122),
        (277, 1),
        (278, n),
        (279, len(raw)),
    )
    entries = b"".join(struct.pack("<HHII", tag, 4, 1, value) for tag, value in tags)
    made = b"II*\0" + struct.pack("<IH", 8, len(tags)) + entries + bytes(4)
    with Image.open(io.BytesIO(made + raw), formats=["TIFF"]) as image:
        image.load()
        return image


def _pixels(band: NDArray[np.uint16], layout: Layout) -> Pixels:
    used = [*range(layout.colours), *([] if layout.alpha is None else [layout.alpha])]
    wide = band[..., used]
    if layout.associated:
        wide = _divided(wide)
    small: Pixels = narrow(wide) if layout.bits == 16 else wide.astype(np.uint8, copy=False)
    if layout.head.one(tiff.PHOTOMETRIC) == 0:
        small = np.concatenate([255 - small[..., :1], small[..., 1:]], axis=-1)
    if layout.space == "CMYK":
        return np.ascontiguousarray(small[..., :4])
    out = np.full((*small.shape[:2], 4), 255, np.uint8)
    out[..., :3] = small[..., : layout.colours]
    if layout.alpha is not None:
        out[..., 3] = small[..., -1]
    return out


def _divided(wide: NDArray[np.uint16]) -> NDArray[np.uint16]:
    """Straight colours of those that were multiplied by the alpha, which comes last."""
    most = np.iinfo(wide.dtype).max
    wide = wide.copy()
    half = (wide[..., -1] > 0) & (wide[..., -1] < most)
    part = wide[half].astype(np.float64)
    part[:, :-1] = np.minimum(np.rint(part[:, :-1] * most / part[:, -1:]), most)
    wide[half] = part.astype(wide.dtype)
    return wide
