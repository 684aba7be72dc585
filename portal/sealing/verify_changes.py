"""Proving changes against the log and the versions: what was raised, what was decided, and which version cites them."""

import json
from collections.abc import Iterator, Mapping

from portal.brief.models import Campaign
from portal.changes import presence
from portal.changes.models import Change
from portal.changes.proof import proof_of
from portal.sealing.against_log import Fact, Kept, Step, by
from portal.sealing.proof import MANY, Proof, logged
from portal.sealing.verify_delegations import Known

_RAISED = Step[Change](
    acts=("change.raised",),
    at=lambda row: row.raised_at,
    facts=(
        Fact(proof_of, lambda entry: entry.payload.get("proof"), "it is not what was raised, as the log has it"),
        by(lambda row: row.raised_by.key, "it was raised by somebody else, as the log has it"),
    ),
)
_DECIDED = Step[Change](
    acts=("change.accepted", "change.refused", "change.withdrawn"),
    at=lambda row: row.decided_at,
    came=lambda row: row.state != Change.State.ASKED,
    facts=(
        Fact(
            lambda row: f"change.{row.state}",
            lambda entry: entry.act,
            lambda row, entry: f"it is held as {row.state}, and the log has it as {entry.act.partition('.')[2]}",
        ),
        by(
            lambda row: row.decided_by.key if row.decided_by else None,
            "it was decided by somebody else, as the log has it",
        ),
        Fact(
            lambda row: row.decided_for.key if row.decided_for else None,
            lambda entry: entry.payload.get("signer"),
            "it was decided in somebody else's place, as the log has it",
        ),
        Fact(
            lambda row: (row.decided_name, row.decided_why),
            lambda entry: (entry.payload.get("name"), entry.payload.get("reason")),
            "the name or the reason of its decision is not the one that the log has",
        ),
        Fact(
            lambda row: row.decided_away,
            lambda entry: "away" in entry.payload,
            "whether it was decided away from the set is not what the log has",
        ),
    ),
    not_logged="the log knows no decision on it",
    other_time="the time of its decision is not the one that the log has",
)


def changes(campaign: Campaign, proof: Proof, delegations: Mapping[str, Known]) -> dict[str, str]:
    """Each change against the log, both ways; those decided for somebody, by whose word.

    Returns the SHA-256 of their photos, each with its change.
    """
    named: dict[str, str] = {}
    cited = _cited(campaign)
    kept = Kept[Change](
        kind="change",
        steps=(_RAISED, _DECIDED),
        key=lambda row: row.key,
        called=_called,
        called_in_log=lambda entry: f"change {entry.payload.get('number')}",
        besides=lambda row: _by_whose_word(delegations, row) or _citation(cited, row),
    )
    kept.prove(campaign, proof, _counted(campaign, proof, named))
    return named


def _by_whose_word(delegations: Mapping[str, Known], row: Change) -> str:
    signer, by, at = row.decided_for, row.decided_by, row.decided_at
    if signer is None or (by and at and any(one.covers(signer.key, by.key, at) for one in delegations.values())):
        return ""
    return f"the log does not know that {by.user if by else 'anybody'} could decide for {signer.user} then"


def _called(row: Change) -> str:
    return f"change {row.number}"


def _counted(campaign: Campaign, proof: Proof, named: dict[str, str]) -> Iterator[Change]:
    """The changes, counted as they pass, with their photos put into `named`."""
    rows = Change.objects.filter(campaign=campaign).order_by("number")
    of = ("on_version", "raised_by__user", "decided_by__user", "decided_for__user", "photo", "in_version")
    for row in rows.select_related(*of).defer("on_version__document", "in_version__document").iterator(MANY):
        proof.changes += 1
        presence.read(row.present)  # raises for what has not the form of what the portal writes
        if row.photo:
            named.setdefault(row.photo.sha256, _called(row))
        yield row


def _cited(campaign: Campaign) -> dict[str, int]:
    """Each change's key with the number of the first locked version that cites it."""
    locked = [entry.subject.partition("/")[2] for entry in logged(campaign, "version.locked")]
    found: dict[str, int] = {}
    for version in campaign.versions.filter(key__in=locked).order_by("number").iterator(chunk_size=1):
        try:
            rows = json.loads(version.document).get("changes", [])
            for row in rows:
                found.setdefault(row["id"], version.number)
        except (ValueError, AttributeError, TypeError, KeyError):
            continue  # that the document cannot be read is said of the version
    return found


def _citation(cited: Mapping[str, int], change: Change) -> str:
    held, found = change.in_version.number if change.in_version else None, cited.get(change.key)
    if held == found:
        return ""
    if found is None:
        return f"it is held as part of version {held}, which does not cite it"
    return f"version {found} cites it, and it is held as {f'part of version {held}' if held else 'part of none'}"
