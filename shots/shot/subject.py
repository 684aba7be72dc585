"""Shots as something to talk about."""

from collections.abc import Collection

from django.urls import reverse

from portal.models import Campaign
from portal.talk.subjects import Subject
from shots.shot.queries import shots


def find(campaign: Campaign, keys: Collection[str]) -> dict[str, Subject]:
    """The campaign's shots of these keys."""
    return {
        shot.key: Subject(f"Shot {shot.number}, {shot.title}", reverse("shots:shot", args=[campaign.key, shot.key]))
        for shot in shots(campaign).filter(key__in=keys)
    }
