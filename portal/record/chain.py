"""The log's chain: each entry's digest covers its fields and the digest before it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from portal.record.canonical import canonical, digest

START = "0" * 64
FIELDS = ("campaign", "sequence", "at", "actor", "actor_name", "act", "subject", "payload", "audience", "before")
# The digest of the rows that the act wrote (rows.py): only of entries that have it, so that older ones stay proven.
ROWS = "rows"


@dataclass(frozen=True)
class Break:
    """The first place where a chain does not hold."""

    sequence: int
    says: str


def entry_digest(entry: Mapping[str, Any]) -> str:
    """SHA-256 over the canonical form of an entry's FIELDS, and of its ROWS where it has them; `at` is ISO 8601 in UTC.

    The first key of the hashed object names its kind, so that no other document can have an entry's digest.
    """
    rows = {ROWS: entry[ROWS]} if entry.get(ROWS) else {}
    return digest(canonical({"kind": "log entry", **{name: entry[name] for name in FIELDS}, **rows}))


def _recomputed(entry: Mapping[str, Any]) -> str:
    try:
        return entry_digest(entry)
    except ValueError:
        return ""  # what has no canonical form was never written by us


def prove(entries: Iterable[Mapping[str, Any]], *, length: int, head: str) -> Break | None:
    """Recompute a chain from its entries, in order; None if it holds, else the first break.

    Trusts nothing stored but what it is given: `length` and `head` are what the campaign says its log has.
    Memory does not grow with the chain.
    """
    before, count = START, 0
    for count, entry in enumerate(entries, start=1):
        sequence = int(entry["sequence"])
        if sequence != count:
            return Break(count, f"entry {count} is missing: the next one has number {sequence}")
        if entry["before"] != before:
            return Break(sequence, f"entry {sequence} does not follow the one before it")
        if _recomputed(entry) != entry["digest"]:
            return Break(sequence, f"entry {sequence} was altered after it was written")
        before = str(entry["digest"])
    if count != length:
        return Break(count + 1, f"the log has {count} entries and should have {length}")
    if before != head:
        return Break(count, "the last entry is not the one that the campaign knows")
    return None
