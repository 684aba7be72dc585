"""Proving waivers against the log, both ways: what was waived, by whom, why, and whether it was taken back."""

from typing import Any

from portal.brief import once
from portal.brief.models import Campaign
from portal.sealing.against_log import Fact, Kept, Step, by
from portal.sealing.models import LogEntry
from portal.sealing.proof import Proof
from portal.waivers.actions import as_logged
from portal.waivers.models import Waiver


def _told(entry: LogEntry) -> dict[str, Any]:
    """All that the entry tells but which form it came by."""
    return {word: value for word, value in entry.payload.items() if word != once.FIELD}


_GIVEN = Step[Waiver](
    acts=("waiver.given",),
    at=lambda row: row.given_at,
    facts=(
        by(lambda row: row.given_by.key, "it was given by somebody else, as the log has it"),
        Fact(as_logged, _told, "it does not say what the log has"),
    ),
)
_TAKEN_BACK = Step[Waiver](
    acts=("waiver.withdrawn",),
    at=lambda row: row.withdrawn_at,
    came=lambda row: row.withdrawn_at is not None,
    facts=(
        by(
            lambda row: row.withdrawn_by.key if row.withdrawn_by else None,
            "it was taken back by somebody else, as the log has it",
        ),
    ),
    not_logged="the log does not know that it was taken back",
    not_held="it was taken back, as the log has it",
    other_time="the time it was taken back is not the log's",
)
_WAIVERS = Kept[Waiver](
    kind="waiver",
    steps=(_GIVEN, _TAKEN_BACK),
    key=lambda row: row.key,
    called=lambda row: f"waiver for {row.what}",
    called_in_log=lambda entry: f"waiver for {entry.payload.get('what')}",
)


def waivers(campaign: Campaign, proof: Proof) -> None:
    """Each waiver as the log has it; and those that the log knows and that are gone."""
    rows = Waiver.objects.filter(campaign=campaign).select_related("given_by", "withdrawn_by")
    _WAIVERS.prove(campaign, proof, rows.order_by("pk").iterator(chunk_size=100))
