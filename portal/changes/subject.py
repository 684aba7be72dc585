"""Changes as something that the log and the talk are about."""

from collections.abc import Collection

from django.urls import reverse

from portal.brief.models import Campaign
from portal.talk.subjects import Subject


def find(campaign: Campaign, keys: Collection[str]) -> dict[str, Subject]:
    """The campaign's changes of these keys."""
    rows = campaign.changes.filter(key__in=keys).values_list("key", "number")
    return {
        key: Subject(f"Change {number}", reverse("portal:change", args=[campaign.key, number])) for key, number in rows
    }
