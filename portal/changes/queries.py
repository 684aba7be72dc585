"""Reads of changes: what is accepted, what waits for a decision, what it adds up to."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import QuerySet

from portal import access
from portal.access import May
from portal.brief.models import Campaign
from portal.changes.models import Change
from portal.delegation import queries as delegation
from portal.people.models import Member


def told(campaign: Campaign) -> QuerySet[Change]:
    """The campaign's changes with all that their story names, by number; one query."""
    of = ("raised_by__user", "decided_by__user", "decided_for__user", "on_version", "in_version", "photo")
    rows = Change.objects.filter(campaign=campaign).select_related(*of)
    return rows.defer("on_version__document", "in_version__document")


def accepted(campaign: Campaign) -> QuerySet[Change]:
    """Those that were accepted, by number: what the next version contains."""
    return told(campaign).filter(state=Change.State.ACCEPTED)


def to_cite(campaign: Campaign) -> QuerySet[Change]:
    """Those accepted that no locked version contains: the next one cites them."""
    return Change.objects.filter(campaign=campaign, state=Change.State.ACCEPTED, in_version=None)


def waiting(campaign: Campaign) -> QuerySet[Change]:
    """Those that nobody has decided."""
    return Change.objects.filter(campaign=campaign, state=Change.State.ASKED)


def to_decide(member: Member) -> list[Change]:
    """Those that wait for this member among others; none for who may not decide. Two queries at most."""
    return list(waiting(member.campaign)) if decides(member) else []


def decides(member: Member) -> bool:
    """Whether this member may decide changes now, for themself or in a signer's place. One query at most."""
    return access.may(member, May.DECIDE_CHANGE) or bool(decides_for(member))


def decides_for(member: Member) -> list[Member]:
    """The signers in whose place this member may decide now. One query; none for who may not read what it costs."""
    if not access.may(member, May.SEE_ESTIMATE):
        return []
    return [one.signer for one in delegation.held_by([member]) if access.may_decide_for(one.signer, one.delegate)]


def only_signs_for(member: Member) -> list[Member]:
    """The signers who decide changes, and in whose place this member may now sign and not decide. One query."""
    if access.may(member, May.SEE_ESTIMATE):
        return []
    return [one.signer for one in delegation.held_by([member]) if access.may(one.signer, May.DECIDE_CHANGE)]


def stand_ins(members: Iterable[Member]) -> list[tuple[Member, Member]]:
    """Of these members, those who may decide in a signer's place now, each with that signer. One query."""
    by_key = {member.pk: member for member in members}
    held = delegation.held_by(by_key.values())
    return [(by_key[one.delegate_id], one.signer) for one in held if access.may_decide_for(one.signer, one.delegate)]


def to_decide_by(seats: Iterable[Member]) -> Counter[int]:
    """How many changes wait for each of these members, by primary key. Two queries, none where no brief is locked."""
    locked = [seat for seat in seats if seat.campaign.locked_version_id]
    deciding = [seat for seat in locked if access.may(seat, May.DECIDE_CHANGE)]
    others = [seat for seat in locked if seat not in deciding and access.may(seat, May.SEE_ESTIMATE)]
    if others:
        deciding += list({seat.pk: seat for seat, _ in stand_ins(others)}.values())
    if not deciding:
        return Counter()
    of = [seat.campaign_id for seat in deciding]
    asked = Change.objects.filter(campaign__in=of, state=Change.State.ASKED).order_by()
    counted = Counter(asked.values_list("campaign_id", flat=True))
    return Counter({seat.pk: counted[seat.campaign_id] for seat in deciding})


@dataclass
class Total:
    """What accepted changes add up to; `money` by currency, in the order of the currencies' names.

    `unsaid` changes do not say how many hours they take.
    """

    changes: int = 0
    low: Decimal = Decimal(0)
    likely: Decimal = Decimal(0)
    high: Decimal = Decimal(0)
    unsaid: int = 0
    money: dict[str, Decimal] = field(default_factory=dict)


def total(changes: Iterable[Change]) -> Total:
    """The sum over those of `changes` that were accepted. Money: show it to nobody who may not see the estimate."""
    found = Total()
    for change in changes:
        if change.state != Change.State.ACCEPTED:
            continue
        found.changes += 1
        if change.hours_low is None or change.hours_likely is None or change.hours_high is None:
            found.unsaid += 1
        else:
            found.low += change.hours_low
            found.likely += change.hours_likely
            found.high += change.hours_high
        if change.money is not None:
            found.money[change.currency] = found.money.get(change.currency, Decimal(0)) + change.money
    found.money = dict(sorted(found.money.items()))
    return found
