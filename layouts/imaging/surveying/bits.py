"""A mask over a whole canvas at one bit a pixel: small enough to keep, exact enough to find an edge to the pixel."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Mask = NDArray[np.uint8]
Shares = NDArray[np.float64]
_BAND = 4_000_000  # pixels unpacked at a time


class Bits:
    """A mask of `width` by `height`, filled strip by strip from the top."""

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = width, height
        self._packed = np.zeros((height, (width + 7) // 8), np.uint8)

    def put(self, top: int, mask: Mask) -> None:
        """Keep the rows of a strip; whatever is not 0 counts as set."""
        self._packed[top : top + len(mask)] = np.packbits(mask, axis=1)

    def digest(self, into: Any) -> None:
        """Feed the mask to a hash."""
        into.update(self._packed)

    def cut(self, x0: int, y0: int, x1: int, y1: int) -> Mask:
        """The part between these edges, cut to the canvas: 0 or 1, shape (rows, columns)."""
        x0, x1 = max(0, x0), min(self.width, x1)
        rows = self._packed[max(0, y0) : max(0, y1), x0 // 8 : (x1 + 7) // 8]
        return np.unpackbits(rows, axis=1)[:, x0 % 8 : x0 % 8 + max(0, x1 - x0)]

    def by_row(self, x0: int, y0: int, x1: int, y1: int) -> Shares:
        """The share of set pixels in each row of that part, 0 to 1."""
        part = self.cut(x0, y0, x1, y1)
        return np.asarray(np.count_nonzero(part, axis=1) / max(1, part.shape[1]))

    def by_column(self, x0: int, y0: int, x1: int, y1: int) -> Shares:
        part = self.cut(x0, y0, x1, y1)
        return np.asarray(np.count_nonzero(part, axis=0) / max(1, part.shape[0]))

    def share(self, x0: int, y0: int, x1: int, y1: int) -> float:
        """The share of set pixels in a part, to the nearest eighth pixel column inside it."""
        left, right = (max(0, x0) + 7) // 8, min(self.width, x1) // 8
        rows = self._packed[max(0, y0) : max(0, y1), left : max(left + 1, right)]
        return float(np.bitwise_count(rows).sum(dtype=np.int64) / (8 * max(1, rows.size)))

    def reduced(self, size: tuple[int, int]) -> Mask:
        """How much of each pixel is set at another size (width, height): 0 to 255."""
        if size == (self.width, self.height):
            return self.cut(0, 0, self.width, self.height) * np.uint8(255)
        out = np.zeros((size[1], size[0]), np.uint8)
        step = self.height / size[1]
        rows = max(1, int(_BAND / self.width / step))
        for top in range(0, size[1], rows):
            end = min(top + rows, size[1])
            part = self.cut(0, round(top * step), self.width, max(round(end * step), round(top * step) + 1)) * np.uint8(
                255
            )
            out[top:end] = cv2.resize(part, (size[0], end - top), interpolation=cv2.INTER_AREA)
        return out
