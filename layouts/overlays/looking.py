"""Pictures of layout files that are made only where somebody looks for them.

A small one of a file whose place is asked about, and a file's own pixels in tiles, to set its window to the pixel.
"""

from collections.abc import Iterable
from typing import Any

from django.db import transaction

from layouts.overlays.models import Layout
from portal import access
from portal.access import May
from portal.models import Member, StoredFile, Work
from portal.work import actions as work

LOOK, TILES = "layouts.look", "layouts.tiles"
LOOK_RECIPE = TILES_RECIPE = 1
# Longest side of the small picture, and side of a tile, in px.
LOOK_SIDE, TILE_SIDE = 640, 1024


def owe_look(file: StoredFile) -> Work:
    """Owe the small picture of a file that came. Inside a transaction."""
    return work.owe(LOOK, LOOK_RECIPE, sha256=file.sha256, path=file.path, side=LOOK_SIDE)


@transaction.atomic
def ask_tiles(by: Member, layout: str) -> Layout:
    """Have a layout's own pixels made ready, or tried again where that failed. It changes nothing of the brief.

    Raises PermissionDenied, Layout.DoesNotExist.
    """
    access.need(by, May.UPLOAD_LAYOUTS)
    row = Layout.objects.select_related("file").get(key=layout, placement__shot__campaign=by.campaign_id)
    owed = work.owe(TILES, TILES_RECIPE, sha256=row.file.sha256, path=row.file.path, side=TILE_SIDE)
    if owed.state == Work.State.FAILED:
        work.retry(owed)
    return row


def looks(files: Iterable[StoredFile | None]) -> dict[str, Work]:
    """The work on the small pictures of these files, by SHA-256; one query, none for no files."""
    wanted = [file.sha256 for file in files if file]
    rows = Work.objects.filter(kind=LOOK, inputs__sha256__in=wanted).order_by("pk") if wanted else ()
    return {row.inputs["sha256"]: row for row in rows}


def tiles(file: StoredFile) -> dict[str, Any]:
    """How a file's own pixels stand: `state` none, open, failed or there; `says` why they failed."""
    row = _tiles(file).defer("result").first()
    if row is None:
        return {"state": "none", "says": ""}
    if row.state == Work.State.DONE:
        return {"state": "there", "says": ""}
    return {"state": "open" if row.open else "failed", "says": row.says}


def tile(file: StoredFile, column: int, row: int) -> dict[str, Any]:
    """One tile: path, type, width, height. Raises KeyError where there is none."""
    done = _tiles(file).filter(state=Work.State.DONE).first()
    if done is None:
        raise KeyError(file.sha256)
    found: dict[str, Any] = done.result["tiles"][f"{column}-{row}"]
    return found


def _tiles(file: StoredFile) -> Any:
    return Work.objects.filter(kind=TILES, inputs__sha256=file.sha256).order_by("-pk")
