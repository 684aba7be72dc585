"""PDF and PSD files written byte by byte for tests, so that what they hold is known without another program."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
from PIL import Image


def write_pdf(path: Path, size: tuple[int, int] = (144, 72)) -> Path:
    """One page of `size` points: its left quarter solid red, a half-clear blue quarter right of the middle."""
    width, height = size
    content = (
        f"1 0 0 rg 0 0 {width / 4} {height} re f /G gs 0 0 1 rg {width / 2} 0 {width / 4} {height} re f\n"
    ).encode()
    objects = [
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
        f"<</Type/Page/Parent 2 0 R/MediaBox[0 0 {width} {height}]/Contents 4 0 R".encode()
        + b"/Resources<</ExtGState<</G<</ca .5>>>>>>>>",
        b"<</Length %d>>stream\n%sendstream" % (len(content), content),
    ]
    out, starts = b"%PDF-1.4\n", []
    for number, body in enumerate(objects, 1):
        starts.append(len(out))
        out += b"%d 0 obj%sendobj\n" % (number, body)
    table = b"".join(b"%010d 00000 n \n" % start for start in starts)
    end = (
        b"xref\n0 5\n0000000000 65535 f \n"
        + table
        + b"trailer<</Size 5/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF" % len(out)
    )
    path.write_bytes(out + end)
    return path


def write_psd(path: Path, image: Image.Image | None = None, *, bits: int = 8, packed: bool = True) -> Path:
    """A flattened document of an RGB, RGBA or CMYK image; alpha as Photoshop writes it, colours blended with white."""
    image = image or Image.new("RGB", (64, 32), (200, 100, 50))
    pixels = np.asarray(image).astype(np.float64)
    alpha = image.mode == "RGBA"
    if alpha:
        share = pixels[..., 3:] / 255
        pixels[..., :3] = np.rint(pixels[..., :3] * share + 255 * (1 - share))
    if image.mode == "CMYK":
        pixels = 255 - pixels
    planes = [np.rint(pixels[..., at]).astype(np.uint8) for at in range(pixels.shape[2])]
    mode = {"CMYK": 4}.get(image.mode, 3)
    head = struct.pack(">4sH6xHIIHH", b"8BPS", 1, len(planes), image.height, image.width, bits, mode)
    layers = struct.pack(">Ih", 4, -1) + b"\0\0" if alpha else b""  # a negative count: the first alpha is transparency
    sections = struct.pack(">III", 0, 0, len(layers)) + layers
    rows = [_row(plane[y], bits) for plane in planes for y in range(image.height)]
    if packed:
        rows = [_pack(row) for row in rows]
        body = struct.pack(">H", 1) + b"".join(struct.pack(">H", len(row)) for row in rows) + b"".join(rows)
    else:
        body = struct.pack(">H", 0) + b"".join(rows)
    path.write_bytes(head + sections + body)
    return path


def _row(row: np.ndarray, bits: int) -> bytes:
    return (row.astype(">u2") * 257).astype(">u2").tobytes() if bits == 16 else row.tobytes()


def _pack(row: bytes) -> bytes:
    """PackBits, in literal runs only."""
    return b"".join(bytes([len(row[at : at + 128]) - 1]) + row[at : at + 128] for at in range(0, len(row), 128))
