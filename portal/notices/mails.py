"""The mail that tells a member what is new: one campaign, every line with its link, and how to have less of it."""

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.core import signing
from django.core.mail import EmailMessage
from django.template.loader import render_to_string
from django.urls import reverse

from portal.notices import kinds, queries
from portal.notices.models import Notice
from portal.people.models import Member
from portal.sealing.models import LogEntry
from portal.site.sentences import Clause, count, sentence, told
from portal.talk import subjects

MOST = 25  # lines of one part; the campaign's page has the rest
_SALT = "portal.notices.stop"


def digest(member: Member, rows: Sequence[Notice], name: str) -> EmailMessage:
    """The mail of these notices, in the log's order; `name` (SHA-256) gives its Message-ID, RFC 5322, 3.6.4."""
    waiting, other = _told_once([row for row in rows if row.waits]), _told_once([row for row in rows if not row.waits])
    lines = _lines(member, [*waiting, *other])
    stop = settings.ADDRESS + reverse("portal:stop-mail", args=[stop_token(member)])
    words = {
        "lead": _lead(member, len(waiting), len(other)),
        "waiting": [lines[row.pk] for row in waiting[:MOST]],
        "other": [lines[row.pk] for row in other[:MOST]],
        "left_off": max(len(waiting) - MOST, 0) + max(len(other) - MOST, 0),
        "role": member.get_role_display().lower(),
        "wanted": queries.wanted_by(member).says,
        "campaign": settings.ADDRESS + reverse("portal:campaign", args=[member.campaign.key]),
        "change": settings.ADDRESS + reverse("portal:campaign-mail", args=[member.campaign.key]),
        "stop": stop,
    }
    text = render_to_string("portal/notices/digest.txt", words).rstrip() + "\n"
    subject = subject_line(member, len(waiting), len(other))
    headers = _headers(stop, name)
    return EmailMessage(subject, text, settings.DEFAULT_FROM_EMAIL, [member.user.email], headers=headers)


def subject_line(member: Member, waiting: int, other: int) -> str:
    """The campaign's code and how much there is: nothing that who looks over a shoulder should not read."""
    news = told([Clause(waiting, "thing", "waits for you", "wait for you")]) or f"{count(other, 'thing')} to read"
    # A code may have been given a line break, which must not begin a header of its own.
    return " ".join(f"{member.campaign.code}: {news.removesuffix('.').lower()}".split())


def stop_token(member: Member) -> str:
    """Proof that its holder had mail that was meant for this member. It does not end: nor does a mail in a folder."""
    return signing.Signer(salt=_SALT, sep=".").sign(member.key)


def read_stop_token(token: str) -> str:
    """The member's key. Raises BadSignature."""
    return signing.Signer(salt=_SALT, sep=".").unsign(token)


def _headers(stop: str, name: str) -> dict[str, str]:
    headers = {
        "Message-ID": f"<notice-{name[:40]}@{urlsplit(settings.ADDRESS).hostname or 'localhost'}>",
        "Auto-Submitted": "auto-generated",  # RFC 3834: no answer from who is away
        "List-Unsubscribe": f"<{stop}>",
    }
    # RFC 8058, 3.1: one click asks for an https address.
    if stop.startswith("https://"):
        headers["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    return headers


def _lead(member: Member, waiting: int, other: int) -> str:
    parts = []
    if waiting:
        parts.append(f"{count(waiting, 'thing')} {'waits' if waiting == 1 else 'wait'} for you")
    if other:
        parts.append(f"{count(other, 'thing')} {'is' if other == 1 else 'are'} to be read")
    return sentence(f"In the campaign {member.campaign.title}, {', and '.join(parts)}")


def _told_once(rows: Sequence[Notice]) -> list[Notice]:
    """One line for what is of one kind and seen on one page: the newest."""
    return list({(row.kind, row.link.partition("#")[0]): row for row in rows}.values())


def _lines(member: Member, rows: Sequence[Notice]) -> dict[int, dict[str, Any]]:
    entries = LogEntry.objects.filter(campaign_id=member.campaign_id, sequence__in=[row.sequence for row in rows])
    by_sequence = {entry.sequence: entry for entry in entries}
    found = subjects.many(
        member.campaign, [*(row.subject for row in rows), *(one.subject for one in by_sequence.values())]
    )
    things = {subject: thing.within for subject, thing in found.items()}
    return {
        row.pk: {
            "says": kinds.say(row.kind, by_sequence.get(row.sequence), things, row.subject),
            "link": settings.ADDRESS + row.link,
        }
        for row in rows
    }
