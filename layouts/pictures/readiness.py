"""What readiness finds about pictures: mockups and hero zones that are missing, crops that cut the hero."""

from collections.abc import Iterable
from typing import Any

from django.urls import reverse

from layouts.formats.models import Placement
from layouts.pictures import queries
from layouts.pictures.models import Mockup
from layouts.previews import readiness as previews
from layouts.previews.queries import Made, Seen, crops, made
from portal import access
from portal.access import May, Role
from portal.brief.sections import Finding
from portal.models import Campaign, Work
from shots.models import Shot
from shots.shot.queries import read as read_shots

# Shares of the hero zone's area that a crop may cut before it is worth a look, and before it must be mended.
# Common practice, no source: a hair's breadth is nothing, a quarter of the food is another picture.
WORTH_A_LOOK = 0.02
MUST_FIX = 0.25

# Words for the sentence that counts findings: noun, said of one, said of many.
KINDS = {
    "mockup-missing": ("mockup", "is missing", "are missing"),
    "mockup-unread": ("mockup", "could not be read", "could not be read"),
    "hero-unmarked": ("hero zone", "is not marked", "are not marked"),
    "preview-failed": ("preview", "could not be made", "could not be made"),
    "hero-cut": ("crop", "cuts the hero", "cut the hero"),
    **previews.KINDS,
}

_BRINGS = (Role.AGENCY, Role.PHOTOGRAPHER)
_MARKS = tuple(access.roles_that_may(May.EDIT_SHOTS))
_SENDS = tuple(access.roles_that_may(May.UPLOAD_MOCKUPS))


def ready(campaign: Campaign) -> list[Finding]:
    """Findings of this section, shot by shot, then placement by placement; a few light queries for any campaign."""
    mockups = queries.read(campaign)
    found = [finding for shot in read_shots(campaign) for finding in _of_shot(campaign, shot, mockups.get(shot.pk))]
    rows, ended = crops(campaign), made(campaign)
    found += [
        _failed(campaign, row.placement, ended[row.placement.pk])
        for row in rows
        if row.placement.pk in ended and ended[row.placement.pk].state == Work.State.FAILED
    ]
    return found + _cut(campaign, rows) + previews.legibility(campaign, rows, ended)


def _of_shot(campaign: Campaign, shot: Shot, mockup: Mockup | None) -> list[Finding]:
    upload = reverse("layouts:mockup", args=[campaign.key, shot.key])
    what = f"Mockup of shot {shot.number}"
    if mockup is None:
        says = f"Shot {shot.number}, {shot.title}, has no mockup."
        return [
            Finding("must-fix", says, what, "nobody has sent it", _BRINGS, upload, "mockup-missing", shot=shot.number)
        ]
    if mockup.work.state == Work.State.FAILED:
        says = f"The mockup of shot {shot.number} could not be read: {mockup.work.says}"
        return [Finding("must-fix", says, what, "could not be read", _SENDS, upload, "mockup-unread", shot=shot.number)]
    if mockup.hero is None:
        says = f"Shot {shot.number}, {shot.title}, has no hero zone marked on its mockup."
        mark = reverse("layouts:hero", args=[campaign.key, shot.key])
        return [
            Finding(
                "must-fix",
                says,
                f"Hero zone of shot {shot.number}",
                "not marked",
                _MARKS,
                mark,
                "hero-unmarked",
                shot=shot.number,
            )
        ]
    return []


def _failed(campaign: Campaign, placement: Placement, preview: Made) -> Finding:
    says = f"The preview of {placement} failed: {preview.says}"
    what = f"Preview of {placement}"
    return Finding(
        "must-fix",
        says,
        what,
        "failed",
        _SENDS,
        _stage(campaign, placement),
        "preview-failed",
        shot=placement.shot.number,
    )


def _cut(campaign: Campaign, rows: Iterable[Seen]) -> list[Finding]:
    """One finding for each crop that cuts the hero; languages that share a crop are one finding."""
    found: dict[tuple[Any, ...], Finding | None] = {}
    for row in rows:
        crop = (row.placement.shot_id, row.placement.format_id, tuple(row.placement.crop or ()))
        if crop not in found:
            cut = 1 - row.hero[1] if row.hero else 0.0
            found[crop] = _cut_one(campaign, cut, row) if cut > WORTH_A_LOOK else None
    return [finding for finding in found.values() if finding]


def _cut_one(campaign: Campaign, cut: float, row: Seen) -> Finding:
    shot, format = row.placement.shot, row.placement.format
    per_cent = max(1, round(100 * cut))
    return Finding(
        "must-fix" if cut > MUST_FIX else "worth-a-look",
        f"The crop of shot {shot.number} for {format} cuts off {per_cent}\u202f% of the hero zone.",
        f"{format}, shot {shot.number}",
        f"hero cut by {per_cent}\u202f%",
        _MARKS,
        _stage(campaign, row.placement),
        "hero-cut",
        shot=shot.number,
    )


def _stage(campaign: Campaign, placement: Placement) -> str:
    return reverse("layouts:stage", args=[campaign.key, placement.key])
