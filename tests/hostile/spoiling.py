"""Sound files of every accepted kind, and ways to spoil them."""

from __future__ import annotations

import io
import random
import struct
import zlib
from collections.abc import Callable
from pathlib import Path

import numpy as np
from PIL import Image

from tests.layouts.imaging.papers import write_pdf, write_psd
from tests.layouts.layout_files import drawn

SIZE = (240, 120)


def sound(folder: Path) -> dict[str, bytes]:
    """name -> the bytes of a small, sound file of that kind."""
    image = drawn(SIZE)
    wide = Image.fromarray(np.asarray(image.convert("L")).astype(np.uint16) * 257)
    kinds: dict[str, tuple[Image.Image, str, dict]] = {
        "png": (image, "PNG", {}),
        "indexed.png": (image.quantize(40, method=Image.Quantize.FASTOCTREE), "PNG", {}),
        "grey.png": (image.convert("LA"), "PNG", {"icc_profile": _profile()}),
        "wide.png": (wide, "PNG", {}),
        "jpg": (image.convert("RGB"), "JPEG", {"exif": _exif()}),
        "progressive.jpg": (image.convert("RGB"), "JPEG", {"progressive": True, "icc_profile": _profile()}),
        "ink.jpg": (image.convert("CMYK"), "JPEG", {}),
        "tif": (image, "TIFF", {}),
        "lzw.tif": (image, "TIFF", {"compression": "tiff_lzw", "tiffinfo": {317: 2}}),
        "deflate.tif": (image, "TIFF", {"compression": "tiff_adobe_deflate"}),
        "packbits.tif": (image.convert("CMYK"), "TIFF", {"compression": "packbits"}),
        "indexed.tif": (image.convert("RGB").quantize(40), "TIFF", {"compression": "tiff_lzw"}),
        "jpeg.tif": (image.convert("RGB"), "TIFF", {"compression": "jpeg"}),
        "webp": (image, "WEBP", {"lossless": True}),
        "lossy.webp": (image, "WEBP", {"quality": 60, "exif": _exif()}),
    }
    made = {}
    for name, (picture, kind, options) in kinds.items():
        held = io.BytesIO()
        picture.save(held, kind, **options)
        made[name] = held.getvalue()
    made["pdf"] = write_pdf(folder / "a.pdf").read_bytes()
    made["psd"] = write_psd(folder / "a.psd", image).read_bytes()
    made["wide.psd"] = write_psd(folder / "b.psd", image, bits=16, packed=False).read_bytes()
    return made


def _profile() -> bytes:
    from layouts.imaging.decoding.profiles import srgb_profile

    return srgb_profile()


def _exif() -> Image.Exif:
    exif = Image.Exif()
    exif[0x0112] = 6
    return exif


def spoilt(raw: bytes, other: bytes, rng: random.Random) -> bytes:
    """Spoil a file in one of the ways below; half of the PNGs have their checksums put right, to get past them."""
    done = rng.choice(_WAYS)(raw, other, rng)
    return mended(done) if done.startswith(b"\x89PNG") and rng.random() < 0.5 else done


def _flipped(raw: bytes, _: bytes, rng: random.Random) -> bytes:
    out = bytearray(raw)
    for _ in range(rng.choice([1, 2, 5, 20, 200])):
        out[_spot(raw, rng)] ^= 1 << rng.randrange(8)
    return bytes(out)


def _overwritten(raw: bytes, _: bytes, rng: random.Random) -> bytes:
    """A number where a number may stand: the largest, the smallest, the next power of two."""
    number = rng.choice([0, 1, 0x7F, 0xFF, 0x7FFF, 0xFFFF, 0x10000, 0x7FFFFFFF, 0xFFFFFFFF, 0x80000000])
    size = rng.choice("BHI")
    packed = struct.pack(rng.choice("<>") + size, number & (1 << 8 * struct.calcsize(f"={size}")) - 1)
    at = _spot(raw, rng)
    return raw[:at] + packed + raw[at + len(packed) :]


def _cut(raw: bytes, _: bytes, rng: random.Random) -> bytes:
    return raw[: rng.randrange(1, len(raw))]


def _holed(raw: bytes, _: bytes, rng: random.Random) -> bytes:
    at = _spot(raw, rng)
    return raw[:at] + raw[at + rng.randrange(1, 64) :]


def _stretched(raw: bytes, _: bytes, rng: random.Random) -> bytes:
    at = _spot(raw, rng)
    return raw[:at] + rng.randbytes(rng.randrange(1, 64)) + raw[at:]


def _repeated(raw: bytes, _: bytes, rng: random.Random) -> bytes:
    first, last = sorted(rng.randrange(len(raw)) for _ in range(2))
    return raw[:last] + raw[first:last] * rng.choice([1, 3]) + raw[last:]


def _spliced(raw: bytes, other: bytes, rng: random.Random) -> bytes:
    return raw[: rng.randrange(1, len(raw))] + other[rng.randrange(len(other)) :]


_WAYS: list[Callable[[bytes, bytes, random.Random], bytes]] = [
    _flipped, _flipped, _overwritten, _overwritten, _cut, _holed, _stretched, _repeated, _spliced,
]  # fmt: skip


def _spot(raw: bytes, rng: random.Random) -> int:
    """More often near the head, where files say what they are."""
    return rng.randrange(min(len(raw), rng.choice([64, 400, len(raw)])))


def mended(raw: bytes) -> bytes:
    """A PNG with right checksums as far as its chunks can be told apart."""
    out, at = bytearray(raw), 8
    while at + 12 <= len(out):
        (length,) = struct.unpack_from(">I", out, at)
        end = at + 8 + length
        if end + 4 > len(out):
            break
        struct.pack_into(">I", out, end, zlib.crc32(out[at + 4 : end]))
        at = end + 4
    return bytes(out)
