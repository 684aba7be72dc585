"""The worker's part in set overlays: the pictures of one capture, in a ZIP."""

import contextlib
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from layouts.capture import overlay_orders
from layouts.capture.overlay_drawing import draw, entries, sheet_of
from layouts.imaging.decoding.prepare import Prepared, load_prepared, prepare_layout
from layouts.imaging.errors import Refused
from layouts.imaging.framing.geometry import Box
from layouts.imaging.geometry import Rect
from layouts.pictures.keeping import keep_made
from portal.files.sending import on_disk
from portal.models import StoredFile, Work
from portal.work.handlers import CannotBeDone, handler

# A layout is decoded to at most so many pixels on its longer side: enough for a frame on any screen, 144 MB at worst.
FINEST = 6000
# The prepared form is enough where it has this share of the pixels that the picture shows.
_ENOUGH = 0.9


@handler(overlay_orders.KIND)
def make_overlays(work: Work) -> dict[str, Any]:
    """Draw one capture's pictures.

    Result: {files: {zip, look: {path, type, width, height, bytes}}, entries: [{name, bytes}]}.
    """
    order = work.inputs
    on = sheet_of(order)

    def layout_of(crop: Mapping[str, Any]) -> tuple[NDArray[np.uint8], Rect] | None:
        if not crop["layout"]:
            return None
        left, _, right, _ = on.edges(Box(*crop["box"]))
        window = Rect(**crop["window"])
        prepared = _prepared(crop, window, right - left)
        return prepared.layer, prepared.on_layer(window.within(prepared.canvas.width, prepared.canvas.height))

    try:
        with tempfile.TemporaryDirectory() as folder:
            pack, look = draw(order, layout_of, Path(folder))
            listed = entries(pack)
            with Image.open(look) as image:
                wide, high = image.size
            files = {
                "zip": {"file": pack, "type": "zip", "width": on.width, "height": on.height},
                "look": {"file": look, "type": "webp", "width": wide, "height": high},
            }
            return {"files": keep_made(work, files), "entries": listed}
    except Refused as reason:
        raise CannotBeDone(reason.sentence) from reason


def _prepared(crop: Mapping[str, Any], window: Rect, wanted: int) -> Prepared:
    """The layout, as fine as a window `wanted` px wide asks for: its prepared form, else from its own file."""
    with contextlib.suppress(KeyError, ValueError, FileNotFoundError):
        found = Work.objects.get(key=crop["prepare"]).result["prepared"]
        with on_disk(found) as path:
            prepared = load_prepared(path)
        whole = prepared.across >= 1 and prepared.down >= 1
        if whole or window.width * prepared.across >= _ENOUGH * wanted:
            return prepared
    stored = StoredFile.objects.get(sha256=crop["layout"])
    scale = min(1.0, wanted / window.width)
    with on_disk(stored.path) as path:
        return prepare_layout(path, long_side=min(FINEST, round(scale * max(stored.width, stored.height)) + 1))
