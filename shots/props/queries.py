"""Reads of props."""

from django.db.models import QuerySet

from portal.brief import reading
from portal.models import Campaign
from shots.props.models import Prop


def props(campaign: Campaign) -> QuerySet[Prop]:
    """The campaign's props in shot order, each with its shot."""
    return Prop.objects.filter(shot__campaign=campaign).select_related("shot").order_by("shot__number", "pk")


def read(campaign: Campaign) -> list[Prop]:
    """The same, read once while a document or readiness is drawn up."""
    return reading.once(campaign, "props", lambda: list(props(campaign)))
