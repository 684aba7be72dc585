"""Reads that pages of the brief share."""

from django.db.models import QuerySet

from portal.brief.models import Campaign
from portal.people.models import Member, User


def seats(user: User) -> QuerySet[Member]:
    """The person's places in campaigns, newest campaign first, with all that the list shows."""
    return (
        Member.objects.active()
        .filter(user=user)
        .select_related("campaign__open_version", "campaign__locked_version")
        .order_by("-campaign__started_at")
    )


def standing_words(campaign: Campaign) -> str:
    """The state in the running head: "draft", "draft, after version 1", "version 2, locked, 9c41 e07b"."""
    version = campaign.locked_version or campaign.open_version
    if version is None:
        return "draft"
    state = "locked" if campaign.locked_version_id else "put forward"
    return f"version {version.number}, {state}, {version.digest[:4]} {version.digest[4:8]}"
