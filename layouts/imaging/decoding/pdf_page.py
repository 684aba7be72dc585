"""The program that opens a PDF, in a process of its own: `python pdf_page.py FILE look|draw MEBIBYTES SECONDS`.

Prints one line of JSON, {"width", "height", "pages", "box"} or {"refused": sentence}; after it, to draw, the page's
rows from the top as raw RGBA with straight alpha. A page that asks for more memory or time than it is given ends this
process and nothing else. It imports nothing of the portal, so that it starts in a tenth of a second.
"""

from __future__ import annotations

import json
import math
import resource
import sys
from typing import Any

import pypdfium2

LONGEST = 8192
PPI = 300  # what artwork at scale is made for: common practice, no source


class Unusable(Exception):
    """The message is a sentence for who sent the file."""


def main(path: str, what: str, mebibytes: str, seconds: str) -> None:
    _bound(int(mebibytes) << 20, int(seconds))
    try:
        page, box = _first_page(path)
        scale = _scale(page)
        width, height = (math.ceil(side * scale) for side in page.get_size())
        facts = {"width": width, "height": height, "pages": len(page.pdf), "box": box}
        pixels = _drawn(page, scale) if what == "draw" else None
    except Unusable as reason:
        facts, pixels = {"refused": str(reason)}, None
    sys.stdout.buffer.write(json.dumps(facts).encode() + b"\n")
    if pixels is not None:
        sys.stdout.buffer.write(pixels)
    sys.stdout.buffer.flush()


def _bound(memory: int, seconds: int) -> None:
    most = resource.getrlimit(resource.RLIMIT_AS)[1]
    memory = memory if most == resource.RLIM_INFINITY else min(memory, most)
    resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _first_page(path: str) -> tuple[Any, str]:
    """The first page, cut to what is to be seen of it, and the name of the box that says so."""
    try:
        document = pypdfium2.PdfDocument(path)
    except pypdfium2.PdfiumError as error:
        locked = "password" in str(error).lower()
        why = "is locked with a password" if locked else "cannot be opened: it is damaged or was cut off on the way"
        raise Unusable(f"This PDF {why}. Export it again without a password, or send a PNG.") from None
    if len(document) == 0:
        raise Unusable("This PDF has no page. Export it again, or send a PNG.")
    try:
        page = document[0]
    except pypdfium2.PdfiumError:
        raise Unusable("The first page of this PDF is damaged. Export it again, or send a PNG.") from None
    return page, _cut_to_trim(page)


def _cut_to_trim(page: Any) -> str:
    """Leave of the page what its trim box holds, where there is one (ISO 32000-2, 14.11.2): no bleed and no marks.

    A box is no larger than the media box (14.11.2.1); one of no size counts as none.
    """
    trim = page.get_trimbox(fallback_ok=False)
    media = page.get_mediabox()
    if trim is not None:
        left, bottom = max(min(trim[0], trim[2]), media[0]), max(min(trim[1], trim[3]), media[1])
        right, top = min(max(trim[0], trim[2]), media[2]), min(max(trim[1], trim[3]), media[3])
        if left < right and bottom < top:
            page.set_cropbox(left, bottom, right, top)
            return "trim"
    return "media" if page.get_cropbox(fallback_ok=False) is None else "crop"


def _scale(page: Any) -> float:
    width, height = page.get_size()
    if not (math.isfinite(width) and math.isfinite(height) and min(width, height) > 0):
        raise Unusable("The first page of this PDF has no size. Export it again, or send a PNG.")
    # A hair less, so that 450.00001 pixels do not become 451, the last one half clear.
    return float(min(PPI / 72, LONGEST / max(width, height)) * (1 - 1e-6))


def _drawn(page: Any, scale: float) -> Any:
    """Review notes and form fields are not part of the artwork, and stay out."""
    bitmap = page.render(
        scale=scale, fill_color=(0, 0, 0, 0), rev_byteorder=True, maybe_alpha=False, may_draw_forms=False,
        draw_annots=False, force_bitmap_format=pypdfium2.raw.FPDFBitmap_BGRA,
    )  # fmt: skip
    if bitmap.stride != 4 * bitmap.width:
        raise Unusable("The first page of this PDF cannot be drawn. Export it again, or send a PNG.")
    return bitmap.buffer


if __name__ == "__main__":
    main(*sys.argv[1:])
