"""Proving a log that was exported as JSON Lines, by the file alone."""

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from portal.record import chain

KIND = "log of a campaign"


@dataclass(frozen=True)
class Exported:
    """What the first line of an exported log says of it. `whole`: it is every entry, and can be proven."""

    campaign: str
    code: str
    whole: bool
    entries: int
    head: str


class Unreadable(ValueError):
    """The file is no exported log; its text is a sentence."""


def first_line(line: str) -> Exported:
    """Read the first line. Raises Unreadable."""
    try:
        told = json.loads(line)
        if told["kind"] != KIND:
            raise KeyError
        return Exported(
            str(told["campaign"]), str(told["code"]), told["whole"] is True, int(told["entries"]), str(told["head"])
        )
    except (ValueError, KeyError, TypeError) as wrong:
        raise Unreadable("The first line does not say that this is the log of a campaign.") from wrong


def prove(told: Exported, lines: Iterable[str]) -> chain.Break | None:
    """Prove the lines after the first; None if they hold. Memory does not grow with them. For whole logs alone."""
    return chain.prove(_entries(told, lines), length=told.entries, head=told.head)


def _entries(told: Exported, lines: Iterable[str]) -> Iterator[dict[str, Any]]:
    """Each line as an entry; one that is none is an entry that cannot hold, so that the proof names its place."""
    for count, line in enumerate(lines, start=1):
        broken = {"sequence": count, "before": "", "digest": "altered"} | {
            name: "" for name in chain.FIELDS if name not in ("sequence", "before")
        }
        try:
            entry = json.loads(line)
            whole = isinstance(entry, dict) and {*chain.FIELDS, "digest"} <= entry.keys()
            number = isinstance(entry["sequence"], int) if whole else False
        except ValueError:
            whole = number = False
        yield entry if whole and number and entry["campaign"] == told.campaign else broken
