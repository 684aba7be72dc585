"""Proving who could sign in whose place: rows against the log, and each signature given so against both."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.timezone import localdate

from portal.brief.models import Campaign
from portal.delegation.models import Delegation
from portal.sealing.models import SignOff
from portal.sealing.proof import Proof, logged, together

# Days are those of the portal's clock, and an archive may be proven where it is another day.
_A_DAY = timedelta(days=1)


@dataclass
class Known:
    """What the log knows of a delegation: keys of the two, its days, when it was set up and when it was ended."""

    signer: str
    delegate: str
    first_day: date
    last_day: date
    at: datetime
    ended_at: datetime | None = None

    def covers(self, answer: SignOff) -> bool:
        """Whether an answer could be given by it."""
        pair = (answer.member.key, answer.given_by.key if answer.given_by else "")
        on = localdate(answer.at)
        days = self.first_day - _A_DAY <= on <= self.last_day + _A_DAY
        return pair == (self.signer, self.delegate) and days and (self.ended_at is None or answer.at <= self.ended_at)


def delegations(campaign: Campaign, proof: Proof) -> Mapping[str, Known]:
    """Each delegation against the log, both ways; what the log knows of them, by key."""
    known = _known(campaign)
    left = dict(known)
    rows = Delegation.objects.filter(campaign=campaign).select_related("signer", "delegate__user")
    for one in rows.iterator(chunk_size=100):
        if says := _delegation(one, left.pop(one.key, None)):
            proof.note(f"delegation to {one.delegate.user}", says)
    for key in left:
        proof.note("delegations", f"the log knows {key}, and there is none")
    return known


def _known(campaign: Campaign) -> dict[str, Known]:
    found: dict[str, Known] = {}
    for entry in logged(campaign, "signing.delegated", "signing.delegation-ended"):
        key, told = entry.subject.partition("/")[2], entry.payload
        if entry.act == "signing.delegated":
            first, last = date.fromisoformat(told["first_day"]), date.fromisoformat(told["last_day"])
            found[key] = Known(entry.actor, str(told["delegate"]), first, last, entry.at)
        elif key in found:
            found[key].ended_at = entry.at
    return found


def _delegation(one: Delegation, known: Known | None) -> str:
    """What is wrong with one, as the end of a sentence; empty for one that is as the log has it."""
    if known is None:
        return "the log does not know it"
    if (one.signer.key, one.delegate.key) != (known.signer, known.delegate):
        return "it is between other people, as the log has it"
    if (one.first_day, one.last_day) != (known.first_day, known.last_day):
        return "its days are not those that the log has"
    if (one.ended_at is None) != (known.ended_at is None):
        return "it was ended, and the log knows nothing of it" if one.ended_at else "the log says that it was ended"
    if one.ended_at and known.ended_at and not together(one.ended_at, known.ended_at):
        return "the time of its end is not the one that the log has"
    return "" if together(one.set_up_at, known.at) else "its time is not the one that the log has"
