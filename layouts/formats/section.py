"""The section "formats": what is ordered, with all its numbers, and which placements are wanted."""

from typing import Any

from django.urls import reverse

from layouts.formats.models import Placement
from portal import access
from portal.access import May
from portal.brief import sections
from portal.brief.sections import Finding, Section
from portal.models import Campaign
from portal.sealing import words

TEMPLATE = "layouts/formats/section.html"
# What is said of its findings, as in sentences.Clause.
KIND = ("order of formats", "is missing", "are missing", "orders of formats")


def assemble(campaign: Campaign) -> dict[str, Any]:
    """Formats in their order; wanted placements by shot, format and language. Rows name each other by key."""
    placements = Placement.objects.filter(shot__campaign=campaign, wanted=True)
    in_order = placements.order_by("shot__number", "format__position", "format_id", "language")
    return {
        "formats": [
            {
                "id": row.key,
                "name": row.name,
                "kind": row.kind,
                "width_mm": row.width_mm,
                "height_mm": row.height_mm,
                "artwork_scale": row.artwork_scale,
                "width_px": row.width_px,
                "height_px": row.height_px,
                "distance_m": row.distance_m,
                "aliases": row.aliases,
            }
            for row in campaign.formats.all()
        ],
        "placements": [
            dict(zip(("id", "shot", "number", "format", "name", "language"), row, strict=True))
            for row in in_order.values_list(
                "key", "shot__key", "shot__number", "format__key", "format__name", "language"
            )
        ],
    }


def ready(campaign: Campaign) -> list[Finding]:
    """Something must be ordered, and something of it wanted."""
    url = reverse("layouts:formats", args=[campaign.key])
    roles = tuple(access.roles_that_may(May.EDIT_SHOTS))
    if not campaign.formats.exists():
        says = "No formats have been ordered."
        return [Finding("must-fix", says, "Formats", "none ordered", roles, url, "format")]
    wanted = Placement.objects.filter(shot__campaign=campaign, wanted=True).exists()
    if campaign.shots.exists() and not wanted:
        says = "Every placement is switched off, so no layout is wanted at all."
        return [Finding("must-fix", says, "Placements", "all switched off", roles, url, "format")]
    return []


def register() -> None:
    sections.register(Section("formats", "Formats", 20, assemble, TEMPLATE, ready, kinds={"format": KIND}))
    words.register(
        {
            "format.added": "{who} ordered the format {name}",
            "format.removed": "{who} took out the format {name} (placements {placements}, layouts {layouts})",
            "format.moved": "{who} moved a format to place {now}, from {was}",
            "placement.wanted": "{who} switched on {what}",
            "placement.not-wanted": "{who} switched off {what}",
            "placement.cropped": "{who} set the crop of {subject}",
        }
    )
