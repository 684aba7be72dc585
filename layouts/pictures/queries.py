"""Reads of mockups that pages share."""

from typing import Any

from django.db.models import QuerySet

from layouts.pictures.models import Mockup
from portal.brief import reading
from portal.models import Campaign, Work
from shots.models import Shot
from shots.shot.queries import read as read_shots


def shot_of(campaign: Campaign, shot: str) -> Shot:
    """The campaign's shot by its key; Shot.DoesNotExist also for another campaign's."""
    return Shot.objects.get(key=shot, campaign=campaign)


def revisions(shot: Shot) -> QuerySet[Mockup]:
    """All revisions of a shot's mockup, newest first, with what pages say of them."""
    return shot.mockups.select_related("file", "work", "sent_by__user").order_by("-revision")


def revision_of(shot: Shot) -> int:
    """The revision of the shot's mockup that stands; 0 where there is none."""
    return shot.mockups.filter(current=True).values_list("revision", flat=True).first() or 0


def current(shots: list[Shot]) -> dict[int, Mockup]:
    """The current mockup of each of these shots that has one, by the shot's primary key."""
    found = Mockup.objects.filter(shot__in=shots, current=True).select_related("file", "work", "sent_by__user")
    return {mockup.shot_id: mockup for mockup in found}


def read(campaign: Campaign) -> dict[int, Mockup]:
    """The campaign's current mockups by their shot's primary key, each with its shot: read once while a document or
    readiness is drawn up."""
    return reading.once(campaign, "mockups", lambda: _read(campaign))


def _read(campaign: Campaign) -> dict[int, Mockup]:
    shots = read_shots(campaign)
    found = current(shots)
    for shot in shots:
        if shot.pk in found:
            found[shot.pk].shot = shot
    return found


def copies(mockup: Mockup) -> list[dict[str, Any]]:
    """The copies that pages may show, narrowest first: width, height, path, type; empty until they are made."""
    found: list[dict[str, Any]] = mockup.work.result["copies"] if mockup.work.state == Work.State.DONE else []
    return found


def campaigns_of(work: Work) -> list[int]:
    """Primary keys of the campaigns whose mockups these copies are of."""
    return list(Mockup.objects.filter(work=work).values_list("shot__campaign", flat=True).distinct())
