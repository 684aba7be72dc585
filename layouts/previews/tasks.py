"""The worker's part in previews: all owed pictures of a mockup while it is open; full pixels when asked for."""

import contextlib
import logging
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from billiard.exceptions import SoftTimeLimitExceeded
from django.conf import settings

from layouts.imaging.composing.proof import CONDITION
from layouts.imaging.decoding.prepare import load_prepared, prepare_layout
from layouts.imaging.decoding.reading import Picture, open_picture
from layouts.imaging.errors import Refused
from layouts.imaging.geometry import Rect
from layouts.pictures.ending import standing_follows
from layouts.pictures.keeping import keep_made
from layouts.previews import queries, recipe
from layouts.previews.rendering import Over, render_detail, render_placement, render_proof
from portal.brief import standing
from portal.files.sending import on_disk
from portal.models import StoredFile, Work
from portal.work import actions
from portal.work.handlers import CannotBeDone, for_kind, handler, when_failed

log = logging.getLogger("brieflock.work")
# How long one piece of work goes on with others of the same mockup: well inside the limit of one piece.
_SHARING_SECONDS = settings.WORK_SECONDS / 3


@handler("layouts.preview")
def make_preview(work: Work) -> dict[str, Any]:
    """A placement's pictures, and then those of all other owed previews of the same mockup, which is decoded once.

    Result: {files: {composed, bare, small and, with a layout, layer: {path, type, width, height, bytes}}, measured}, as
    in `rendering.Rendered`.
    """
    begun = time.monotonic()
    others = queries.owed_with(work)
    done = [work]
    with standing_follows(done, queries.campaigns_of), _sentences(), _mockup(work, [work, *others]) as backdrop:
        result = _rendered(work, backdrop)
        actions.finish(work, result)  # at once: whoever waits for this one need not wait for the others
        for other in others:
            if time.monotonic() - begun > _SHARING_SECONDS or not _also(other, backdrop, done):
                break
        return result


@handler("layouts.detail")
def make_detail(work: Work) -> dict[str, Any]:
    """The full pixels of a placement's crop, laid over and bare: {files: {composed-detail, bare-detail: {path, …}}}."""
    with _sentences():
        stored = StoredFile.objects.get(sha256=work.inputs["mockup"])
        crop = recipe.in_pixels(work.inputs["crop"], stored.width, stored.height)
        size = recipe.detail_size(work.inputs, crop)
        with on_disk(stored.path) as path, tempfile.TemporaryDirectory() as folder:
            backdrop = open_picture(path, max(size[0] / crop.width, size[1] / crop.height), until=crop.bottom)
            over = _full_over(work.inputs, size)
            return {"files": keep_made(work, render_detail(backdrop, crop, size, over, Path(folder)))}


@handler("layouts.proof")
def make_proof(work: Work) -> dict[str, Any]:
    """How a placement will print: {files: {proof, beyond: {path, …}}, share, condition}, as `render_proof` has them."""
    inputs = work.inputs
    with _sentences(), _mockup(work, [work]) as backdrop, tempfile.TemporaryDirectory() as folder:
        crop = recipe.in_pixels(inputs["crop"], backdrop.width, backdrop.height)
        over = _over(inputs) if inputs["layout"] else None
        made, share = render_proof(backdrop, crop, (inputs["width"], inputs["height"]), over, Path(folder))
        return {"files": keep_made(work, made), "share": round(share, 6), "condition": CONDITION}


@when_failed("layouts.preview")
def count_anew(work: Work) -> None:
    """Of a killed process no other line of this file is heard."""
    for campaign in queries.campaigns_of(work):
        standing.outdated(campaign)


def _also(owed: Work, backdrop: Picture, done: list[Work]) -> bool:
    """Make another owed preview of the same mockup; False when this process should stop making any."""
    other = actions.claim(owed.pk)
    if other is None:
        return True
    done.append(other)
    try:
        with _sentences():
            actions.finish(other, _rendered(other, backdrop))
    except CannotBeDone as reason:
        actions.fail(other, str(reason))
    except (MemoryError, SoftTimeLimitExceeded):
        log.exception("work %s (%s) passed its limits", other.pk, other.kind)
        actions.give_back(other)
        return False
    except Exception:
        log.exception("work %s (%s) failed, try %s", other.pk, other.kind, other.tries)
        actions.give_back(other)
    return True


@contextlib.contextmanager
def _sentences() -> Iterator[None]:
    try:
        yield
    except Refused as reason:
        raise CannotBeDone(reason.sentence) from reason


@contextlib.contextmanager
def _mockup(work: Work, works: list[Work]) -> Iterator[Picture]:
    """The mockup, decoded once and finely enough for all of these."""
    stored = StoredFile.objects.get(sha256=work.inputs["mockup"])
    crops = [(one, recipe.in_pixels(one.inputs["crop"], stored.width, stored.height)) for one in works]
    scale = max(max(one.inputs["width"] / crop.width, one.inputs["height"] / crop.height) for one, crop in crops)
    with on_disk(stored.path) as path:
        yield open_picture(path, scale, until=max(crop.bottom for _, crop in crops))


def _rendered(work: Work, backdrop: Picture) -> dict[str, Any]:
    inputs = work.inputs
    crop = recipe.in_pixels(inputs["crop"], backdrop.width, backdrop.height)
    over = _over(inputs) if inputs["layout"] else None
    with tempfile.TemporaryDirectory() as folder:
        size = (inputs["width"], inputs["height"])
        made = render_placement(backdrop, crop, size, over, Path(folder), small_side=recipe.SMALL_SIDE)
        return {"files": keep_made(work, made.files), "measured": made.measured}


def _over(inputs: dict[str, Any]) -> Over:
    """The layout's prepared form and type zones; prepared here and now where that has been lost."""
    preparing = Work.objects.get(key=inputs["prepare"])
    with contextlib.suppress(KeyError, ValueError, FileNotFoundError):
        return _loaded(preparing.result, inputs)
    return _loaded(for_kind(preparing.kind)(preparing), inputs)


def _loaded(found: dict[str, Any], inputs: dict[str, Any]) -> Over:
    with on_disk(found["prepared"]) as path:
        return Over(load_prepared(path), recipe.window(inputs), recipe.zones(found))


def _full_over(inputs: dict[str, Any], size: tuple[int, int]) -> Over | None:
    """The layout decoded from its original, finely enough for its window to have `size`."""
    if not inputs["layout"]:
        return None
    stored = StoredFile.objects.get(sha256=inputs["layout"])
    window = recipe.window(inputs) or Rect(0, 0, stored.width, stored.height)
    scale = min(1.0, max(size[0] / window.width, size[1] / window.height))
    with on_disk(stored.path) as path:
        return Over(prepare_layout(path, long_side=round(scale * max(stored.width, stored.height)) + 1), window)
