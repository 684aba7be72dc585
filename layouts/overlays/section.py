"""The section "layouts": for each placement the file that lies over its picture, and what was found in it."""

from typing import Any

from layouts.overlays import readiness
from layouts.overlays.models import Layout
from layouts.overlays.queries import window_of
from portal.brief import sections
from portal.brief.sections import Section
from portal.models import Campaign
from portal.sealing import words


def assemble(campaign: Campaign) -> list[dict[str, Any]]:
    """The current layouts of the wanted placements, each by its placement's key; two queries."""
    rows = (
        Layout.objects.filter(current=True, placement__wanted=True, placement__shot__campaign=campaign)
        .select_related("placement__shot", "placement__format", "file", "work")
        .order_by(
            "placement__shot__number", "placement__format__position", "placement__format_id", "placement__language"
        )
    )
    return [_entry(row) for row in rows]


def _entry(row: Layout) -> dict[str, Any]:
    placement, found = row.placement, row.work.result
    return {
        "id": placement.key,
        "number": placement.shot.number,
        "format": placement.format.name,
        "language": placement.language,
        "file": row.name,
        "sha256": row.file.sha256,
        "type": row.file.type,
        "width": row.file.width,
        "height": row.file.height,
        "revision": row.revision,
        "window": window_of(row),
        "window_corrected": row.window is not None,
        "clear": found.get("alpha", {}).get("clear"),
        "type_zones": len(found.get("type_zones", [])),
        "faults": [{"code": fault["code"], "says": fault["says"]} for fault in found.get("faults", [])],
    }


def register() -> None:
    sections.register(
        Section(
            "layouts", "Layouts", 35, assemble, "layouts/overlays/section.html", readiness.ready, kinds=readiness.KINDS
        )
    )
    words.register(
        {
            "layout.sent": "{who} sent revision {revision} for {subject}: {name}",
            "layout.asked": "{who} sent {name}; it is asked about: {says}",
            "layout.refused": "{who} sent {name}, which was refused: {says}",
            "layout.aside": "{who} sent {name} again: {says}",
            "layout.put-aside": "{who} put {name} aside",
            "layout.stands-again": "{who} let revision {of} of {subject} stand again, as revision {revision}",
            "layout.window-corrected": "{who} corrected the window of {subject}, revision {revision}",
            "layout.tried-again": "{who} had revision {revision} of {subject} tried again",
        }
    )
