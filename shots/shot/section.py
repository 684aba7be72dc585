"""The section "shots": what is to be seen, shot by shot."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from django.urls import reverse

from portal import access
from portal.access import May
from portal.brief import fields, sections
from portal.brief.fields import Thing, Words
from portal.brief.finding import Finding
from portal.brief.sections import Section
from portal.models import Campaign
from portal.sealing import words
from portal.talk import subjects
from shots.rows import plainly
from shots.shot import queries
from shots.shot.subject import find

_FIELDS = ("number", "title", "story", "composition", "grade", "retouching")
_WORDS = {"story": "what the picture says", "composition": "how it is composed"}
# Words for findings of a kind, as in Section.kinds.
KINDS = {
    "shot-text": (
        "shot",
        "does not say what it shows and how it is composed",
        "do not say what they show and how they are composed",
    )
}
TELLS = Words(
    {
        "": Thing(
            "shot",
            lambda row, _: f"shot {row['number']}",
            {
                "number": fields.number("number", least=1),
                "title": fields.text("title"),
                "story": fields.text("what the picture says"),
                "composition": fields.text("composition"),
                "grade": fields.text("grade"),
                "retouching": fields.text("retouching"),
            },
            follows=("number",),
            place=lambda row: f"number {row['number']}",
            about=("title",),
        )
    }
)
_WHO = tuple(access.roles_that_may(May.EDIT_SHOTS))


def assemble(campaign: Campaign) -> list[dict[str, Any]]:
    """The shots in order."""
    return [{"id": shot.key, **plainly(shot, _FIELDS)} for shot in queries.read(campaign)]


def by_shot(campaign: Campaign) -> Iterator[tuple[str, Finding]]:
    """Findings, each with its shot's key: every shot must say what it shows and how it is composed."""
    for shot in queries.read(campaign):
        if missing := [name for name in _WORDS if not getattr(shot, name).strip()]:
            says = f"Shot {shot.number} does not say {' and '.join(_WORDS[name] for name in missing)}."
            wants = "no " + ", no ".join(missing)
            url = reverse("shots:edit", args=[campaign.key, shot.key])
            found = Finding("must-fix", says, f"Shot {shot.number}", wants, _WHO, url, "shot-text", shot=shot.number)
            yield shot.key, replace(found, seen=reverse("shots:shot", args=[campaign.key, shot.key]))


def ready(campaign: Campaign) -> list[Finding]:
    """There must be a shot; what is to be said of each."""
    if queries.read(campaign):
        return [finding for _, finding in by_shot(campaign)]
    url = reverse("shots:add", args=[campaign.key])
    says = "The campaign has no shots yet: say which pictures were ordered."
    seen = reverse("shots:shots", args=[campaign.key])
    return [Finding("must-fix", says, "Shots", "none yet", _WHO, url, "no-shots", waivable=False, seen=seen)]


def register() -> None:
    subjects.register("shot", find)
    words.register({"shot.moved": "{who} moved {subject}: it is number {now}, was {was}."})
    template = "shots/sections/shots.html"
    sections.register(Section("shots", "Shots", 30, assemble, template, ready, kinds=KINDS, words=TELLS))
