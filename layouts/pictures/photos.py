"""What this room does for pictures that come to the portal's own topics (portal/files/pictures.py)."""

from collections.abc import Iterable

from layouts.pictures.arrived import keep_picture
from portal.files import pictures
from portal.models import StoredFile, Work
from portal.work import actions as work

PHOTO = "layouts.photo"
RECIPE = 1
LONGEST_SIDE = 1600  # px of the copy that pages show


def owe(stored: StoredFile) -> Work:
    """Owe the copy for pages. Inside a transaction."""
    # Inputs that say nothing but of the file: so an archive carries what came of them.
    return work.owe(PHOTO, RECIPE, sha256=stored.sha256, path=stored.path, side=LONGEST_SIDE)


def copies(files: Iterable[StoredFile | None]) -> dict[str, Work]:
    """The work on these files' copies by SHA-256; one query, none for no files."""
    wanted = [file.sha256 for file in files if file]
    rows = Work.objects.filter(kind=PHOTO, inputs__sha256__in=wanted).order_by("pk") if wanted else ()
    return {row.inputs["sha256"]: row for row in rows}


def register() -> None:
    pictures.register(pictures.Hands(keep_picture, owe, copies))
