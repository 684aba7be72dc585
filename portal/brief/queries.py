"""Reads that pages of the brief share."""

from portal.brief import standing
from portal.brief.draft import held
from portal.brief.models import Campaign
from portal.people.models import Member, User
from portal.site.sentences import joined


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
    """The state in the running head: "draft", "version 2, locked, 9c41 e07b, opened by change 3"."""
    here = held(campaign)
    if here.locked is None:
        return "draft" if here.out is None else f"version {here.out}, put forward, {here.out_stamp}"
    locked = f"version {here.locked}, locked, {here.locked_stamp}"
    if here.out is not None:
        return f"{locked}; version {here.out}, put forward"
    numbers = joined([str(number) for number, places, _ in here.opened if places])
    return f"{locked}, opened by {'changes' if ' ' in numbers else 'change'} {numbers}" if numbers else locked
