"""The section "formats": what is ordered, with all its numbers, and which placements are wanted."""

from typing import Any

from django.urls import reverse

from layouts.formats import queries
from layouts.formats.models import Format
from portal import access
from portal.access import May
from portal.brief import fields, sections
from portal.brief.fields import Field, Parent, Row, Thing, Whole, Words
from portal.brief.finding import Finding
from portal.brief.sections import Section
from portal.models import Campaign
from portal.people.languages import name_of
from portal.sealing import words
from shots.shot.queries import read as read_shots

TEMPLATE = "layouts/formats/section.html"
# What is said of its findings, as in sentences.Clause.
KIND = ("order of formats", "is missing", "are missing", "orders of formats")


def placement_name(row: Row, whole: Whole) -> str:
    """A placement by its row here: "shot 3, 48-sheet, Welsh"."""
    ordered = whole.row("formats", row.get("format"), "formats").get("name", row.get("name", ""))
    return f"{whole.shot(row.get('shot'))}, {ordered}, {name_of(row.get('language', ''))}"


TELLS = Words(
    {
        "formats": Thing(
            "format",
            lambda row, _: str(row["name"]),
            {
                "name": fields.text("name"),
                "kind": fields.choice("kind", dict(Format.Kind.choices)),
                "width_mm": fields.number("width", "mm"),
                "height_mm": fields.number("height", "mm"),
                "artwork_scale": Field("made at", lambda scale, _: f"1 : {scale}", {"type": "integer", "minimum": 1}),
                "width_px": fields.number("width of the artwork", "px", least=1),
                "height_px": fields.number("height of the artwork", "px", least=1),
                "distance_m": fields.number("read from", "m"),
                "aliases": fields.several("other names"),
            },
            place=lambda _: "",
            about=("width_mm", "height_mm", "width_px", "height_px"),
        ),
        "placements": Thing(
            "placement",
            placement_name,
            {
                "shot": Field("shot"),
                "number": fields.number("number of the shot", least=1),
                "format": Field("format"),
                "name": fields.text("name of the format"),
                "language": fields.text("language"),
            },
            follows=("number", "name"),
            parents=lambda row: [Parent("shots", "", row["shot"]), Parent("formats", "formats", row["format"])],
        ),
    }
)


def assemble(campaign: Campaign) -> dict[str, Any]:
    """Formats in their order; wanted placements by shot, format and language. Rows name each other by key."""
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
            for row in queries.read(campaign)
        ],
        "placements": [
            {
                "id": row.key,
                "shot": row.shot.key,
                "number": row.shot.number,
                "format": row.format.key,
                "name": row.format.name,
                "language": row.language,
            }
            for row in queries.read_wanted(campaign)
        ],
    }


def ready(campaign: Campaign) -> list[Finding]:
    """Something must be ordered, and something of it wanted."""
    url = reverse("layouts:formats", args=[campaign.key])
    roles = tuple(access.roles_that_may(May.EDIT_SHOTS))
    if not queries.read(campaign):
        says = "No formats have been ordered."
        return [Finding("must-fix", says, "Formats", "none ordered", roles, url, "format")]
    if read_shots(campaign) and not queries.read_states(campaign):
        says = "Every placement is switched off, so no layout is wanted at all."
        return [Finding("must-fix", says, "Placements", "all switched off", roles, url, "format")]
    return []


def register() -> None:
    kinds = {"format": KIND}
    sections.register(Section("formats", "Formats", 20, assemble, TEMPLATE, ready, kinds=kinds, words=TELLS))
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
