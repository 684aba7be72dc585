"""Proving a campaign whole: its log, its versions, its sign-offs and the files that its documents name."""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from django.core.files.storage import default_storage

from portal.brief import sections
from portal.brief.models import Campaign, Version
from portal.files.models import StoredFile
from portal.record import chain
from portal.record.proving import files_named, prove_version
from portal.sealing.models import LogEntry, SignOff


@dataclass
class Proof:
    """What was checked, and the breaks that were found, the first first: (where, what)."""

    entries: int = 0
    versions: int = 0
    sign_offs: int = 0
    files: int = 0
    bytes: int = 0
    breaks: list[tuple[str, str]] = field(default_factory=list)

    def note(self, where: str, says: str) -> None:
        self.breaks.append((where, says))


def prove(campaign: Campaign) -> Proof:
    """Check everything; nothing that is stored is trusted where it can be recomputed."""
    proof = Proof()
    _log(campaign, proof)
    versions = list(campaign.versions.order_by("number"))
    _versions(campaign, versions, proof)
    _sign_offs(campaign, versions, proof)
    _files(campaign, versions, proof)
    return proof


def _log(campaign: Campaign, proof: Proof) -> None:
    entries = LogEntry.objects.filter(campaign=campaign).order_by("sequence")
    found = chain.prove(_as_written(campaign, entries), length=campaign.log_length, head=campaign.log_head)
    proof.entries = entries.count()
    if found:
        proof.note("log", found.says)


def _as_written(campaign: Campaign, entries: Any) -> Iterator[dict[str, Any]]:
    """Each entry with the fields that its digest covers, one at a time."""
    for entry in entries.iterator(chunk_size=500):
        fields = {name: getattr(entry, name) for name in (*chain.FIELDS, "digest")}
        yield fields | {"campaign": campaign.key, "at": entry.at.isoformat()}


def _versions(campaign: Campaign, versions: list[Version], proof: Proof) -> None:
    """Each version by itself, and all against the log: a whole version put in another's place agrees with itself."""
    logged = _logged(campaign, "version.put-forward")
    proof.versions = len(versions)
    for version in versions:
        where = f"version {version.number}"
        known = logged.pop(f"version/{version.key}", {})
        says = prove_version(version.document, version.sections, version.digest)
        if not says and known.get("digest") != version.digest:
            says = "the log does not know it with this digest"
        if not says and _named_signers(version) != version.signers:
            says = "the signers kept with it are not those of its document"
        if says:
            proof.note(where, says)
    for entry in logged.values():
        proof.note(f"version {entry.get('number')}", "the log knows it, and it is gone")
    locked = list(_logged(campaign, "version.locked"))
    if campaign.locked_version and f"version/{campaign.locked_version.key}" not in locked:
        proof.note(
            "lock", f"version {campaign.locked_version.number} is held as locked, and the log knows no such lock"
        )
    if locked and campaign.locked_version is None:
        proof.note("lock", "the log knows a lock, and the campaign has none")


def _named_signers(version: Version) -> list[str]:
    return [signer["id"] for signer in _document(version).get("campaign", {}).get("signers", [])]


def _document(version: Version) -> dict[str, Any]:
    """The document, or nothing where it cannot be read: that is then said of the version already."""
    try:
        return json.loads(version.document)  # type: ignore[no-any-return]
    except ValueError:
        return {}


def _sign_offs(campaign: Campaign, versions: list[Version], proof: Proof) -> None:
    """Each sign-off against its version and against the log, both ways."""
    known: dict[tuple[str, str, str], Any] = {}
    for entry in campaign.log.filter(act__in=["version.signed", "version.declined"]):
        known[entry.subject, entry.actor, entry.act.partition(".")[2]] = entry.payload.get("digest")
    answers = SignOff.objects.filter(version__in=versions).select_related("version", "member__user")
    for answer in answers:
        proof.sign_offs += 1
        where = f"sign-off of {answer.member.user} on version {answer.version.number}"
        logged = known.pop((f"version/{answer.version.key}", answer.member.key, answer.answer), None)
        if answer.digest != answer.version.digest:
            proof.note(where, "its digest is not the version's")
        elif logged != answer.digest:
            proof.note(where, "the log does not know it")
    for _, actor, given in known:
        proof.note(
            "sign-offs", f"the log knows that {actor} {given} a version, and the sign-off is gone or was changed"
        )


def _logged(campaign: Campaign, act: str) -> dict[str, dict[str, Any]]:
    return {entry.subject: entry.payload for entry in campaign.log.filter(act=act)}


def _files(campaign: Campaign, versions: list[Version], proof: Proof) -> None:
    """Every file that a version or the draft names, read whole from the store."""
    named: dict[str, str] = {}
    for version in versions:
        for sha256 in files_named(_document(version)):
            named.setdefault(sha256, f"version {version.number}")
    for sha256 in files_named(sections.assemble(campaign)):
        named.setdefault(sha256, "the draft")
    rows = {row.sha256: row for row in StoredFile.objects.filter(sha256__in=named)}
    for sha256, where in named.items():
        proof.files += 1
        row = rows.get(sha256)
        says = _file(row, proof) if row else "the portal has no file of that digest"
        if says:
            proof.note(f"file {sha256[:8]} in {where}", says)


def _file(row: StoredFile, proof: Proof) -> str:
    try:
        with default_storage.open(row.path) as source:
            found, size = hashlib.sha256(), 0
            for chunk in source.chunks(1 << 20):
                found.update(chunk)
                size += len(chunk)
    except OSError:
        return "it is not in the store"
    proof.bytes += size
    if found.hexdigest() != row.sha256:
        return "its bytes are not those whose digest was kept"
    return "" if size == row.bytes else f"it has {size} bytes, and {row.bytes} were kept"
