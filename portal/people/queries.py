"""Reads about people: what waits for one of them, and who is in a campaign."""

from collections import Counter
from collections.abc import Iterable
from datetime import timedelta

from django.db.models import BigIntegerField, Count, F, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django.utils import timezone

from portal import access
from portal.brief.models import Campaign
from portal.brief.queries import seats
from portal.changes.queries import to_decide_by
from portal.people.models import INVITATION_LASTS, Invitation, Member, User
from portal.people.waiting import Waiting
from portal.sealing.asking import Signature, signatures
from portal.talk.models import Comment


def waiting(user: User) -> list[Waiting]:
    """The person's campaigns, those that wait for them first, else newest first. Eight queries at most."""
    mine = list(seats(user))
    wanted = signatures(mine)
    answers, decide = _open_comments(mine), to_decide_by(mine)
    rows = [_waiting(seat, wanted[seat.pk], answers, decide[seat.pk]) for seat in mine]
    return sorted(rows, key=lambda row: not row.waits)


def invitations_to(user: User) -> QuerySet[Invitation]:
    """Open invitations to this person's address, newest first."""
    return (
        Invitation.objects.filter(
            email=user.email, accepted_at=None, withdrawn_at=None, sent_at__gt=timezone.now() - INVITATION_LASTS
        )
        .select_related("campaign", "invited_by__user")
        .order_by("-sent_at")
    )


def members(campaign: Campaign) -> QuerySet[Member]:
    """The people in the campaign now, in the order in which they came."""
    return campaign.members.active().select_related("user")


def unanswered(campaign: Campaign) -> QuerySet[Invitation]:
    """Invitations that nobody has taken or withdrawn, those that have ended too."""
    return campaign.invitations.filter(accepted_at=None, withdrawn_at=None).select_related("invited_by__user")


def recently(sent: Invitation) -> bool:
    """Whether it went out so lately that sending it again would only annoy."""
    return timezone.now() - sent.sent_at < timedelta(minutes=1) and not sent.mail_failed


def _waiting(seat: Member, wanted: Signature, answers: Counter[tuple[int, str]], decide: int) -> Waiting:
    campaign = seat.campaign
    is_draft = campaign.open_version is None and campaign.locked_version_id is None
    return Waiting(
        seat=seat,
        sign=wanted.own and not wanted.early,
        signed=wanted.given,
        mend=campaign.standing.get("by_role", {}).get(seat.role, 0) if is_draft else 0,
        answer=sum(answers[campaign.pk, audience] for audience in access.audiences(seat)),
        early=wanted.early,
        sign_for=wanted.others,
        decide=decide,
    )


def _open_comments(mine: Iterable[Member]) -> Counter[tuple[int, str]]:
    """How many open threads, by campaign and audience, in which somebody else has the last word."""
    mine = list(mine)
    newest = Comment.objects.filter(answers=OuterRef("pk")).order_by("-written_at", "-pk").values("author_id")[:1]
    open_threads = (
        Comment.objects.filter(campaign__in=[seat.campaign_id for seat in mine], answers=None, resolved_at=None)
        .annotate(last=Coalesce(Subquery(newest), F("author_id"), output_field=BigIntegerField()))
        .exclude(last__in=[seat.pk for seat in mine])
        .order_by()
        .values_list("campaign_id", "audience")
        .annotate(many=Count("pk"))
    )
    return Counter({(campaign, audience): many for campaign, audience, many in open_threads})
