"""Proving a campaign whole: its log, versions, sign-offs, changes, waivers, members, all of its rows, and the files
that it names.

Nothing that is stored is trusted where it can be recomputed. Rows are read one after the other, so that memory does not
grow with the log or with the number of versions.
"""

import hashlib
from collections.abc import Mapping

from django.core.files.storage import default_storage

from portal.brief import sections
from portal.brief.models import Campaign
from portal.files.models import StoredFile
from portal.record import chain
from portal.record.proving import files_named
from portal.sealing import (
    verify_changes,
    verify_delegations,
    verify_draft,
    verify_people,
    verify_rows,
    verify_sealed,
    verify_waivers,
)
from portal.sealing.models import LogEntry
from portal.sealing.proof import MANY, Proof
from portal.sealing.story import as_plain


def prove(campaign: Campaign) -> Proof:
    """Check everything."""
    proof = Proof()
    named: dict[str, str] = {}  # SHA-256 of each file to where it is named
    with proof.reading("log"):
        _log(campaign, proof)
    with proof.reading("versions"):
        named |= verify_sealed.versions(campaign, proof)
    with proof.reading("lock"):
        verify_sealed.standing(campaign, proof)
    delegations: Mapping[str, verify_delegations.Known] = {}
    with proof.reading("delegations"):
        delegations = verify_delegations.delegations(campaign, proof)
    with proof.reading("sign-offs"):
        verify_sealed.sign_offs(campaign, proof, delegations)
    with proof.reading("changes"):
        named = verify_changes.changes(campaign, proof, delegations) | named
    with proof.reading("waivers"):
        verify_waivers.waivers(campaign, proof)
    with proof.reading("members"):
        verify_people.members(campaign, proof)
    with proof.reading("draft"):
        document = sections.assemble(campaign)
        verify_draft.draft(campaign, document, proof)
        named = dict.fromkeys(files_named(document), "the draft") | named
    with proof.reading("rows"):
        verify_rows.rows(campaign, proof)
    _files(dict(verify_rows.files(campaign)) | named, proof)
    return proof


def _log(campaign: Campaign, proof: Proof) -> None:
    entries = LogEntry.objects.filter(campaign=campaign).order_by("sequence")
    proof.entries = entries.count()
    written = (as_plain(entry, campaign.key) for entry in entries.iterator(chunk_size=MANY))
    if found := chain.prove(written, length=campaign.log_length, head=campaign.log_head):
        proof.note("log", found.says)


def _files(named: dict[str, str], proof: Proof) -> None:
    """Every file that a document or a row names, read whole from the store. `named`: SHA-256 to where it is named."""
    waiting = list(named)
    for at in range(0, len(waiting), MANY):
        some = waiting[at : at + MANY]
        rows = {row.sha256: row for row in StoredFile.objects.filter(sha256__in=some)}
        for sha256 in some:
            proof.files += 1
            row = rows.get(sha256)
            if says := _file(row, proof) if row else "the portal has no file of that digest":
                proof.note(f"file {sha256[:8]} in {named[sha256]}", says)


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
