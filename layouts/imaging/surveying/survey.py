"""What can only be seen at full resolution, gathered strip by strip while a layout is decoded."""

from __future__ import annotations

import hashlib
import zlib
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from layouts.imaging.surveying.bits import Bits
from layouts.imaging.surveying.edges_of_type import Edges
from layouts.imaging.surveying.samples import Samples

Counts = NDArray[np.int32]
SOLID = 217  # alpha of type at full strength, 85 %
_WHOLE = 0.98  # share of the first row that has one colour exactly, where nothing has blurred it
_NEAR = 3  # of 255: what rounding, and a lossy file, do to a flat colour


@dataclass
class Masks:
    """Where the canvas has ink (alpha above 0), is at least half covered, is solid, or has the ground's colour."""

    ink: Bits
    half: Bits
    solid: Bits
    same: Bits


@dataclass
class Survey:
    """Counts over a canvas of `width` by `height`.

    alpha : how many pixels are clear, between, and fully solid
    ground : the commonest colour of the first row, premultiplied RGBA: that of a surround, if there is one
    ground_rows, ground_cols : pixels of that colour in each row and each column
    ink_rows, ink_cols : pixels that are not fully clear in each row and each column
    masks, edges, samples : as their classes say; None in a survey that was read back, for they are not kept
    """

    width: int
    height: int
    alpha: NDArray[np.int64] = field(default_factory=lambda: np.zeros(3, np.int64))
    ground: tuple[int, int, int, int] | None = None
    ground_rows: Counts = field(default_factory=lambda: np.zeros(0, np.int32))
    ground_cols: Counts = field(default_factory=lambda: np.zeros(0, np.int32))
    ink_rows: Counts = field(default_factory=lambda: np.zeros(0, np.int32))
    ink_cols: Counts = field(default_factory=lambda: np.zeros(0, np.int32))
    masks: Masks | None = field(default=None, init=False)
    edges: Edges | None = field(default=None, init=False)
    samples: Samples | None = field(default=None, init=False)

    def __post_init__(self) -> None:
        self._check = 0
        self._flat = False
        if len(self.ink_rows):
            return
        self.ground_rows, self.ink_rows = np.zeros((2, self.height), np.int32)
        self.ground_cols, self.ink_cols = np.zeros((2, self.width), np.int32)
        self.masks = Masks(*(Bits(self.width, self.height) for _ in range(4)))
        self.edges, self.samples = Edges(), Samples(self.width, self.height)

    @cached_property
    def pixels(self) -> str:
        """A digest of the pixels as they are seen (premultiplied RGBA, 8 bits); "" where this survey was read back.
        To be read when all strips are taken.

        What lies hidden in clear pixels makes no difference. Of the shapes (where there is ink, how much, and where the
        ground's colour) it is a SHA-256, of the colours a CRC-32: hashing them whole would cost a fifth of decoding.
        """
        if not self.masks:
            return ""
        found = hashlib.sha256(f"{self.width}x{self.height} {self._check:08x}".encode())
        for mask in (self.masks.ink, self.masks.half, self.masks.solid, self.masks.same):
            mask.digest(found)
        return found.hexdigest()

    def take(self, top: int, strip: NDArray[np.uint8]) -> None:
        """Count a strip of premultiplied RGBA whose first row is `top`."""
        if self.masks is None or self.edges is None or self.samples is None:
            raise ValueError("a survey that was read back takes no more strips")
        strip = np.ascontiguousarray(strip)
        if self.ground is None:
            self.ground, share = _commonest(strip[:1])
            self._flat = share > _WHOLE
        rows = slice(top, top + len(strip))
        alpha = np.asarray(cv2.extractChannel(strip, 3), np.uint8)
        self._check = zlib.crc32(strip.data, self._check)
        ink = _above(alpha, 0)
        _count(ink, rows, self.ink_rows, self.ink_cols)
        clear, full = ink.size - cv2.countNonZero(ink), cv2.countNonZero(_above(alpha, 254))
        self.alpha += (clear, ink.size - clear - full, full)
        self.masks.ink.put(top, ink)
        self.masks.half.put(top, _above(alpha, 127))
        self.masks.solid.put(top, _above(alpha, SOLID - 1))
        self.edges.take(strip, alpha)
        self.samples.take(top, strip)
        if self.ground[3]:
            same = _equal(strip, self.ground) if self._flat else _near(strip, self.ground)
            _count(same, rows, self.ground_rows, self.ground_cols)
            self.masks.same.put(top, same)

    @property
    def clear(self) -> float:
        """Share of the canvas that is fully clear, 0 to 1."""
        return float(self.alpha[0] / (self.width * self.height))

    @property
    def solid(self) -> float:
        return float(self.alpha[2] / (self.width * self.height))

    @property
    def half(self) -> float:
        return float(self.alpha[1] / (self.width * self.height))


def _commonest(row: NDArray[np.uint8]) -> tuple[tuple[int, int, int, int], float]:
    """The commonest colour of a row, and its share of the row."""
    colours, counts = np.unique(np.ascontiguousarray(row).view(np.uint32), return_counts=True)
    common = colours[np.argmax(counts) :][:1].view(np.uint8)
    return (int(common[0]), int(common[1]), int(common[2]), int(common[3])), float(counts.max() / row.shape[1])


def _above(alpha: NDArray[np.uint8], least: int) -> NDArray[np.uint8]:
    return np.asarray(cv2.threshold(alpha, least, 1, cv2.THRESH_BINARY)[1], np.uint8)


def _equal(strip: NDArray[np.uint8], colour: tuple[int, int, int, int]) -> NDArray[np.uint8]:
    return np.asarray(strip.view(np.uint32)[..., 0] == np.array(colour, np.uint8).view(np.uint32)).view(np.uint8)


def _near(strip: NDArray[np.uint8], colour: tuple[int, int, int, int]) -> NDArray[np.uint8]:
    """1 where the strip has the colour, to within what a lossy file does to it; clear is never near."""
    low: Any = np.array([max(0, value - _NEAR) for value in colour])
    high: Any = np.array([min(255, value + _NEAR) for value in colour])
    low[3] = max(1, low[3])
    return np.asarray(cv2.inRange(strip, low, high), np.uint8) & np.uint8(1)


def _count(mask: NDArray[np.uint8], rows: slice, by_row: Counts, by_col: Counts) -> None:
    by_row[rows] = cv2.reduce(mask, 1, cv2.REDUCE_SUM, dtype=cv2.CV_32S).ravel()
    by_col += np.asarray(cv2.reduce(mask, 0, cv2.REDUCE_SUM, dtype=cv2.CV_32S), np.int32).ravel()
