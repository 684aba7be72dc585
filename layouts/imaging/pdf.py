"""The first page of a PDF as a transparent picture.

A page has no pixels of its own: it is drawn at 300 ppi, which is what artwork at scale is made for (common practice, no
source), but no longer than `LONGEST` pixels on a side.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pypdfium2
from numpy.typing import NDArray

from layouts.imaging.errors import Refused

LONGEST = 8192
_PPI = 300
_ONE_AT_A_TIME = threading.Lock()  # PDFium is not made for threads


@contextmanager
def _page(path: str | Path) -> Iterator[pypdfium2.PdfPage]:
    with _ONE_AT_A_TIME:
        try:
            document = pypdfium2.PdfDocument(str(path))
        except pypdfium2.PdfiumError as error:
            locked = "password" in str(error).lower()
            why = "is locked with a password" if locked else "cannot be opened: it is damaged or was cut off on the way"
            raise Refused(f"This PDF {why}. Export it again without a password, or send a PNG.") from None
        try:
            if len(document) == 0:
                raise Refused("This PDF has no page. Export it again, or send a PNG.")
            try:
                page = document[0]
            except pypdfium2.PdfiumError:
                raise Refused("The first page of this PDF is damaged. Export it again, or send a PNG.") from None
            yield page
            page.close()
        finally:
            document.close()


def _scale(width: float, height: float) -> float:
    return min(_PPI / 72, LONGEST / max(width, height))


def canvas(path: str | Path) -> tuple[int, int, int]:
    """Width and height of the first page in the pixels that it is drawn at, and the number of pages."""
    with _page(path) as page:
        width, height = page.get_size()
        if min(width, height) <= 0:
            raise Refused("The first page of this PDF has no size. Export it again, or send a PNG.")
        scale = _scale(width, height)
        return math.ceil(width * scale), math.ceil(height * scale), len(page.pdf)


def draw(path: str | Path) -> NDArray[np.uint8]:
    """The first page on a clear ground: array (height, width, 4), RGBA with straight alpha."""
    with _page(path) as page:
        bitmap = page.render(
            scale=_scale(*page.get_size()), fill_color=(0, 0, 0, 0), rev_byteorder=True, maybe_alpha=False,
            force_bitmap_format=pypdfium2.raw.FPDFBitmap_BGRA,
        )  # fmt: skip
        pixels: NDArray[np.uint8] = bitmap.to_numpy().copy()
        bitmap.close()
        return pixels
