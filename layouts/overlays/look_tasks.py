"""The worker's part in looking at layout files: the small picture of one in question, and a file's own pixels."""

import contextlib
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from PIL import Image

from layouts.imaging.composing.preview import render_layer
from layouts.imaging.composing.tiles import write_tiles
from layouts.imaging.decoding.prepare import prepare_layout
from layouts.imaging.errors import Refused
from layouts.overlays import looking
from layouts.pictures.keeping import keep_made
from portal.files.sending import on_disk
from portal.models import Work
from portal.work.handlers import CannotBeDone, handler


@handler(looking.LOOK)
def make_look(work: Work) -> dict[str, Any]:
    """A small transparent copy of the whole file. Result: {look: {path, type, width, height, bytes}}."""
    with _file(work) as (path, folder):
        prepared = prepare_layout(path, long_side=work.inputs["side"])
        out = folder / "look.webp"
        made = render_layer(prepared, out, prepared.layer.shape[1])
        return keep_made(work, {"look": {"file": out, "type": "webp", "width": made.width, "height": made.height}})


@handler(looking.TILES)
def make_tiles(work: Work) -> dict[str, Any]:
    """The file's own pixels. Result: {tiles: {"column-row": {path, type, width, height, bytes}}}."""
    with _file(work) as (path, folder):
        made = {}
        for (column, row), file in write_tiles(path, folder, work.inputs["side"]).items():
            with Image.open(file) as image:
                made[f"{column}-{row}"] = {"file": file, "type": "png", "width": image.width, "height": image.height}
        return {"tiles": keep_made(work, made)}


@contextlib.contextmanager
def _file(work: Work) -> Iterator[tuple[Path, Path]]:
    try:
        with on_disk(work.inputs["path"]) as path, tempfile.TemporaryDirectory() as folder:
            yield path, Path(folder)
    except Refused as reason:
        raise CannotBeDone(reason.sentence) from reason
