"""Reads that pages of the brief share."""

from portal.brief import standing
from portal.brief.models import Campaign
from portal.people.models import Member, User


def seats(user: User) -> list[Member]:
    """The person's places in campaigns, newest campaign first, with all that the list shows."""
    found = list(
        Member.objects.active()
        .filter(user=user)
        .select_related("campaign__open_version", "campaign__locked_version")
        .order_by("-campaign__started_at")
    )
    standing.brought_up_to_date(seat.campaign for seat in found)
    return found


def standing_words(campaign: Campaign) -> str:
    """The state in the running head: "draft", "draft, after version 1", "version 2, locked, 9c41 e07b"."""
    version = campaign.locked_version or campaign.open_version
    if version is None:
        return "draft"
    state = "locked" if campaign.locked_version_id else "put forward"
    return f"version {version.number}, {state}, {version.digest[:4]} {version.digest[4:8]}"
