"""Proving a campaign's rows against what the log vouches for: each must be what the last act that wrote it left.

Rows and digests are read some hundred at a time, so that memory grows with neither.
"""

from collections.abc import Collection, Iterator
from itertools import groupby, islice

from django.db import models
from django.db.models import Max

from portal.brief.models import Campaign
from portal.files.models import StoredFile
from portal.record.rows import GONE, rows_digest
from portal.sealing import told_rows
from portal.sealing.carried import Table, name_of
from portal.sealing.proof import MANY, Proof

_FROM_BEFORE = "no entry of the log vouches for them yet, as they are from before it did; the next act's will"


def rows(campaign: Campaign, proof: Proof) -> None:
    """Note each row that is not as the log has it, that the log does not know, or that is gone."""
    if not campaign.log.exclude(rows="").exists():
        proof.remark("rows", _FROM_BEFORE)
        return
    _digests(campaign, proof)
    for table in told_rows.told_tables():
        _table(campaign, table, proof)


def files(campaign: Campaign) -> Iterator[tuple[str, str]]:
    """The SHA-256 of every file to which a row refers, and what kind of row does: older revisions, files put aside."""
    for table in told_rows.told_tables():
        for one in told_rows.references(table):
            if one.related_model is StoredFile:
                held = told_rows.rows_of(table, campaign.pk).exclude(**{one.attname: None}).order_by()
                for sha256 in held.values_list(f"{one.name}__sha256", flat=True).distinct().iterator(chunk_size=MANY):
                    yield sha256, f"a {table._meta.verbose_name}"


def _digests(campaign: Campaign, proof: Proof) -> None:
    """The digests by themselves: all of one entry together have the digest that the entry covers."""
    kept = _by_entry(campaign)
    here = next(kept, None)
    entries = campaign.log.order_by("sequence").values_list("sequence", "rows")
    for sequence, vouched in entries.iterator(chunk_size=MANY):
        while here and here[0] < sequence:
            proof.note("rows", f"digests are kept for entry {here[0]}, which the log does not have")
            here = next(kept, None)
        found = ""
        if here and here[0] == sequence:
            found, here = here[1], next(kept, None)
        if found != vouched:
            proof.note("rows", f"the digests of what entry {sequence} wrote are not those that it vouches for")
    if here:
        proof.note("rows", f"digests are kept for entry {here[0]}, which the log does not have")


def _by_entry(campaign: Campaign) -> Iterator[tuple[int, str]]:
    kept = campaign.row_digests.order_by("sequence").values_list("sequence", "kind", "called", "digest")
    for sequence, some in groupby(kept.iterator(chunk_size=MANY), key=lambda one: one[0]):
        yield sequence, rows_digest((kind, called, digest) for _, kind, called, digest in some)


def _table(campaign: Campaign, table: Table, proof: Proof) -> None:
    there = told_rows.rows_of(table, campaign.pk).iterator(chunk_size=MANY)
    count = 0
    while some := {told_rows.called(row): row for row in islice(there, MANY)}:
        last = _last(campaign, table, some)
        count += len(some)
        for called, row in some.items():
            if says := _row(campaign, row, last.get(called)):
                proof.note_besides(_where(table, row), says)
    proof.rows += count
    _gone(campaign, table, proof)


def _row(campaign: Campaign, row: models.Model, last: tuple[int, str] | None) -> str:
    """What is wrong with a row, as the end of a sentence; empty for one that is as the log has it."""
    if last is None:
        return "no entry of the log knows it"
    sequence, digest = last
    if digest == GONE:
        return f"entry {sequence} of the log took it out, and it is there"
    try:
        found = told_rows.digest_of(row, campaign.row_salt)
    except ValueError:
        found = ""  # what has no canonical form was never written by us
    return "" if found == digest else f"it is not as entry {sequence} of the log left it"


def _last(campaign: Campaign, table: Table, called: Collection[str]) -> dict[str, tuple[int, str]]:
    """The newest entry that vouches for each of these rows, and the digest. A row may have been written any number of
    times: all of it is read as a stream."""
    kept = campaign.row_digests.filter(kind=name_of(table), called__in=list(called)).order_by("sequence")
    told = kept.values_list("called", "sequence", "digest").iterator(chunk_size=MANY)
    return {one: (sequence, digest) for one, sequence, digest in told}


def _gone(campaign: Campaign, table: Table, proof: Proof) -> None:
    """Rows that the log knows and that are not there."""
    of_table = campaign.row_digests.filter(kind=name_of(table)).order_by()
    newest = of_table.values("called").annotate(last=Max("sequence")).order_by("called").iterator(chunk_size=MANY)
    while some := {one["called"]: one["last"] for one in islice(newest, MANY)}:
        taken_out = set(of_table.filter(called__in=list(some), digest=GONE).values_list("called", "sequence"))
        waiting = {called for called, last in some.items() if (called, last) not in taken_out}
        for called in sorted(waiting - _there(campaign, table, waiting)):
            word = table._meta.verbose_name
            proof.note(f"{word} {called}", f"entry {some[called]} of the log knows it, and it is gone")


def _there(campaign: Campaign, table: Table, called: set[str]) -> set[str]:
    keyed = any(one.name == "key" for one in table._meta.concrete_fields)
    rows = told_rows.rows_of(table, campaign.pk)
    return {told_rows.called(row) for row in (rows.filter(key__in=called) if keyed else rows)}


def _where(table: Table, row: models.Model) -> str:
    """Which row, for people: "change 4", "prop Linen napkin"."""
    word, name = str(table._meta.verbose_name), str(row)
    return name if name.startswith(word) else f"{word} {name}"
