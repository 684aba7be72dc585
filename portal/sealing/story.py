"""The campaign's log as it leaves the portal: JSON Lines, one entry each, after a line that says what it is.

Whoever may read every entry gets the chain: take "says" and "digest" from a line, write the rest in canonical form
(RFC 8785), and its SHA-256 is the digest; each line's "before" is the digest of the line before it. Who reads a part
gets neither numbers nor digests: they would count what was kept back, and a part proves nothing.
"""

import json
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any

from portal.brief.models import Campaign
from portal.people.models import Member
from portal.record import chain, exported
from portal.sealing import log_queries, words
from portal.sealing.models import LogEntry
from portal.talk import subjects

A_CHUNK = 500
_OPEN = ("at", "actor", "actor_name", "act", "subject", "payload", "audience")
_WHOLE = "Every entry of the log, in its chain. Prove it with: manage.py verify_campaign --log FILE"
_PART = (
    "A part of the log: what its reader may read. Entries were kept back, so that the chain cannot be proven from it."
)


def lines(member: Member) -> Iterator[str]:
    """The log as this member may read it, oldest first, up to what it holds now. Memory does not grow with it."""
    campaign = Campaign.objects.get(pk=member.campaign_id)
    whole = log_queries.reads_the_whole_log(member)
    told = {"kind": exported.KIND, "campaign": campaign.key, "code": campaign.code, "title": campaign.title}
    if whole:
        yield _line(told | {"whole": True, "entries": campaign.log_length, "head": campaign.log_head, "says": _WHOLE})
    else:
        yield _line(told | {"whole": False, "entries": 0, "head": "", "says": _PART})
    entries = log_queries.log_for(member).filter(sequence__lte=campaign.log_length).order_by("sequence")
    for some in _chunks(entries.iterator(chunk_size=A_CHUNK)):
        named = subjects.many(campaign, {entry.subject for entry in some})
        for entry in some:
            plain = as_plain(entry, campaign.key)
            if not whole:
                plain = {"kind": "log entry"} | {name: plain[name] for name in _OPEN}
            yield _line(plain | {"says": words.say(entry, named)})


def _chunks(entries: Iterable[LogEntry]) -> Iterator[list[LogEntry]]:
    waiting = iter(entries)
    while some := list(islice(waiting, A_CHUNK)):
        yield some


def as_plain(entry: LogEntry, campaign: str) -> dict[str, Any]:
    """An entry with its kind, all that its digest covers, and its digest."""
    own = {"campaign": campaign, "at": entry.at.isoformat()}  # the campaign of every entry would cost a query each
    fields = {name: own[name] if name in own else getattr(entry, name) for name in (*chain.FIELDS, "digest")}
    if entry.rows:
        fields[chain.ROWS] = entry.rows
    return {"kind": "log entry"} | fields


def _line(plain: dict[str, Any]) -> str:
    return json.dumps(plain, ensure_ascii=False) + "\n"
