"""Reads of notices: how somebody wants to be told, and whose mail is due."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo, available_timezones

from django.conf import settings
from django.db.models import Max, Min, Q, QuerySet

from portal.notices.models import MemberWish, Notice, PersonWish, Wish
from portal.people.models import Member, User

How = Wish.How
_MARGIN = timedelta(minutes=1)  # beyond the time that a piece of work may take


@dataclass(frozen=True)
class Wanted:
    """How a member is told. `own`: whether they said so of this very campaign. `zone` is where `hour` is meant."""

    how: str
    hour: int
    zone: ZoneInfo
    own: bool = False

    @property
    def says(self) -> str:
        """ "once a day, at 08:00", to end a sentence."""
        words = {
            How.AT_ONCE: "at once",
            How.DAILY: f"once a day, at {self.hour:02}:00",
            How.WAITS: "only of what waits for you",
            How.NONE: "nothing by mail",
        }
        return words[How(self.how)]

    def last_hour(self, now: datetime) -> datetime:
        """When the day's mail last was due."""
        here = now.astimezone(self.zone)
        due = here.replace(hour=self.hour, minute=0, second=0, microsecond=0)
        # In one time zone Python counts days by the clock on the wall, also where the clocks change.
        return due if due <= here else due - timedelta(days=1)


def default_of(user: User) -> Wanted:
    """How a person is told of campaigns of which they said nothing."""
    wish = PersonWish.objects.filter(user=user).first()
    return _wanted(None, wish)


def wanted_by(member: Member) -> Wanted:
    """How this member is told of the campaign; no query where the wishes came with the row (`with_wishes`)."""
    return _wanted(getattr(member, "notice_wish", None), getattr(member.user, "notice_wish", None))


def with_wishes(members: QuerySet[Member]) -> QuerySet[Member]:
    """The members with their people and wishes, in the same query."""
    return members.select_related("user__notice_wish", "notice_wish", "campaign")


def seats_of(user: User) -> list[tuple[Member, Wanted]]:
    """The person's campaigns with how each is told, newest first; one query."""
    mine = with_wishes(Member.objects.active().filter(user=user)).order_by("-campaign__started_at", "-pk")
    return [(member, wanted_by(member)) for member in mine]


def _wanted(own: MemberWish | None, default: PersonWish | None) -> Wanted:
    wish: Wish = own or default or PersonWish()
    return Wanted(wish.how, wish.hour, zone_of(default.time_zone if default else ""), own is not None)


def zone_of(name: str) -> ZoneInfo:
    """A time zone; the portal's for "" and for one that this machine does not know."""
    return ZoneInfo(name if name in available_timezones() else settings.TIME_ZONE)


def zone_named_by(user: User) -> str:
    """The time zone that a person gave; empty where they have the portal's."""
    return PersonWish.objects.filter(user=user).values_list("time_zone", flat=True).first() or ""


def unsent() -> QuerySet[Notice]:
    """Those neither sent nor settled; a mail may be on its way with some."""
    return Notice.objects.filter(sent_at=None, settled_at=None)


def to_send(now: datetime) -> QuerySet[Notice]:
    """Those that no mail is on its way with: a claim runs out once no worker can still be at it."""
    ran_out = now - timedelta(seconds=settings.WORK_SECONDS) - _MARGIN
    return unsent().filter(Q(claimed_at=None) | Q(claimed_at__lt=ran_out))


@dataclass(frozen=True)
class Due:
    """A member whose notices are to be looked at, the oldest of them and the newest one's number in the log."""

    member: Member
    oldest: datetime
    newest: int


def due(now: datetime) -> list[Due]:
    """Members whose mail is due: at once means once acts had a moment to gather. Two queries, however many."""
    found = {
        row["member"]: row
        for row in to_send(now).order_by().values("member").annotate(oldest=Min("made_at"), newest=Max("sequence"))
    }
    members = with_wishes(Member.objects.filter(pk__in=found))
    return [
        Due(member, found[member.pk]["oldest"], found[member.pk]["newest"])
        for member in members
        if _is_due(wanted_by(member), found[member.pk]["oldest"], now)
    ]


def _is_due(wanted: Wanted, oldest: datetime, now: datetime) -> bool:
    if wanted.how == How.DAILY:
        return oldest <= wanted.last_hour(now)
    return oldest <= now - timedelta(seconds=settings.NOTICE_SECONDS)


def zones() -> Iterable[str]:
    """Names of places with a time of their own, as people know them."""
    return sorted(name for name in available_timezones() if name.split("/")[0] in _REGIONS and "/" in name)


_REGIONS = {"Africa", "America", "Antarctica", "Asia", "Atlantic", "Australia", "Europe", "Indian", "Pacific"}
