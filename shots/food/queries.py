"""Reads of hero food."""

from django.db.models import QuerySet

from portal.brief import reading
from portal.models import Campaign
from shots.food.models import HeroFood


def food(campaign: Campaign) -> QuerySet[HeroFood]:
    """The campaign's hero food in shot order, each with its shot and whoever gave the client's words on it."""
    return (
        HeroFood.objects.filter(shot__campaign=campaign)
        .select_related("shot", "confirmed_by__user", "cleared_by_member__user")
        .order_by("shot__number", "pk")
    )


def read(campaign: Campaign) -> list[HeroFood]:
    """The same, read once while a document or readiness is drawn up."""
    return reading.once(campaign, "food", lambda: list(food(campaign)))
