"""What the preparing of a layout is made of: the inputs that name its work. Same file, same format, same work."""

from typing import Any

from layouts.formats.models import Format
from layouts.overlays.models import Layout
from portal.models import StoredFile, Work
from portal.work import actions as work

KIND = "layouts.prepare"
# Raised when inspection or the prepared form change: layouts that are there are then done anew when next owed.
RECIPE = 2


def owe(file: StoredFile, name: str, format: Format, window: dict[str, int] | None = None) -> Work:
    """Owe the inspection of a file for a format, with its window where that was corrected. Inside a transaction.

    `name` is the file's own: it may say something else than the format does.
    """
    return work.owe(KIND, RECIPE, **inputs(file, name, format, window))


def inputs(file: StoredFile, name: str, format: Format, window: dict[str, int] | None) -> dict[str, Any]:
    """The work's inputs: the file and what its format asks for."""
    mm = [format.width_mm, format.height_mm] if format.width_mm and format.height_mm else None
    return {
        "sha256": file.sha256,
        "path": file.path,
        "name": name,
        "called": format.name,
        "aspect": mm or [format.width_px, format.height_px],
        "mm": mm,
        "px": [format.width_px, format.height_px],
        "window": window,
    }


def inspect_again(format: Format) -> None:
    """Owe the inspection of the format's current layouts anew, after its measures changed."""
    rows = Layout.objects.filter(placement__format=format, current=True).select_related("file")
    changed = []
    for layout in rows:
        layout.work = owe(layout.file, layout.name, format, layout.window)
        changed.append(layout)
    Layout.objects.bulk_update(changed, ["work"])
