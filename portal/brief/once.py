"""One effect for one form: a second click, or the same request sent again, is answered as the first was.

A form carries a random word. An act that makes something keeps in its log entry the digest of that word and of all that
was sent with it; who sends the same again finds that entry. The word alone would not do: going back in the browser and
adding a second, different thing sends it again. The digest alone would not do either: two equal props are two props.
"""

import hashlib
from typing import Any

from portal.brief.models import Campaign
from portal.keys import new_key
from portal.people.models import Member
from portal.sealing.models import LogEntry

FIELD = "once"
# How far back in the campaign's log a form that is sent again is still known.
_LAST = 500
_CHARACTERS = 24


def word() -> str:
    """A new word for a form."""
    return new_key()


def digest_of(request: Any) -> str:
    """The digest of a form as it was sent; empty where it carries no word."""
    if not request.POST.get(FIELD):
        return ""
    sent = hashlib.sha256(request.path.encode())
    for name in sorted(set(request.POST) - {"csrfmiddlewaretoken"}):
        sent.update(repr((name, request.POST.getlist(name))).encode())
    for name in sorted(request.FILES):
        for file in request.FILES.getlist(name):
            sent.update(repr((name, file.name, file.size, getattr(file, "sha256", ""))).encode())
    return sent.hexdigest()[:_CHARACTERS]


def mark(once: str) -> dict[str, Any]:
    """What the act's log entry keeps."""
    return {"once": once} if once else {}


def done(by: Member, once: str) -> list[LogEntry]:
    """The entries of the act that this form has led to already, in order; with the campaign's row held."""
    if not once:
        return []
    newest = LogEntry.objects.filter(campaign=by.campaign_id).order_by("-sequence").values_list("sequence", flat=True)
    last = newest.first() or 0
    found = LogEntry.objects.filter(campaign=by.campaign_id, sequence__gt=last - _LAST, actor=by.key)
    return list(found.filter(payload__once=once).order_by("sequence"))


def removed(campaign: Campaign, key: str) -> LogEntry | None:
    """The entry that tells of the removal of a thing: a second click on "Remove" finds it gone, and is answered so."""
    found = LogEntry.objects.filter(campaign=campaign, subject__endswith=f"/{key}", act__endswith=".removed")
    return found.order_by("-sequence").first()


def key(entry: LogEntry) -> str:
    """The key of the thing that an entry is about."""
    return entry.subject.partition("/")[2]
