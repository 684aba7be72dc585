"""The section "pictures": each shot's mockup with its hero zone, and each placement's crop of it."""

from collections.abc import Collection
from typing import Any

from layouts.formats.section import placement_name
from layouts.pictures import queries
from layouts.pictures.models import Mockup
from layouts.pictures.readiness import KINDS, ready
from layouts.previews import subject
from layouts.previews.queries import crops
from portal.brief import fields, sections
from portal.brief.fields import Field, Parent, Row, Thing, Whole, Words
from portal.brief.sections import Picture, Section
from portal.models import Campaign
from portal.talk import subjects
from shots.shot.queries import read as read_shots

_PAGE_WIDTH = 1200  # px


def _name_of_crop(row: Row, whole: Whole) -> str:
    return placement_name(whole.row("formats", row["id"], "placements") or row, whole)


_HERO = fields.zones("hero zone", "hero")
_CROP = fields.zones("crop", "crop")
TELLS = Words(
    {
        "mockups": Thing(
            "mockup",
            lambda row, _: f"shot {row['number']}",
            {
                "sha256": fields.seen("mockup", ("file", "revision", "width", "height", "picture")),
                "hero": _HERO,
                "number": fields.number("number of the shot", least=1),
                "title": fields.text("title of the shot"),
            },
            follows=("number", "title"),
            parents=lambda row: [Parent("shots", "", row["id"])],
            about=("sha256",),
        ),
        "crops": Thing(
            "",  # a crop comes and goes with its placement, and is not counted
            _name_of_crop,
            {
                "crop": _CROP,
                "set": Field("crop set by hand", schema={"type": "boolean"}),
                "shot": Field("shot"),
                "format": fields.text("name of the format"),
                "language": fields.text("language"),
            },
            follows=("format", "language"),
            # Nobody has set it, then or now: it follows the hero zone and the shape of the format.
            derived=lambda old, new: () if old.get("set") or new.get("set") else ("crop",),
            parents=lambda row: [Parent("formats", "placements", row["id"]), Parent("shots", "", row["shot"])],
        ),
    }
)


def pictures(campaign: Campaign, wanted: Collection[str]) -> dict[str, Picture]:
    """Copies of these mockups in the width of a page; those that are made, of this campaign's files."""
    rows = Mockup.objects.filter(shot__campaign=campaign, file__sha256__in=wanted).select_related("file", "work")
    found = {row.file.sha256: copies for row in rows if (copies := queries.copies(row))}
    return {
        sha256: Picture(copy["path"], copy["type"], copy["width"], copy["height"])
        for sha256, copies in found.items()
        for copy in [next((copy for copy in copies if copy["width"] >= _PAGE_WIDTH), copies[-1])]
    }


def assemble(campaign: Campaign) -> dict[str, Any]:
    """Mockups by their shot's key, crops by their placement's; zones and crops in fractions of the mockup."""
    shots, mockups = read_shots(campaign), queries.read(campaign)
    return {
        "mockups": [
            {
                "id": shot.key,
                "number": shot.number,
                "title": shot.title,
                "file": mockup.name,
                "sha256": mockup.file.sha256,
                "width": mockup.file.width,
                "height": mockup.file.height,
                "revision": mockup.revision,
                "picture": mockup.key,
                "hero": mockup.hero,
            }
            for shot in shots
            if (mockup := mockups.get(shot.pk))
        ],
        "crops": [
            {
                "id": row.placement.key,
                "shot": row.placement.shot.key,
                "format": row.placement.format.name,
                "language": row.placement.language,
                "crop": row.crop,
                "set": row.placement.crop is not None,
            }
            for row in crops(campaign)
        ],
    }


def register() -> None:
    sections.register(
        Section(
            "pictures",
            "Pictures",
            32,
            assemble,
            "layouts/pictures/section.html",
            ready,
            kinds=KINDS,
            words=TELLS,
            pictures=pictures,
        )
    )
    subjects.register("placement", subject.find)
