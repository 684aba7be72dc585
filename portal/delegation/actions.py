"""Acts by which a signer lets somebody else sign for them while they are away."""

from datetime import date, timedelta
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils import timezone
from django.utils.timezone import localdate

from portal import access
from portal.access import May
from portal.brief import once as forms
from portal.brief.draft import refuse
from portal.brief.models import Campaign
from portal.delegation import queries, wording
from portal.delegation.models import LONGEST, Delegation
from portal.people.models import Member
from portal.sealing import log

_AHEAD = timedelta(days=366)


@transaction.atomic
def delegate(by: Member, *, to: str, first_day: date, last_day: date, once: str = "") -> Delegation:
    """Ask the member with the key `to` to sign for `by` on these days, both included.

    While a version is out, too: who signs has not changed, only whose hand does it. The same words twice make one,
    and a form sent again (`once`) gives the one it made, also where that has been ended since.
    Raises PermissionDenied; ValidationError for days that cannot be, for somebody who cannot be asked, and where one
    would sign for somebody who signs for a third.
    """
    campaign = Campaign.objects.select_for_update().get(pk=by.campaign_id)
    # Read again now that the campaign is held: they may have been taken out, or lost the right, a moment ago.
    signer = campaign.members.active().select_related("user").filter(pk=by.pk).first()
    if signer is None:
        raise PermissionDenied("You are no longer in this campaign.")
    access.need(signer, May.SIGN_OFF)
    if entries := forms.done(signer, once):
        return Delegation.objects.select_related("delegate__user").get(key=forms.key(entries[0]), campaign=campaign)
    other = campaign.members.active().select_related("user").filter(key=to).first()
    if other is None or not access.may_stand_in(signer, other):
        raise refuse("to", "Choose somebody of your own side who is in the campaign.")
    _days(first_day, last_day)
    at_that_time = list(_overlapping(campaign, first_day, last_day))
    for one in at_that_time:
        if (one.signer_id, one.delegate_id, one.first_day, one.last_day) == (signer.pk, other.pk, first_day, last_day):
            return one
    _no_chain(signer, other, at_that_time)
    made = Delegation.objects.create(
        campaign=campaign,
        signer=signer,
        delegate=other,
        first_day=first_day,
        last_day=last_day,
        set_up_at=timezone.now(),
    )
    days: dict[str, Any] = {"first_day": first_day.isoformat(), "last_day": last_day.isoformat()}
    subject = f"delegation/{made.key}"
    log.append(
        signer, "signing.delegated", subject, name=str(other.user), delegate=other.key, **days, **forms.mark(once)
    )
    return made


@transaction.atomic
def end(by: Member, key: str) -> Delegation:
    """End it before its last day; one that is over stays as it is.

    Raises PermissionDenied for anybody but the two and who decides about the signer, Delegation.DoesNotExist.
    """
    Campaign.objects.select_for_update().get(pk=by.campaign_id)
    rows = Delegation.objects.select_related("signer__user", "delegate__user")
    one = rows.get(campaign=by.campaign_id, key=key)
    if not queries.may_end(by, one):
        raise PermissionDenied("Only the two people, or who may change what the signer does here, can end this.")
    if one.ended_at is None and one.last_day >= localdate():
        _end(by, one, "")
    return one


def end_those_of(by: Member, member: Member, why: str) -> None:
    """End those that a member's leaving, or losing a right, has left without ground; `why`: "left the campaign".

    Called within the act that changes the member, with the campaign's row held.
    """
    for one in queries.to_come(member):
        if member.left_at or not access.may_stand_in(*_as_they_are(one, member)):
            _end(by, one, f"{member.user} {why}")


def _as_they_are(one: Delegation, member: Member) -> tuple[Member, Member]:
    """Signer and delegate, one of whom is the member as they have just become."""
    return (member, one.delegate) if one.signer_id == member.pk else (one.signer, member)


def _end(by: Member, one: Delegation, why: str) -> None:
    one.ended_at = timezone.now()
    one.save(update_fields=["ended_at"])
    told: dict[str, Any] = {"name": str(one.delegate.user), "delegate": one.delegate.key}
    told |= {"signer": one.signer.key, "signer_name": str(one.signer.user)}
    log.append(by, "signing.delegation-ended", f"delegation/{one.key}", **told, because=f": {why}" if why else "")


def _days(first_day: date, last_day: date) -> None:
    today = localdate()
    if first_day < today:
        raise refuse("first_day", "Begin today or later: what was signed before stays as it is.")
    if first_day > today + _AHEAD:
        raise refuse("first_day", "That is more than a year ahead. Is the year right?")
    if last_day < first_day:
        raise refuse("last_day", "The last day comes before the first.")
    if last_day - first_day >= LONGEST:
        raise refuse(
            "last_day",
            f"At most {LONGEST.days} days. Whoever is away longer hands their part over on the page of people.",
        )


def _overlapping(campaign: Campaign, first_day: date, last_day: date) -> queries.Places:
    rows = Delegation.objects.filter(campaign=campaign, ended_at=None, first_day__lte=last_day, last_day__gte=first_day)
    return list(rows.select_related("signer__user", "delegate__user"))


def _no_chain(signer: Member, other: Member, at_that_time: queries.Places) -> None:
    """One at a time, and no delegate of a delegate: a signature is never more than one step from who was asked."""
    for one in at_that_time:
        days = wording.days(one)
        if one.signer_id == signer.pk:
            raise refuse("first_day", f"{one.delegate.user} signs for you {days}. End that first, or take other days.")
        if one.signer_id == other.pk:
            raise refuse("to", f"{other.user} is away too: {one.delegate.user} signs for them {days}.")
        if one.delegate_id == signer.pk:
            passed_on = "and while you do, nobody can sign for you. End that first, or take other days."
            raise refuse("first_day", f"You sign for {one.signer.user} {days}, {passed_on}")
