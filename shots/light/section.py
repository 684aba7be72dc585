"""The section "light": how each shot is lit."""

from collections.abc import Iterator
from typing import Any

from django.urls import reverse

from portal import access
from portal.access import May
from portal.brief import sections
from portal.brief.sections import Finding, Section
from portal.models import Campaign
from shots.light.actions import FIELDS
from shots.light.models import Light
from shots.rows import plainly
from shots.shot.models import Shot
from shots.shot.queries import read

# Words for findings of a kind, as in Section.kinds.
KINDS = {"no-key-light": ("shot", "names no key light", "name no key light")}


def assemble(campaign: Campaign) -> list[dict[str, Any]]:
    """The light of each shot, in order; a shot without words about it has them empty."""
    return [{"id": shot.key, **plainly(_of(shot), FIELDS)} for shot in read(campaign)]


def _of(shot: Shot) -> Light:
    return getattr(shot, "light", None) or Light(shot=shot)


def by_shot(campaign: Campaign) -> Iterator[tuple[str, Finding]]:
    """Findings, each with its shot's key: every shot must name its key light."""
    roles = tuple(access.roles_that_may(May.EDIT_LIGHT))
    for shot in read(campaign):
        if not _of(shot).key_light.strip():
            says, what = f"The light of shot {shot.number} names no key.", f"Light, shot {shot.number}"
            url = reverse("shots:light", args=[campaign.key, shot.key])
            yield shot.key, Finding("must-fix", says, what, "no key light", roles, url, "no-key-light")


def ready(campaign: Campaign) -> list[Finding]:
    """All that is to be said of the campaign's light."""
    return [finding for _, finding in by_shot(campaign)]


def register() -> None:
    sections.register(Section("light", "Light", 60, assemble, "shots/sections/light.html", ready, kinds=KINDS))
