"""What can only be counted at full resolution, gathered strip by strip while a layout is decoded."""

from __future__ import annotations

from dataclasses import dataclass, field

import cv2
import numpy as np
from numpy.typing import NDArray

Counts = NDArray[np.int32]


@dataclass
class Survey:
    """Counts over a canvas of `width` by `height`.

    alpha : how many pixels have each alpha, 0 to 255
    ground : the commonest colour of the first row, premultiplied RGBA: that of a surround, if there is one
    ground_rows, ground_cols : pixels of that colour in each row and each column
    ink_rows, ink_cols : pixels that are not fully clear in each row and each column
    """

    width: int
    height: int
    alpha: NDArray[np.int64] = field(default_factory=lambda: np.zeros(256, np.int64))
    ground: tuple[int, int, int, int] | None = None
    ground_rows: Counts = field(default_factory=lambda: np.zeros(0, np.int32))
    ground_cols: Counts = field(default_factory=lambda: np.zeros(0, np.int32))
    ink_rows: Counts = field(default_factory=lambda: np.zeros(0, np.int32))
    ink_cols: Counts = field(default_factory=lambda: np.zeros(0, np.int32))

    def __post_init__(self) -> None:
        if not len(self.ink_rows):
            self.ground_rows, self.ink_rows = np.zeros((2, self.height), np.int32)
            self.ground_cols, self.ink_cols = np.zeros((2, self.width), np.int32)

    def take(self, top: int, strip: NDArray[np.uint8]) -> None:
        """Count a strip of premultiplied RGBA whose first row is `top`."""
        if self.ground is None:
            colours, counts = np.unique(_words(strip[:1]), return_counts=True)
            common = colours[np.argmax(counts) :][:1].view(np.uint8)
            self.ground = (int(common[0]), int(common[1]), int(common[2]), int(common[3]))
        rows = slice(top, top + len(strip))
        alpha = cv2.extractChannel(strip, 3)
        self.alpha += cv2.calcHist([alpha], [0], None, [256], [0, 256]).ravel().astype(np.int64)
        ink = np.asarray(cv2.threshold(alpha, 0, 1, cv2.THRESH_BINARY)[1], np.uint8)
        _count(ink, rows, self.ink_rows, self.ink_cols)
        if self.ground[3]:
            same = _words(strip) == np.array(self.ground, np.uint8).view(np.uint32)
            _count(same.view(np.uint8), rows, self.ground_rows, self.ground_cols)

    @property
    def clear(self) -> float:
        """Share of the canvas that is fully clear, 0 to 1."""
        return float(self.alpha[0] / (self.width * self.height))

    @property
    def solid(self) -> float:
        return float(self.alpha[255] / (self.width * self.height))

    @property
    def half(self) -> float:
        return float(self.alpha[1:255].sum() / (self.width * self.height))


def _words(strip: NDArray[np.uint8]) -> NDArray[np.uint32]:
    return np.ascontiguousarray(strip).view(np.uint32)[..., 0]


def _count(mask: NDArray[np.uint8], rows: slice, by_row: Counts, by_col: Counts) -> None:
    by_row[rows] = cv2.reduce(mask, 1, cv2.REDUCE_SUM, dtype=cv2.CV_32S).ravel()
    by_col += np.asarray(cv2.reduce(mask, 0, cv2.REDUCE_SUM, dtype=cv2.CV_32S), np.int32).ravel()
