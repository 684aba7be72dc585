"""What a member last looked at: keeping it, reading it again, and how much has happened since.

It is the reader's own bookmark and no act in the campaign, so the log does not tell of it.
"""

import json
import zlib
from typing import Any

from django.db.models import Count, OuterRef, Subquery
from django.utils import timezone
from django.utils.timezone import localtime

from portal import access
from portal.access import May
from portal.brief import comparing, documents
from portal.brief.models import Campaign, Look
from portal.people.models import Member
from portal.record.canonical import canonical
from portal.record.proving import files_named
from portal.sealing import log_queries
from portal.site.sentences import count, sentence


def newest(member: Member) -> documents.Brief | None:
    """The brief that holds for this reader: locked, out for signature, or the draft for who may read it."""
    campaign = member.campaign
    if campaign.locked_version_id or campaign.open_version_id or access.may(member, May.READ_DRAFT):
        return documents.current(campaign)
    return None


def keep(by: Member, brief: documents.Brief) -> None:
    """Keep that this member has looked at this brief: they are told what comes after. Raises PermissionDenied.

    One statement, so that two windows of one person need no lock.
    """
    access.need(by, May.READ_DRAFT if brief.is_draft else May.READ_VERSIONS)
    look = Look(
        member=by,
        at=timezone.now(),
        number=brief.number,
        digest=brief.digest,
        sections=brief.digests,
        document=zlib.compress(canonical(comparing.readable(by, brief.document))),
        # As it was before the brief was drawn up: an act of this very moment is told of rather than missed.
        log_length=by.campaign.log_length,
    )
    fields = ["at", "number", "digest", "sections", "document", "log_length"]
    Look.objects.bulk_create([look], update_conflicts=True, unique_fields=["member"], update_fields=fields)


def seen(look: Look) -> dict[str, Any]:
    """The document that this member last looked at: the sections that they could read."""
    document: dict[str, Any] = json.loads(zlib.decompress(bytes(look.document)))
    return document


def in_a_version(campaign: Campaign, section: str, sha256: str) -> bool:
    """Whether a version that was put forward names this file in this section."""
    texts = campaign.versions.filter(document__contains=f'"{sha256}"').values_list("document", flat=True)
    return any(sha256 in files_named(json.loads(text).get(section)) for text in texts.iterator(chunk_size=1))


def news(member: Member) -> str:
    """What this member is told on their first page: how often the brief was changed since they looked; empty for none.

    Counted in the log as they may read it: one query, whatever the size of the brief.
    """
    later = log_queries.edits_since(member, OuterRef("log_length")).values("campaign").annotate(n=Count("pk"))
    look = Look.objects.filter(member=member).annotate(later=Subquery(later.values("n"))).values_list("at", "later")
    at, many = look.first() or (None, None)
    if at is None or not many:
        return ""
    on = localtime(at)
    day = f"{on.day} {on:%B} at {on:%H:%M}"
    edits = f"{count(many, 'thing')} {'has' if many == 1 else 'have'} happened to the brief"
    return sentence(f"since you last looked, on {day}, {edits}")
