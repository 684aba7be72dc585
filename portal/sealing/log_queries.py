"""Reads of the log, as its reader may see it."""

from collections.abc import Iterable

from django.db.models import OuterRef, Q, QuerySet

from portal import access
from portal.access import Audience, May
from portal.people.models import Member
from portal.sealing.models import LogEntry


def log_for(member: Member, *, who: str = "", topic: str = "") -> QuerySet[LogEntry]:
    """The entries that this member may read, newest first; of one person (a member's key), of one of TOPICS.

    What was said for one side is read by that side; edits of the draft by who may read the draft; the rest of the
    readers see what became of versions. An entry's number is not shown: gaps would count what somebody may not read.
    """
    audiences = [*access.audiences(member), Audience.EVERYONE]
    found = LogEntry.objects.filter(campaign_id=member.campaign_id, audience__in=audiences)
    if not access.may(member, May.READ_DRAFT):
        found = found.filter(act__startswith="version.")
    for begins, act in _ASKS.items():
        if not access.may(member, act):
            found = found.exclude(act__startswith=begins)
    if who:
        found = found.filter(actor=who)
    if topic in TOPICS:
        found = found.filter(_begins_with(TOPICS[topic][1]))
    elif topic:
        found = found.exclude(_begins_with([begins for _, acts in TOPICS.values() for begins in acts]))
    return found.order_by("-sequence")


def _begins_with(acts: Iterable[str]) -> Q:
    found = Q()
    for begins in acts:
        found |= Q(act__startswith=begins)
    return found


def reads_the_whole_log(member: Member) -> bool:
    """Whether no entry is kept from this member: only then can a chain be proven from what they read."""
    everything = {Audience.EVERYONE, Audience.WORKING, Audience.BUYING} <= set(access.audiences(member))
    return everything and all(access.may(member, act) for act in (May.READ_DRAFT, *_ASKS.values()))


# What the log can be read by: a word for addresses, its label, and how its acts begin. "other" is what is left.
TOPICS: dict[str, tuple[str, tuple[str, ...]]] = {
    "versions": ("Versions and signatures", ("version.", "change.", "waiver.", "signing.")),
    "terms": ("Terms", ("terms.", "campaign.")),
    "shots": ("Shots and pictures", ("shot.", "light.", "camera.", "mockup.", "hero.")),
    "layouts": ("Formats and layouts", ("format.", "placement.", "layout.")),
    "food": ("Food and props", ("food.", "recipe.", "prop.")),
    "talk": ("Talk", ("comment.",)),
    "people": ("People and roles", ("member.", "invitation.", "person.", "role.")),
}


def edits_since(member: Member, sequence: int | OuterRef) -> QuerySet[LogEntry]:
    """The acts on the brief that this member may read, of those after an entry: talk and people are no part of it."""
    later = log_for(member).filter(sequence__gt=sequence)
    for begins in ("comment.", "member.", "invitation.", "person.", "campaign.", "signing."):
        later = later.exclude(act__startswith=begins)
    return later.order_by()


# Acts whose entries ask for more than the draft does; later topics add theirs here.
_ASKS: dict[str, May] = {"comment.": May.COMMENT, "terms.round-priced": May.SEE_ESTIMATE}
