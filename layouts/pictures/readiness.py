"""What readiness finds about pictures: mockups and hero zones that are missing, crops that cut the hero."""

from collections.abc import Callable, Iterable
from typing import Any

from layouts.formats.models import Placement
from layouts.pictures import queries
from layouts.pictures.models import Mockup
from layouts.previews import readiness as previews
from layouts.previews.queries import Made, Seen, crops, made
from portal import access
from portal.access import May, Role
from portal.brief.finding import Finding
from portal.models import Campaign, Work
from portal.site.addresses import of_each
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
    mockups, stage = queries.read(campaign), of_each("layouts:stage", campaign.key)
    page, marking = of_each("layouts:mockup", campaign.key), of_each("layouts:hero", campaign.key)
    found = [
        finding
        for shot in read_shots(campaign)
        for finding in _of_shot(shot, mockups.get(shot.pk), page(shot.key), marking(shot.key))
    ]
    rows, ended = crops(campaign), made(campaign)
    found += [
        _failed(row.placement, ended[row.placement.pk], stage(row.placement.key))
        for row in rows
        if row.placement.pk in ended and ended[row.placement.pk].state == Work.State.FAILED
    ]
    return found + _cut(rows, stage) + previews.legibility(campaign, rows, ended)


def _of_shot(shot: Shot, mockup: Mockup | None, upload: str, mark: str) -> list[Finding]:
    """What a shot's mockup lacks: where one is sent, and where its hero zone is marked, are addresses."""
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


def _failed(placement: Placement, preview: Made, stage: str) -> Finding:
    says = f"The preview of {placement} failed: {preview.says}"
    what = f"Preview of {placement}"
    return Finding(
        "must-fix",
        says,
        what,
        "failed",
        _SENDS,
        stage,
        "preview-failed",
        shot=placement.shot.number,
    )


def _cut(rows: Iterable[Seen], stage: Callable[[str], str]) -> list[Finding]:
    """One finding for each crop that cuts the hero; languages that share a crop are one finding."""
    found: dict[tuple[Any, ...], Finding | None] = {}
    for row in rows:
        crop = (row.placement.shot_id, row.placement.format_id, tuple(row.placement.crop or ()))
        if crop not in found:
            cut = 1 - row.hero[1] if row.hero else 0.0
            found[crop] = _cut_one(cut, row, stage(row.placement.key)) if cut > WORTH_A_LOOK else None
    return [finding for finding in found.values() if finding]


def _cut_one(cut: float, row: Seen, stage: str) -> Finding:
    shot, format = row.placement.shot, row.placement.format
    per_cent = max(1, round(100 * cut))
    return Finding(
        "must-fix" if cut > MUST_FIX else "worth-a-look",
        f"The crop of shot {shot.number} for {format} cuts off {per_cent}\u202f% of the hero zone.",
        f"{format}, shot {shot.number}",
        f"hero cut by {per_cent}\u202f%",
        _MARKS,
        stage,
        "hero-cut",
        shot=shot.number,
    )
