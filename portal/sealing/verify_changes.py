"""Proving changes against the log and the versions: what was raised, what was decided, and which version cites them."""

import json
from collections.abc import Mapping

from portal.brief.models import Campaign
from portal.changes.models import Change
from portal.changes.proof import proof_of
from portal.sealing.models import LogEntry
from portal.sealing.proof import MANY, Proof, logged, together

_DECIDED = ("change.accepted", "change.refused", "change.withdrawn")


def changes(campaign: Campaign, proof: Proof) -> dict[str, str]:
    """Each change against the log, both ways. Returns the SHA-256 of their photos, each with its change."""
    raised = {entry.subject: entry for entry in logged(campaign, "change.raised")}
    decided = {entry.subject: entry for entry in logged(campaign, *_DECIDED)}
    cited = _cited(campaign)
    named: dict[str, str] = {}
    rows = Change.objects.filter(campaign=campaign).order_by("number")
    of = ("on_version", "raised_by__user", "decided_by", "photo", "in_version")
    for change in rows.select_related(*of).defer("on_version__document", "in_version__document").iterator(MANY):
        proof.changes += 1
        subject, where = f"change/{change.key}", f"change {change.number}"
        as_raised, as_decided = raised.pop(subject, None), decided.pop(subject, None)
        if says := _raised(change, as_raised) or _decision(change, as_decided) or _citation(change, cited):
            proof.note(where, says)
        if change.photo:
            named.setdefault(change.photo.sha256, where)
    for entry in raised.values():
        proof.note(f"change {entry.payload.get('number')}", "the log knows it, and it is gone")
    for subject, entry in decided.items():
        if subject not in raised:
            proof.note(f"change {entry.payload.get('number')}", "the log knows a decision on it, and it has none")
    return named


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


def _raised(change: Change, entry: LogEntry | None) -> str:
    if entry is None:
        return "the log does not know it"
    if entry.payload.get("proof") != proof_of(change):
        return "it is not what was raised, as the log has it"
    if entry.actor != change.raised_by.key:
        return "it was raised by somebody else, as the log has it"
    return "" if together(change.raised_at, entry.at) else "its time is not the one that the log has"


def _decision(change: Change, entry: LogEntry | None) -> str:
    if entry is None:
        return "" if change.state == Change.State.ASKED else "the log knows no decision on it"
    if entry.act != f"change.{change.state}":
        return f"it is held as {change.state}, and the log has it as {entry.act.partition('.')[2]}"
    if change.decided_by is None or change.decided_at is None or entry.actor != change.decided_by.key:
        return "it was decided by somebody else, as the log has it"
    if (entry.payload.get("name"), entry.payload.get("reason")) != (change.decided_name, change.decided_why):
        return "the name or the reason of its decision is not the one that the log has"
    return "" if together(change.decided_at, entry.at) else "the time of its decision is not the one that the log has"


def _citation(change: Change, cited: Mapping[str, int]) -> str:
    held, found = change.in_version.number if change.in_version else None, cited.get(change.key)
    if held == found:
        return ""
    if found is None:
        return f"it is held as part of version {held}, which does not cite it"
    return f"version {found} cites it, and it is held as {f'part of version {held}' if held else 'part of none'}"
