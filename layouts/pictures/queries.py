"""Reads of mockups that pages share."""

from typing import Any

from django.db.models import QuerySet

from layouts.pictures.models import Mockup
from portal.models import Campaign, Work
from shots.models import Shot


def shot_of(campaign: Campaign, shot: str) -> Shot:
    """The campaign's shot by its key; Shot.DoesNotExist also for another campaign's."""
    return Shot.objects.get(key=shot, campaign=campaign)


def revisions(shot: Shot) -> QuerySet[Mockup]:
    """All revisions of a shot's mockup, newest first, with what pages say of them."""
    return shot.mockups.select_related("file", "work", "sent_by__user").order_by("-revision")


def current(shots: list[Shot]) -> dict[int, Mockup]:
    """The current mockup of each of these shots that has one, by the shot's primary key."""
    found = Mockup.objects.filter(shot__in=shots, current=True).select_related("file", "work", "sent_by__user")
    return {mockup.shot_id: mockup for mockup in found}


def copies(mockup: Mockup) -> list[dict[str, Any]]:
    """The copies that pages may show, narrowest first: width, height, path, type; empty until they are made."""
    found: list[dict[str, Any]] = mockup.work.result["copies"] if mockup.work.state == Work.State.DONE else []
    return found


def campaigns_of(work: Work) -> list[int]:
    """Primary keys of the campaigns whose mockups these copies are of."""
    return list(Mockup.objects.filter(work=work).values_list("shot__campaign", flat=True).distinct())
