"""Reads about who signs in whose place."""

from collections.abc import Iterable
from datetime import date

from django.db.models import Q, QuerySet
from django.utils.timezone import localdate

from portal import access
from portal.access import May
from portal.brief.models import Campaign
from portal.delegation.models import Delegation
from portal.people.models import Member

Places = list[Delegation]


def of_campaign(campaign: Campaign) -> Places:
    """All that were ever set up, the newest first."""
    rows = Delegation.objects.filter(campaign=campaign).select_related("signer__user", "delegate__user")
    return list(rows.order_by("-first_day", "-pk"))


def held_by(members: Iterable[Member]) -> Places:
    """Those by which one of these members may answer for somebody today. One query."""
    return _that_hold(Delegation.objects.filter(delegate__in=[member.pk for member in members]))


def in_place_of(by: Member, signer: str) -> Delegation | None:
    """By which `by` may answer today for the signer with this key; None where there is none."""
    found = Delegation.objects.filter(delegate=by.pk, signer__key=signer, campaign=by.campaign_id)
    return next(iter(_that_hold(found)), None)


def _that_hold(rows: QuerySet[Delegation]) -> Places:
    today = localdate()
    held = rows.filter(ended_at=None, first_day__lte=today, last_day__gte=today)
    here = held.filter(signer__left_at=None, delegate__left_at=None)
    # Asked again of the table: rights may have changed in a way that ended nothing.
    return [
        one
        for one in here.select_related("signer__user", "delegate__user")
        if access.may_stand_in(one.signer, one.delegate)
    ]


def begun(today: date) -> Places:
    """Those set up ahead that hold today, with their campaign and the version that is out. One query."""
    rows = Delegation.objects.filter(first_day__lte=today)
    return [one for one in _that_hold(rows.select_related("campaign__open_version")) if one.set_up_ahead]


def to_come(member: Member) -> Places:
    """Those that hold now or later in which this member signs for somebody, or somebody for them. One query."""
    rows = Delegation.objects.filter(Q(signer=member.pk) | Q(delegate=member.pk), ended_at=None)
    return list(rows.filter(last_day__gte=localdate()).select_related("signer__user", "delegate__user"))


def may_be_asked(signer: Member) -> list[Member]:
    """Whom this signer may ask to sign in their place."""
    people = signer.campaign.members.active().select_related("user")
    return [other for other in people if access.may_stand_in(signer, other)]


def may_end(by: Member, one: Delegation) -> bool:
    """Whether this member may end it: either of the two, or who decides about the signer's place in the campaign.

    Whoever may take the right to sign from somebody may also take back that another uses it.
    """
    return by.pk in (one.signer_id, one.delegate_id) or one.signer.role in access.invitable_roles(by)


def may_delegate(member: Member) -> bool:
    return access.may(member, May.SIGN_OFF)
