"""Drawn layouts as files of every type, 8 or 16 bits, with and without a profile."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import cv2
import numpy as np
from PIL import Image

from layouts.imaging.decoding.profiles import srgb_profile
from tests.layouts.imaging.papers import write_psd

TYPES = ("png", "png16", "grey", "indexed", "profile", "wide", "pdf", "psd", "tiff", "webp")


def save(image: Image.Image, folder: Path, stem: str, kind: str = "png") -> Path:
    """Write an RGBA image as `kind`, one of TYPES, and return its path. "grey" and "indexed" change its colours."""
    path = folder / f"{stem}.{ {'pdf': 'pdf', 'psd': 'psd', 'tiff': 'tif', 'webp': 'webp'}.get(kind, 'png') }"
    match kind:
        case "png16":
            wide = np.asarray(image).astype(np.uint16) * 257
            cv2.imwrite(str(path), cv2.cvtColor(wide, cv2.COLOR_RGBA2BGRA), [cv2.IMWRITE_PNG_COMPRESSION, 1])
        case "grey":
            image.convert("LA").save(path, compress_level=1)
        case "indexed":
            image.quantize(255, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE).save(path)
        case "profile":
            image.save(path, compress_level=1, icc_profile=srgb_profile())
        case "wide":
            image.save(path, compress_level=1, icc_profile=wide_profile())
        case "pdf":
            _pdf(path, image)
        case "psd":
            write_psd(path, image)
        case "tiff":
            image.save(path, compression="tiff_lzw")
        case "webp":
            image.save(path, lossless=True, exact=True, method=0)
        case _:
            image.save(path, compress_level=1)
    return path


def wide_profile() -> bytes:
    """A matrix profile with the primaries of Adobe RGB (1998) and a gamma of 2.2, after ICC.1:2001-04, 6 and 9.

    The columns are the primaries adapted to D50, as that standard's annexes print them (from memory).
    """

    def fixed(*values: float) -> bytes:
        return b"".join(struct.pack(">i", round(value * 65536)) for value in values)

    name = b"Wide test space\0"
    desc = b"desc" + bytes(4) + struct.pack(">I", len(name)) + name + bytes(78)
    tags = {
        b"desc": desc, b"cprt": b"text" + bytes(4) + b"none\0", b"wtpt": b"XYZ " + bytes(4) + fixed(0.9642, 1, 0.8249),
        b"rXYZ": b"XYZ " + bytes(4) + fixed(0.60974, 0.31111, 0.01947),
        b"gXYZ": b"XYZ " + bytes(4) + fixed(0.20528, 0.62567, 0.06087),
        b"bXYZ": b"XYZ " + bytes(4) + fixed(0.14919, 0.06322, 0.74457),
        **{at + b"TRC": b"curv" + bytes(4) + struct.pack(">IHxx", 1, round(2.2 * 256)) for at in (b"r", b"g", b"b")},
    }  # fmt: skip
    table, body, at = struct.pack(">I", len(tags)), b"", 128 + 4 + 12 * len(tags)
    for mark, data in tags.items():
        table += mark + struct.pack(">II", at + len(body), len(data))
        body += data + bytes(-len(data) % 4)
    head = struct.pack(
        ">I4sI4s4s4s12s4s4sI4sIQI12s4s44s", 128 + len(table) + len(body), bytes(4), 0x02100000, b"mntr", b"RGB ",
        b"XYZ ", struct.pack(">6H", 2026, 1, 1, 0, 0, 0), b"acsp", bytes(4), 0, bytes(4), 0, 0, 0,
        fixed(0.9642, 1, 0.8249), bytes(4), bytes(44),
    )  # fmt: skip
    return head + table + body


def _spread(pixels: np.ndarray) -> np.ndarray:
    """Colours carried on under what is clear, as layout programs do, so that drawing mixes no black into edges."""
    share = pixels[..., 3:].astype(np.float32) / 255
    soft = [cv2.blur(layer, (9, 9)) for layer in (pixels[..., :3] * share, np.repeat(share, 3, axis=2))]
    out = pixels.copy()
    under = (pixels[..., 3] == 0) & (soft[1][..., 0] > 0)
    out[under, :3] = np.rint(soft[0][under] / soft[1][under])
    return out


def _pdf(path: Path, image: Image.Image) -> None:
    """One page that holds the image with a soft mask, at 300 ppi, so that it is drawn pixel for pixel."""
    pixels = _spread(np.asarray(image))
    colour, alpha = (
        zlib.compress(np.ascontiguousarray(part).tobytes(), 1) for part in (pixels[..., :3], pixels[..., 3])
    )
    # A little less, so that the page is not drawn a pixel larger than the image by the rounding of its size.
    wide, high = (side * 72 / 300 - 0.002 for side in image.size)
    content = f"q {wide:.4f} 0 0 {high:.4f} 0 0 cm /I Do Q".encode()
    size = f"/Width {image.width}/Height {image.height}/BitsPerComponent 8/Filter/FlateDecode".encode()
    objects = [
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
        f"<</Type/Page/Parent 2 0 R/MediaBox[0 0 {wide:.4f} {high:.4f}]/Contents 4 0 R".encode()
        + b"/Resources<</XObject<</I 5 0 R>>>>>>",
        b"<</Length %d>>stream\n%s\nendstream" % (len(content), content),
        b"<</Type/XObject/Subtype/Image/ColorSpace/DeviceRGB/SMask 6 0 R%s/Length %d>>stream\n%s\nendstream"
        % (size, len(colour), colour),
        b"<</Type/XObject/Subtype/Image/ColorSpace/DeviceGray%s/Length %d>>stream\n%s\nendstream"
        % (size, len(alpha), alpha),
    ]
    out, starts = b"%PDF-1.4\n", []
    for number, body in enumerate(objects, 1):
        starts.append(len(out))
        out += b"%d 0 obj%s\nendobj\n" % (number, body)
    table = b"".join(b"%010d 00000 n \n" % start for start in starts)
    end = (
        b"xref\n0 7\n0000000000 65535 f \n"
        + table
        + b"trailer<</Size 7/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF" % len(out)
    )
    path.write_bytes(out + end)
