"""The section "light": how each shot is lit."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from portal import access
from portal.access import May, Role
from portal.brief import fields, sections
from portal.brief.fields import Parent, Thing, Words
from portal.brief.finding import Finding
from portal.brief.sections import Section
from portal.models import Campaign
from portal.site.addresses import of_each
from shots import cautions
from shots.light.actions import FIELDS
from shots.light.models import Light
from shots.rows import plainly
from shots.shot.models import Shot
from shots.shot.queries import read

# Words for findings of a kind, as in Section.kinds.
KINDS = {"no-key-light": ("shot", "names no key light", "name no key light"), **cautions.KINDS}

TELLS = Words(
    {
        "": Thing(
            "",  # a shot's light comes and goes with it, and is not counted
            lambda row, whole: f"{whole.shot(row['id'])}, light",
            {
                "key_light": fields.text("key"),
                "fill": fields.text("fill"),
                "ground": fields.text("background and ground"),
                "mood": fields.text("mood"),
                "time_of_day": fields.text("time of day"),
                "lamps": fields.text("practical lamps"),
                "power": fields.text("power"),
                "caution": fields.text("caution"),
                "notes": fields.text("notes"),
            },
            parents=lambda row: [Parent("shots", "", row["id"])],
        )
    }
)


def assemble(campaign: Campaign) -> list[dict[str, Any]]:
    """The light of each shot, in order; a shot without words about it has them empty."""
    return [{"id": shot.key, **plainly(_of(shot), FIELDS)} for shot in read(campaign)]


def _of(shot: Shot) -> Light:
    return getattr(shot, "light", None) or Light(shot=shot)


def by_shot(campaign: Campaign) -> Iterator[tuple[str, Finding]]:
    """Findings, each with its shot's key: every shot must name its key light."""
    roles, page = tuple(access.roles_that_may(May.EDIT_LIGHT)), of_each("shots:light", campaign.key)
    of_shot = of_each("shots:shot", campaign.key)
    for shot in read(campaign):
        url = page(shot.key)
        if not _of(shot).key_light.strip():
            number = shot.number
            says, what = f"The light of shot {number} names no key.", f"Light, shot {number}"
            found = Finding("must-fix", says, what, "no key light", roles, url, "no-key-light", shot=number)
            yield shot.key, replace(found, seen=f"{of_shot(shot.key)}#light")
        for finding in _hazards(shot, url, roles):
            yield shot.key, replace(finding, seen=f"{of_shot(shot.key)}#light")


def _hazards(shot: Shot, url: str, roles: tuple[Role, ...]) -> Iterator[Finding]:
    """Flames, rigging and power that the light names and its caution says nothing to."""
    light = _of(shot)
    texts = (light.key_light, light.fill, light.ground, light.lamps, light.power, light.notes)
    what = f"Light, shot {shot.number}"
    yield from cautions.missing(f"The light of shot {shot.number} names", texts, light.caution, what, roles, url)


def ready(campaign: Campaign) -> list[Finding]:
    """All that is to be said of the campaign's light."""
    return [finding for _, finding in by_shot(campaign)]


def register() -> None:
    template = "shots/sections/light.html"
    sections.register(Section("light", "Light", 60, assemble, template, ready, kinds=KINDS, words=TELLS))
