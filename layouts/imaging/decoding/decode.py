"""Any accepted file as strips of pixels from the top, so that no large layout need lie in memory whole.

A PNG is inflated piece by piece, a PSD read row by row, a PDF drawn by another process. What cannot be read so
(interlaced PNG, TIFF, WebP, JPEG, and what has to be turned) is decoded whole in 8 bits and then cut into strips.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from layouts.imaging.decoding import pdf, png, psd, tiff, tiff_rows
from layouts.imaging.decoding.ahead import ahead
from layouts.imaging.decoding.files import FileFacts, orientation_of, sniff
from layouts.imaging.errors import BROKEN, CUT_OFF, Refused

__all__ = ["CUT_OFF", "Strips", "load_upright", "open_strips", "plain"]

Pixels = NDArray[np.uint8]
_STRIP_BYTES = 2 << 20  # stays in the processor's cache, which made it twice as fast as 8 MiB


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
        return Strips(facts, "CMYK" if head.space == "CMYK" else "RGBA", ahead(_guard(psd.strips(path, head, rows))))
    if facts.type == "pdf":
        return Strips(facts, "RGBA", pdf.strips(path, rows))
    if facts.type == "png" and facts.orientation == 1:
        with png.open_head(path) as image:
            if not image.info.get("interlace"):
                return Strips(facts, "RGBA", _guard(png.strips(path, image, rows)))
    if facts.type == "tiff" and facts.orientation == 1 and (layout := tiff_rows.layout_of(tiff.read_head(path))):
        space = "CMYK" if layout.space == "CMYK" else "RGBA"
        return Strips(facts, space, ahead(_guard(tiff_rows.strips(path, layout, rows))))
    whole = load_upright(path)
    space = "CMYK" if whole.mode == "CMYK" else "RGBA"
    return Strips(facts, space, _image_strips(whole, space, rows))


def load_upright(path: str | Path) -> Image.Image:
    """A PNG, JPEG, TIFF or WebP decoded whole, turned upright, brought to 8 bits a channel as `plain` does."""
    try:
        if (by_rows := _own(path)) is not None:
            return by_rows
        with Image.open(path, formats=["PNG", "JPEG", "TIFF", "WEBP"]) as image:
            if image.format == "PNG":
                png.check_pixels(path)
                png.mend_clear(image)
            image.load()
            # Of a TIFF Pillow has turned the pixels while loading.
            return _turned(plain(image), 1 if image.format == "TIFF" else orientation_of(image))
    except Refused:
        raise
    except BROKEN as error:
        raise Refused(CUT_OFF) from error


def _own(path: str | Path) -> Image.Image | None:
    """What is read here more exactly than by Pillow: TIFF, and PNG of 16 bits a channel. None: anything else."""
    with open(path, "rb") as file:
        begins = file.read(8)
    if begins.startswith(tiff.BEGINNINGS):
        head = tiff.read_head(path)
        layout = tiff_rows.layout_of(head)
        if layout is None:
            return None
        rows = tiff_rows.strips(path, layout, max(8, _STRIP_BYTES // (8 * layout.width)))
        mode = "RGBA" if layout.mode == "LA" else layout.mode.replace("CMYKA", "CMYK")
        return _turned(_put_together(rows, mode, (layout.width, layout.height)), head.one(tiff.ORIENTATION, 1))
    if begins == png.SIGNATURE:
        with png.open_head(path) as image:
            if png.is_wide(image):
                rows = png.strips(path, image, max(8, _STRIP_BYTES // (8 * image.width)))
                mode = "RGBA" if png.may_be_clear(image) else "L" if image.mode.startswith("I") else "RGB"
                return _turned(_put_together(rows, mode, image.size), orientation_of(image))
    return None


def _put_together(strips: Iterator[Pixels], mode: str, size: tuple[int, int]) -> Image.Image:
    """A picture of that mode of strips of RGBA or, in CMYK, of ink."""
    whole, top = Image.new(mode, size), 0
    for strip in strips:
        if mode == "CMYK":
            part = Image.frombuffer("CMYK", (size[0], len(strip)), np.ascontiguousarray(strip), "raw", "CMYK", 0, 1)
        else:
            part = Image.fromarray(strip[..., 0] if mode == "L" else strip)
        whole.paste(part, (0, top))
        top += len(strip)
    return whole


_TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT, 3: Image.Transpose.ROTATE_180, 4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE, 6: Image.Transpose.ROTATE_270, 7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}  # fmt: skip


def _turned(image: Image.Image, orientation: int) -> Image.Image:
    """Upright, by the orientation of EXIF (CIPA DC-008, 4.6.4; TIFF 6.0 has the same)."""
    return image.transpose(_TURNS[orientation]) if orientation in _TURNS else image


def plain(image: Image.Image) -> Image.Image:
    """Bring a decoded picture to L, RGB, RGBA, CMYK or LAB with 8 bits a channel; `info` stays."""
    if image.mode in ("I;16", "I;16B", "I;16L"):
        return _narrow(image)
    if image.mode in ("LA", "PA", "La", "RGBa") or "transparency" in image.info:
        return image.convert("RGBA")
    if image.mode in ("L", "RGB", "RGBA", "CMYK", "LAB"):
        return image
    return image.convert("L" if image.mode == "1" else "RGB")


def _narrow(image: Image.Image) -> Image.Image:
    """Grey of 16 bits as L or, where one grey is clear, as RGBA."""
    wide = np.asarray(image).astype(np.uint16, copy=False)
    grey = Image.fromarray(png.narrow(wide))
    if (clear := image.info.get("transparency")) is not None:
        grey = grey.convert("RGBA")
        grey.putalpha(Image.fromarray(np.where(wide == clear, 0, 255).astype(np.uint8)))
    grey.info = image.info
    return grey


def _guard(strips: Iterator[Pixels]) -> Iterator[Pixels]:
    try:
        yield from strips
    except Refused:
        raise
    except BROKEN as error:
        raise Refused(CUT_OFF) from error


def _image_strips(image: Image.Image, space: str, rows: int) -> Iterator[Pixels]:
    for top in range(0, image.height, rows):
        part = image.crop((0, top, image.width, min(top + rows, image.height)))
        yield np.asarray(part if part.mode == space else part.convert(space))
