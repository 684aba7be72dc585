"""Reads of props."""

from django.db.models import QuerySet

from portal.models import Campaign
from shots.props.models import Prop


def props(campaign: Campaign) -> QuerySet[Prop]:
    """The campaign's props in shot order, each with its shot."""
    return Prop.objects.filter(shot__campaign=campaign).select_related("shot").order_by("shot__number", "pk")
