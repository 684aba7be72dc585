"""The worker's part in layouts: inspect each and prepare the reduced form that its previews start from."""

import tempfile
from pathlib import Path
from typing import Any

from django.db import transaction

from layouts.imaging.composing.preview import render_layer
from layouts.imaging.decoding.prepare import Prepared, prepare_layout
from layouts.imaging.errors import Refused
from layouts.imaging.geometry import Rect
from layouts.imaging.inspecting.inspect import inspect_layout
from layouts.overlays import preparing, queries
from layouts.pictures.ending import standing_follows
from layouts.pictures.keeping import keep_made
from layouts.previews.actions import owe_for_placements
from portal.brief import standing
from portal.files.sending import on_disk
from portal.models import Work
from portal.work import actions
from portal.work.handlers import CannotBeDone, handler, when_failed

# Width, in px, of the copy of the whole canvas that pages show.
SEEN_WIDTH = 1600


@handler(preparing.KIND)
def prepare(work: Work) -> dict[str, Any]:
    """Inspect a layout for its format, and put its prepared form and a copy to look at into the store.

    Result: the inspection's plain data, with counts `must_fix` and `worth_a_look`, `prepared` (path in the store) and
    `seen` ({path, type, width, height, bytes}). Its previews are owed in the same transaction as its end.
    """
    with standing_follows([work], queries.campaigns_of):
        try:
            result = _prepared(work)
        except Refused as reason:
            raise CannotBeDone(reason.sentence) from reason
        with transaction.atomic():
            actions.finish(work, result)
            owe_for_placements(queries.current_of(work))
    return result


@when_failed(preparing.KIND)
def show_without(work: Work) -> None:
    """What cannot be prepared is not shown: its placements keep the layout before it, or are seen bare."""
    owe_for_placements(queries.current_of(work))
    for campaign in queries.campaigns_of(work):
        standing.outdated(campaign)


def _prepared(work: Work) -> dict[str, Any]:
    inputs = work.inputs
    with on_disk(inputs["path"]) as path, tempfile.TemporaryDirectory() as folder:
        form = Path(folder) / "prepared.png"
        prepared = prepare_layout(path, form)
        found = inspect_layout(prepared, **_asked(inputs)).as_json()
        kept = keep_made(work, {"prepared": _facts(form, prepared), "seen": _seen(prepared, Path(folder))})
    levels = [fault["level"] for fault in found["faults"]]
    return {
        **found,
        "must_fix": levels.count("must-fix"),
        "worth_a_look": levels.count("worth-a-look"),
        "prepared": kept["prepared"]["path"],
        "seen": kept["seen"],
    }


def _asked(inputs: dict[str, Any]) -> dict[str, Any]:
    """What the format asks of the file, as the inspection takes it."""
    window = inputs["window"]
    return {
        "aspect": inputs["aspect"][0] / inputs["aspect"][1],
        "mm": tuple(inputs["mm"]) if inputs["mm"] else None,
        "px": tuple(inputs["px"]),
        "called": inputs["called"],
        "name": inputs["name"],
        "sha256": inputs["sha256"],
        "window": Rect(**window) if window else None,
    }


def _facts(file: Path, prepared: Prepared) -> dict[str, Any]:
    high, wide = prepared.layer.shape[:2]
    return {"file": file, "type": "png", "width": wide, "height": high}


def _seen(prepared: Prepared, folder: Path) -> dict[str, Any]:
    out = folder / "seen.webp"
    width = min(SEEN_WIDTH, prepared.layer.shape[1])
    made = render_layer(prepared, out, width, prepared.canvas)
    return {"file": out, "type": "webp", "width": made.width, "height": made.height}
