"""What a capture plan is drawn from: each shot's camera, settings, mockup and wanted placements."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from layouts.capture.models import CapturePlan
from layouts.formats.models import Format, Placement
from layouts.overlays.models import Layout
from layouts.pictures.models import Mockup
from layouts.previews.queries import Seen, crops
from portal.models import Campaign
from shots.camera.models import Camera
from shots.models import Shot
from shots.shot.queries import read


@dataclass(frozen=True)
class Rows:
    """One shot's rows. `seen` are its wanted placements in order of format and language, `off` those not wanted."""

    shot: Shot
    campaign: Campaign
    camera: Camera | None
    plan: CapturePlan
    mockup: Mockup | None
    seen: list[Seen] = field(default_factory=list)
    off: list[Seen] = field(default_factory=list)


def of_shot(shot: Shot) -> Rows:
    """One shot's rows, with the layouts; six queries."""
    return of_shots(shot.campaign, [shot], layouts=True)[shot.pk]


def of_shots(campaign: Campaign, shots: Sequence[Shot], *, layouts: bool = False) -> dict[int, Rows]:
    """The rows of these shots by primary key; up to six queries whatever their number."""
    formats = {row.pk: row for row in campaign.formats.all()}
    cameras = {row.shot_id: row for row in Camera.objects.filter(shot__in=shots)}
    plans = {row.shot_id: row for row in CapturePlan.objects.filter(shot__in=shots).select_related("accepted_by__user")}
    mockups = Mockup.objects.filter(shot__in=shots, current=True).select_related("file", "work")
    by_shot = {row.shot_id: row for row in mockups}
    found = list(Placement.objects.filter(shot__in=shots).order_by())
    in_order = _order(campaign)
    found.sort(key=lambda row: in_order(row, formats[row.format_id]))
    current = _layouts(found) if layouts else {}
    of: dict[int, list[Placement]] = defaultdict(list)
    for row in found:
        row.format = formats[row.format_id]
        of[row.shot_id].append(row)
    answer = {}
    for shot in shots:
        mockup = by_shot.get(shot.pk)
        seen: dict[bool, list[Seen]] = {True: [], False: []}
        for row in of[shot.pk]:
            row.shot = shot
            if row.wanted or row.language in campaign.languages:
                seen[row.wanted].append(Seen(row, mockup, current.get(row.pk), None))
        plan = plans.get(shot.pk) or CapturePlan(shot=shot)
        answer[shot.pk] = Rows(shot, campaign, cameras.get(shot.pk), plan, mockup, seen[True], seen[False])
    return answer


def accepted(campaign: Campaign) -> list[Rows]:
    """The shots whose plan was accepted or could be, with what readiness and the document need of them.

    One query beside those that a document or readiness makes anyhow. Without layouts and without what is switched off.
    """
    plans = CapturePlan.objects.filter(shot__campaign=campaign).select_related("accepted_by__user")
    by_shot = {row.shot_id: row for row in plans}
    of: dict[int, list[Seen]] = defaultdict(list)
    for seen in crops(campaign):
        of[seen.placement.shot_id].append(seen)
    found, in_order = [], _order(campaign)
    for shot in read(campaign):
        mine = sorted(of[shot.pk], key=lambda one: in_order(one.placement, one.placement.format))
        plan = by_shot.get(shot.pk) or CapturePlan(shot=shot)
        mockup = mine[0].mockup if mine else None
        found.append(Rows(shot, campaign, getattr(shot, "camera", None), plan, mockup, mine))
    return found


def _order(campaign: Campaign) -> Callable[[Placement, Format], tuple[Any, ...]]:
    """A key that sorts a shot's placements by format, and languages as the campaign orders them."""
    order = {tag: place for place, tag in enumerate(campaign.languages)}
    return lambda row, format: (format.position, row.format_id, order.get(row.language, len(order)), row.language)


def _layouts(placements: list[Placement]) -> dict[int, Layout]:
    rows = Layout.objects.filter(placement__in=placements, current=True).select_related("file", "work")
    return {row.placement_id: row for row in rows}
