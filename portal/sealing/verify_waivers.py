"""Proving waivers against the log, both ways: what was waived, by whom, why, and whether it was taken back."""

from portal.brief.models import Campaign
from portal.sealing.models import LogEntry
from portal.sealing.proof import Proof, logged, together
from portal.waivers.actions import as_logged
from portal.waivers.models import Waiver


def waivers(campaign: Campaign, proof: Proof) -> None:
    """Each waiver as the log has it; and those that the log knows and that are gone."""
    given = {entry.subject: entry for entry in logged(campaign, "waiver.given")}
    withdrawn = {entry.subject: entry for entry in logged(campaign, "waiver.withdrawn")}
    rows = Waiver.objects.filter(campaign=campaign).select_related("given_by", "withdrawn_by")
    for waiver in rows.order_by("pk").iterator(chunk_size=100):
        subject = f"waiver/{waiver.key}"
        if says := _given(waiver, given.pop(subject, None)) or _taken_back(waiver, withdrawn.pop(subject, None)):
            proof.note(f"waiver for {waiver.what}", says)
    for entry in given.values():
        proof.note(f"waiver for {entry.payload.get('what')}", "the log knows it, and it is gone")


def _given(waiver: Waiver, known: LogEntry | None) -> str:
    """What is wrong with how it was given, as the end of a sentence; empty for one that is as the log has it."""
    if known is None:
        return "the log does not know it"
    if known.actor != waiver.given_by.key:
        return "it was given by somebody else, as the log has it"
    if known.payload != as_logged(waiver):
        return "it does not say what the log has"
    return "" if together(known.at, waiver.given_at) else "its time is not the one that the log has"


def _taken_back(waiver: Waiver, known: LogEntry | None) -> str:
    if (known is None) != (waiver.withdrawn_at is None):
        return "it was taken back, as the log has it" if known else "the log does not know that it was taken back"
    if known is None or waiver.withdrawn_at is None:
        return ""
    if waiver.withdrawn_by is None or known.actor != waiver.withdrawn_by.key:
        return "it was taken back by somebody else, as the log has it"
    return "" if together(known.at, waiver.withdrawn_at) else "the time it was taken back is not the log's"
