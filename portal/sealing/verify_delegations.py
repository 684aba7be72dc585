"""Proving who could sign in whose place: rows against the log, and each signature given so against both."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.timezone import localdate

from portal.brief.models import Campaign
from portal.delegation.models import Delegation
from portal.sealing.against_log import Fact, Kept, Step, by
from portal.sealing.proof import Proof, logged

# Days are those of the portal's clock, and an archive may be proven where it is another day.
_A_DAY = timedelta(days=1)
_OTHERS = "it is between other people, as the log has it"


@dataclass
class Known:
    """What the log knows of a delegation: keys of the two, its days, when it was set up and when it was ended."""

    signer: str
    delegate: str
    first_day: date
    last_day: date
    at: datetime
    ended_at: datetime | None = None

    def covers(self, signer: str, by: str, at: datetime) -> bool:
        """Whether `by` could answer by it in the signer's place."""
        days = self.first_day - _A_DAY <= localdate(at) <= self.last_day + _A_DAY
        return (signer, by) == (self.signer, self.delegate) and days and (self.ended_at is None or at <= self.ended_at)


_SET_UP = Step[Delegation](
    acts=("signing.delegated",),
    at=lambda row: row.set_up_at,
    facts=(
        by(lambda row: row.signer.key, _OTHERS),
        Fact(lambda row: row.delegate.key, lambda entry: entry.payload.get("delegate"), _OTHERS),
        Fact(
            lambda row: (row.first_day.isoformat(), row.last_day.isoformat()),
            lambda entry: (entry.payload.get("first_day"), entry.payload.get("last_day")),
            "its days are not those that the log has",
        ),
    ),
)
# Either of the two ends it, or who decides about the signer: whoever did, the row does not say.
_ENDED = Step[Delegation](
    acts=("signing.delegation-ended",),
    at=lambda row: row.ended_at,
    came=lambda row: row.ended_at is not None,
    facts=(),
    not_logged="it was ended, and the log knows nothing of it",
    not_held="the log says that it was ended",
    other_time="the time of its end is not the one that the log has",
)
_DELEGATIONS = Kept[Delegation](
    kind="delegation",
    steps=(_SET_UP, _ENDED),
    key=lambda row: row.key,
    called=lambda row: f"delegation to {row.delegate.user}",
    called_in_log=lambda entry: f"delegation to {entry.payload.get('name')}",
)


def delegations(campaign: Campaign, proof: Proof) -> Mapping[str, Known]:
    """Each delegation against the log, both ways; what the log knows of them, by key."""
    rows = Delegation.objects.filter(campaign=campaign).select_related("signer", "delegate__user")
    _DELEGATIONS.prove(campaign, proof, rows.iterator(chunk_size=100))
    return _known(campaign)


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
