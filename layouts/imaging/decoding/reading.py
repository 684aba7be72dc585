"""Pictures and layouts as sRGB arrays, decoded at the cheapest scale that is still enough."""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, BinaryIO, cast

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFile, ImageOps

from layouts.imaging.composite import in_boxes, premultiply, resize_layer, unpremultiply
from layouts.imaging.decoding.decode import CUT_OFF, Strips, load_upright, open_strips, plain
from layouts.imaging.decoding.files import FileFacts, check_layout, check_picture
from layouts.imaging.decoding.profiles import to_srgb
from layouts.imaging.errors import Refused
from layouts.imaging.geometry import Rect
from layouts.imaging.surveying.survey import Survey

Pixels = NDArray[np.uint8]
_STRIP_BYTES = 2 << 20  # stays in the processor's cache
GROUND = (119, 119, 119)  # what shows where a picture does not reach: neutral, L* 50


@dataclass(frozen=True)
class Picture:
    """A decoded picture, upright, still in its own colours; one pixel of `image` stands for `step` of the file's.

    `until`: the row of the file's, upright, that it was decoded down to.
    """

    facts: FileFacts
    image: Image.Image
    step: int
    until: float
    _last: dict[tuple[Rect, tuple[int, int]], Pixels] = field(default_factory=dict, repr=False, compare=False)

    @property
    def width(self) -> int:
        return self.facts.width

    @property
    def height(self) -> int:
        return self.facts.height

    def cut(self, crop: Rect | None, size: tuple[int, int]) -> Pixels:
        """The part in `crop` (pixels of the whole picture; it may reach past the edges) as sRGB.

        `size` is (width, height); returns uint8 (height, width, 3), read-only, for the next call may give the same.
        Colour is converted after the reduction. Raises ValueError for what was not decoded.
        """
        whole = Rect(0, 0, self.width, self.height)
        crop = crop or whole
        inside = crop.within(whole.width, whole.height)
        if (crop, size) in self._last:
            return self._last[crop, size]
        if inside.bottom > self.until:
            raise ValueError(f"this picture was decoded down to row {self.until:g} only; {inside} reaches past it")
        across, down = size[0] / crop.width, size[1] / crop.height
        left, top = round((inside.x - crop.x) * across), round((inside.y - crop.y) * down)
        part = (min(max(1, round(inside.width * across)), size[0] - left),
                min(max(1, round(inside.height * down)), size[1] - top))  # fmt: skip
        pixels = np.asarray(_flat(to_srgb(self._resized(inside, part), self.facts.profile_bytes)))
        if part != size:
            out = np.empty((size[1], size[0], 3), np.uint8)
            out[:] = GROUND
            out[top : top + part[1], left : left + part[0]] = pixels
            pixels = out
        pixels.flags.writeable = False
        self._last.clear()  # only the last one: the languages of one format follow each other
        self._last[crop, size] = pixels
        return pixels

    def _resized(self, crop: Rect, size: tuple[int, int]) -> Image.Image:
        box = crop.scaled(1 / self.step)
        edges = (box.x, box.y, min(box.right, self.image.width), min(box.bottom, self.image.height))
        if (box.width, box.height) == size and all(edge == int(edge) for edge in edges):
            return self.image.crop((int(edges[0]), int(edges[1]), int(edges[2]), int(edges[3])))
        return self.image.resize(size, Image.Resampling.BICUBIC, box=edges, reducing_gap=1.0)


def open_picture(path: str | Path, scale: float = 1.0, until: float | None = None) -> Picture:
    """Decode a picture, at no more than is needed to show it at `scale` (shown pixels per pixel of the file).

    A JPEG is decoded at 1/2, 1/4 or 1/8 where that is enough, and, where `until` is given, hardly further than to
    that row of the upright picture. Raises Refused, with a sentence.
    """
    facts = check_picture(path)
    step = max(1, math.floor(1 / scale + 1e-6))
    large = facts.width * facts.height > _LARGE and facts.mode in ("RGB", "CMYK") and not facts.has_alpha
    if facts.type != "jpeg" and step > 1 and large:
        return Picture(facts, _reduced_picture(path, step), step, facts.height)
    if facts.type != "jpeg":
        return Picture(facts, load_upright(path), 1, facts.height)
    with open(path, "rb") as file, Image.open(gate := cast(Any, _Gate(file)), formats=["JPEG"]) as image:
        whole = image.size
        image.draft(image.mode, (math.ceil(whole[0] * min(scale, 1)), math.ceil(whole[1] * min(scale, 1))))
        step = max(1, round(whole[0] / image.width))
        if until is not None and until < facts.height and facts.orientation == 1:
            gate.close_below(image, math.ceil(until / step) + _MARGIN)
        try:
            image.load()
        except _Enough:
            image.tile = []  # what is there is all that will be
        except (OSError, SyntaxError, ValueError) as error:
            raise Refused(CUT_OFF) from error
        known = until if until is not None and not image.tile and gate.shut else facts.height
        upright = image if facts.orientation == 1 else ImageOps.exif_transpose(image)  # it would copy either way
        return Picture(facts, plain(upright), step, known)


_LARGE = 4_000_000  # pixels from which strips are worth while


def _reduced_picture(path: str | Path, step: int) -> Image.Image:
    """An opaque picture, each `step` by `step` pixels made one strip by strip, in its own colours."""
    strips = open_strips(path)
    small = _in_boxes(_surveyed(strips, None), step)
    if strips.space == "CMYK":
        return Image.frombytes("CMYK", (small.shape[1], small.shape[0]), small.tobytes())
    return Image.fromarray(cv2.cvtColor(small, cv2.COLOR_RGBA2RGB))


_MARGIN = 16  # rows more: what the filter looks at past the edge of a crop
_PROOF = 16  # rows that are looked at to see whether the decoder has come past


class _Enough(Exception):
    """The rows that are needed are decoded."""


class _Gate(io.BufferedIOBase):
    """A JPEG's bytes, that end with _Enough as soon as a pixel below the rows that are needed has been decoded.

    The decoder fills the picture from the top as bytes come, and the picture is black before. So where pixels below
    are black themselves, it only ends later.
    """

    def __init__(self, file: BinaryIO) -> None:
        self._file = file
        self._image: ImageFile.ImageFile | None = None
        self._row = 0
        self.shut = False

    def close_below(self, image: ImageFile.ImageFile, row: int) -> None:
        if row + _PROOF < image.height:
            self._image, self._row = image, row

    def read(self, size: int | None = -1, /) -> bytes:
        pixels = self._image.im if self._image else None
        if pixels is not None:
            proof = (0, self._row, pixels.size[0], self._row + _PROOF)
            if pixels.crop(proof).getbbox():
                self.shut = True
                raise _Enough
        return self._file.read(-1 if size is None else size)

    def seek(self, offset: int, whence: int = 0, /) -> int:
        return self._file.seek(offset, whence)

    def tell(self) -> int:
        return self._file.tell()

    def seekable(self) -> bool:
        return True

    def readable(self) -> bool:
        return True


def read_picture(path: str | Path, *, size: tuple[int, int] | None = None, crop: Rect | None = None) -> Pixels:
    """A picture, or the part of it in `crop` (pixels of the upright picture), as uint8 sRGB (height, width, 3).

    `size` is (width, height) of what is wanted; None: the pixels as they are. Raises Refused.
    """
    facts = check_picture(path)
    crop = crop or Rect(0, 0, facts.width, facts.height)
    size = size or (round(crop.width), round(crop.height))
    return open_picture(path, max(size[0] / crop.width, size[1] / crop.height), crop.bottom).cut(crop, size)


@dataclass(frozen=True)
class Reduced:
    """A layout at a smaller scale: premultiplied RGBA in sRGB, and how many of its pixels one of the canvas makes."""

    layer: Pixels
    across: float
    down: float


def read_layout(path: str | Path, target_width: int, *, part: Rect | None = None) -> Pixels:
    """A layout, or the `part` of it (pixels of its canvas), `target_width` wide: premultiplied RGBA in sRGB.

    Returns uint8 (height, width, 4). Rows below the part are not decoded. Raises Refused, with a sentence.
    """
    facts = check_layout(path)
    part = (part or Rect(0, 0, facts.width, facts.height)).within(facts.width, facts.height)
    size = (target_width, max(1, round(target_width / part.aspect)))
    left, top = math.floor(part.x), math.floor(part.y)
    box = max(1, math.floor(min(part.width / size[0], part.height / size[1])))
    if _fits(facts):
        space, cells = "RGBA", _at_once(path, (left, top, math.ceil(part.right), math.ceil(part.bottom)), box)
    else:
        strips = open_strips(path)
        cut = _part(strips, slice(top, math.ceil(part.bottom)), slice(left, math.ceil(part.right)))
        space, cells = strips.space, _in_boxes(cut, box)
    small = _coloured(cells, space, facts.profile_bytes)
    return resize_layer(small, size, Rect(part.x - left, part.y - top, part.width, part.height).scaled(1 / box))


# A PNG of this size is decoded whole, in half the CPU time of strips: the usual layout of 12192 x 3048 holds 142 MiB.
_WHOLE_PIXELS = 40_000_000


def _fits(facts: FileFacts) -> bool:
    is_plain = facts.type == "png" and facts.bits <= 8 and facts.orientation == 1
    return is_plain and facts.width * facts.height <= _WHOLE_PIXELS


def _at_once(path: str | Path, part: tuple[int, int, int, int], box: int) -> Pixels:
    """A part (left, top, right, bottom) of a PNG that is decoded whole: premultiplied, each `box` by `box` made one."""
    image = load_upright(path)
    left, top, right, bottom = part
    out = np.zeros((-(-(bottom - top) // box), -(-(right - left) // box), 4), np.uint8)
    high = max(1, _STRIP_BYTES // (4 * image.width * box))
    for at in range(0, len(out), high):
        strip = image.crop((left, top + at * box, right, min(top + (at + high) * box, bottom)))
        if strip.mode != "RGBA":
            strip = strip.convert("RGBA")
        elif not strip.getbbox():
            continue  # most of a layout is clear
        cells = in_boxes(premultiply(np.asarray(strip)), box, box)
        out[at : at + len(cells)] = cells
    return out


_NEAR_ENOUGH = 0.85  # of the size wanted: a second step costs as much as the first, and some sharpness


def reduce_strips(strips: Strips, long_side: int, survey: Survey | None = None) -> Reduced:
    """Decode a layout to at most `long_side` pixels on its longer side, never larger than it is.

    `survey` sees all pixels. By whole boxes, strip by strip; where those would leave it far smaller than wanted, by
    smaller ones and then by area.
    """
    facts = strips.facts
    longest = max(facts.width, facts.height)
    box = math.ceil(longest / long_side)
    if longest / box < _NEAR_ENOUGH * long_side:
        box = max(1, longest // long_side)
    small = _in_boxes(_surveyed(strips, survey), box)
    covers = (small.shape[1] * box, small.shape[0] * box)  # of the canvas, with what was added to fill the last boxes
    if longest / box > long_side:
        shrink = long_side / max(small.shape[:2])
        size = (max(1, round(small.shape[1] * shrink)), max(1, round(small.shape[0] * shrink)))
        small = np.asarray(cv2.resize(small, size, interpolation=cv2.INTER_AREA), np.uint8)
    layer = _coloured(small, strips.space, facts.profile_bytes)
    return Reduced(layer, small.shape[1] / covers[0], small.shape[0] / covers[1])


def _part(strips: Strips, rows: slice, columns: slice) -> Iterator[Pixels]:
    """Premultiplied strips cut to a part of the canvas; decoding stops where it ends."""
    top = 0
    for strip in _surveyed(strips, None):
        cut = strip[max(0, rows.start - top) : max(0, rows.stop - top), columns]
        if len(cut):
            yield cut
        top += len(strip)
        if top >= rows.stop:
            return


def _in_boxes(rows: Iterator[Pixels], box: int) -> Pixels:
    """Each `box` by `box` pixels made one, by their mean."""
    return np.concatenate([in_boxes(whole, box, box) for whole in _whole_boxes(rows, box)])


def _surveyed(strips: Strips, survey: Survey | None) -> Iterator[Pixels]:
    """Premultiplied strips, each shown to the survey; ink passes as it is and counts as solid."""
    top = 0
    for rows in strips.rows:
        is_ink = strips.space == "CMYK"
        layer = rows if is_ink else premultiply(rows)
        if survey is not None:
            survey.take(top, np.full_like(rows, 255) if is_ink else layer)
        top += len(rows)
        yield layer


def _whole_boxes(strips: Iterator[Pixels], box: int) -> Iterator[Pixels]:
    """The same rows, regrouped so that each array holds whole boxes; the last row is repeated to fill the last."""
    rest: list[Pixels] = []  # the rows of a box that was begun
    for strip in strips:
        first = min(len(strip), -sum(map(len, rest)) % box) if rest else 0
        if first:
            rest.append(strip[:first])
        if rest and sum(map(len, rest)) == box:
            yield np.concatenate(rest)
            rest = []
        whole = first + (len(strip) - first) // box * box
        if whole > first:
            yield strip[first:whole]
        if whole < len(strip):
            rest.append(strip[whole:])
    if rest:
        short = box - sum(map(len, rest))
        yield np.concatenate([*rest, np.repeat(rest[-1][-1:], short, axis=0)])


def _coloured(small: Pixels, space: str, profile: bytes | None) -> Pixels:
    if space == "CMYK":
        size = (small.shape[1], small.shape[0])
        ink = Image.frombuffer("CMYK", size, np.ascontiguousarray(small), "raw", "CMYK", 0, 1)
        return np.asarray(to_srgb(ink, profile).convert("RGBA"))
    if profile is None:
        return small
    straight = Image.fromarray(unpremultiply(small))
    return premultiply(np.asarray(to_srgb(straight, profile)))


def _flat(image: Image.Image) -> Image.Image:
    """Pictures are opaque: what is clear in one shows white, as paper would."""
    if image.mode != "RGBA":
        return image
    white = Image.new("RGBA", image.size, "white")
    white.alpha_composite(image)
    return white.convert("RGB")
