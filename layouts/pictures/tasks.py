"""The worker's part in mockups: upright sRGB copies for pages."""

import tempfile
from pathlib import Path
from typing import Any

from layouts.imaging.decoding.encode import save_picture
from layouts.imaging.decoding.files import check_picture
from layouts.imaging.decoding.reading import open_picture
from layouts.imaging.errors import Refused
from layouts.pictures import queries
from layouts.pictures.ending import standing_follows
from layouts.pictures.keeping import keep_made
from portal.brief import standing
from portal.files.sending import on_disk
from portal.models import StoredFile, Work
from portal.work.handlers import CannotBeDone, handler, when_failed


@handler("layouts.copies")
def make_copies(work: Work) -> dict[str, Any]:
    """Copies of a mockup in the widths asked for, but never wider than it is.

    Result: {copies: [{width, height, path, type, bytes}]}, narrowest first.
    """
    with standing_follows([work], queries.campaigns_of):
        stored = StoredFile.objects.get(sha256=work.inputs["mockup"])
        try:
            with on_disk(stored.path) as path, tempfile.TemporaryDirectory() as folder:
                made = _copies(
                    path, sorted({min(width, stored.width) for width in work.inputs["widths"]}), Path(folder)
                )
                return {"copies": list(keep_made(work, made).values())}
        except Refused as reason:
            raise CannotBeDone(reason.sentence) from reason


@when_failed("layouts.copies")
def count_anew(work: Work) -> None:
    """Of a killed process no other line of this file is heard."""
    for campaign in queries.campaigns_of(work):
        standing.outdated(campaign)


def _copies(path: Path, widths: list[int], folder: Path) -> dict[str, dict[str, Any]]:
    facts = check_picture(path)
    picture = open_picture(path, widths[-1] / facts.width)
    made = {}
    for width in widths:
        height = max(1, round(width * facts.height / facts.width))
        copy = folder / f"{width}.jpg"
        save_picture(picture.cut(None, (width, height)), copy)
        made[str(width)] = {"file": copy, "type": "jpg", "width": width, "height": height}
    return made
