"""Proving what was sealed against the log, both ways: versions, their standing, and sign-offs."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from portal.brief.models import Campaign, Version
from portal.people.models import Member
from portal.record.proving import files_named, prove_version
from portal.sealing.models import LogEntry, SignOff
from portal.sealing.proof import Proof, logged, together
from portal.sealing.verify_delegations import Known


def versions(campaign: Campaign, proof: Proof) -> dict[str, str]:
    """Each version by itself, and all against the log: a whole version put in another's place agrees with itself.

    Returns the SHA-256 of every file that they name, each with the first version that does.
    """
    known = {entry.subject: entry for entry in logged(campaign, "version.put-forward")}
    named: dict[str, str] = {}
    for version in campaign.versions.select_related("put_forward_by").order_by("number").iterator(chunk_size=1):
        proof.versions += 1
        where = f"version {version.number}"
        if says := _version(version, known.pop(f"version/{version.key}", None)):
            proof.note(where, says)
        for sha256 in files_named(_document(version)):
            named.setdefault(sha256, where)
    for entry in known.values():
        proof.note(f"version {entry.payload.get('number')}", "the log knows it, and it is gone")
    return named


def _version(version: Version, known: LogEntry | None) -> str:
    """What is wrong with a version, as the end of a sentence; empty for one that holds."""
    if says := prove_version(version.document, version.sections, version.digest):
        return says
    if known is None or known.payload.get("digest") != version.digest:
        return "the log does not know it with this digest"
    signers = [signer["id"] for signer in _document(version).get("campaign", {}).get("signers", [])]
    if signers != version.signers:
        return "the signers kept with it are not those of its document"
    if known.payload.get("number") != version.number:
        return f"the log knows it as version {known.payload.get('number')}"
    if known.actor != version.put_forward_by.key:
        return "it was put forward by somebody else, as the log has it"
    if known.payload.get("note") != version.note:
        return "its note to the signers is not the one that the log has"
    return "" if together(version.put_forward_at, known.at) else "its time is not the one that the log has"


def _document(version: Version) -> dict[str, Any]:
    """The document, or nothing where it cannot be read: that is then said of the version already."""
    try:
        found = json.loads(version.document)
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}


def standing(campaign: Campaign, proof: Proof) -> None:
    """Which version is out and which is locked, as the log has it."""
    out = locked = ""
    for entry in logged(campaign, "version.put-forward", "version.withdrawn", "version.declined", "version.locked"):
        out = entry.subject if entry.act == "version.put-forward" else ""
        locked = entry.subject if entry.act == "version.locked" else locked
    held = campaign.locked_version
    if held and f"version/{held.key}" != locked:
        proof.note("lock", f"version {held.number} is held as locked, and the log knows no such lock")
    if locked and held is None:
        proof.note("lock", "the log knows a lock, and the campaign has none")
    opened = f"version/{campaign.open_version.key}" if campaign.open_version else ""
    if opened != out:
        says = "a version is held as out for signature" if opened else "no version is held as out for signature"
        proof.note("signature", f"{says}, and the log has it otherwise")


@dataclass(frozen=True)
class _Answer:
    """What the log knows of an answer, and whether a sign-off was found for it."""

    number: Any
    by: str
    name: str
    told: dict[str, Any]
    at: datetime


def sign_offs(campaign: Campaign, proof: Proof, delegations: Mapping[str, Known]) -> None:
    """Each sign-off against its version and against the log, both ways; those given for somebody, by whose word."""
    known: dict[tuple[str, str, str], _Answer] = {}
    for entry in logged(campaign, "version.signed", "version.declined"):
        told = entry.payload
        signer = str(told.get("signer", entry.actor))
        known[entry.subject, signer, entry.act.partition(".")[2]] = _Answer(
            told.get("number"), entry.actor, entry.actor_name, told, entry.at
        )
    answers = SignOff.objects.filter(version__campaign=campaign)
    answers = answers.select_related("version", "member__user", "given_by__user")
    for answer in answers.defer("version__document").order_by("pk").iterator(chunk_size=100):
        proof.sign_offs += 1
        where = f"sign-off of {answer.member.user} on version {answer.version.number}"
        logged_as = known.pop((f"version/{answer.version.key}", answer.member.key, answer.answer), None)
        if answer.digest != answer.version.digest:
            proof.note(where, "its digest is not the version's")
        elif says := _sign_off(answer, campaign, logged_as):
            proof.note(where, says)
        elif answer.given_by and not any(
            one.covers(answer.member.key, answer.given_by.key, answer.at) for one in delegations.values()
        ):
            proof.note(where, f"the log does not know that {answer.given_by.user} could sign for them then")
        elif logged_as and logged_as.name != str(_giver(answer)):
            now = f"the account is now {_giver(answer)}: people change names"
            proof.remark(where, f"it was given by {logged_as.name}, and {now}")
    for (_, actor, given), left in known.items():
        told = f"the log knows that {left.name}, {actor}, {given} version {left.number}"
        proof.note("sign-offs", f"{told}, and the sign-off is gone or was changed")


def _giver(answer: SignOff) -> Member:
    return answer.given_by or answer.member


def _sign_off(answer: SignOff, campaign: Campaign, known: _Answer | None) -> str:
    told = known.told if known else {}
    if known is None or told.get("digest") != answer.digest:
        return "the log does not know it"
    if {answer.member.campaign_id, _giver(answer).campaign_id} != {campaign.pk}:
        return "it is of a member of another campaign"
    if known.by != _giver(answer).key:
        return "it was given by somebody else, as the log has it"
    if told.get("name") not in (None, answer.typed_name):
        return "the name typed is not the one that the log has"
    if told.get("reason") not in (None, answer.reason):
        return "its reason is not the one that the log has"
    # Entries from before this was kept name no sections, and their sign-offs none either.
    sections = answer.version.sections
    if answer.sections != {name: sections.get(name) for name in told.get("reads", [])}:
        return "the sections that it covers are not those of the version that the log names"
    return "" if together(known.at, answer.at) else "its time is not the one that the log has"
