"""Reads of shots."""

from typing import Any

from django.db.models import Count, QuerySet

from portal.brief import reading
from portal.models import Campaign
from shots.shot.models import Shot


def shots(campaign: Campaign) -> QuerySet[Shot]:
    """The campaign's shots in order."""
    return Shot.objects.filter(campaign=campaign).order_by("number")


def read(campaign: Campaign) -> list[Shot]:
    """The shots in order with light and camera, read once while a document or readiness is drawn up."""
    return reading.once(campaign, "shots", lambda: list(shots(campaign).select_related("light", "camera")))


def overview(campaign: Campaign) -> QuerySet[Any]:
    """The shots with light and camera loaded, and `foods` and `things`: how many foods and props each has."""
    return (
        shots(campaign)
        .select_related("light", "camera")
        .annotate(foods=Count("food", distinct=True), things=Count("props", distinct=True))
    )


def one(campaign: Campaign, shot: str) -> Shot:
    """A shot of this campaign by key, with light and camera. Raises Shot.DoesNotExist."""
    return shots(campaign).select_related("light", "camera").get(key=shot)


def neighbours(shot: Shot) -> dict[str, Shot | None]:
    """The shots before and after this one."""
    others = Shot.objects.filter(campaign=shot.campaign_id)
    return {
        "before": others.filter(number__lt=shot.number).order_by("-number").first(),
        "after": others.filter(number__gt=shot.number).order_by("number").first(),
    }
