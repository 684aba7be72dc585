"""Placements as subjects of comments."""

from collections.abc import Collection

from django.urls import reverse

from layouts.formats.models import Placement
from portal.models import Campaign
from portal.people.languages import name_of
from portal.talk.subjects import Subject


def find(campaign: Campaign, keys: Collection[str]) -> dict[str, Subject]:
    """The campaign's placements of these keys, each with its name and its stage; one query."""
    rows = Placement.objects.filter(key__in=keys, shot__campaign=campaign).select_related("shot", "format")
    return {
        row.key: Subject(
            label=f"Shot {row.shot.number}, {row.shot.title}, {row.format}, {name_of(row.language)}",
            url=reverse("layouts:stage", args=[campaign.key, row.key]),
        )
        for row in rows
    }
