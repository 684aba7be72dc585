"""Acts on notices: noting, settling, handing over to the worker, claiming for a mail; and how somebody wants them.

None of them is an act on a campaign, so no log tells of them. Who is told of what is said in following.py.
"""

import logging
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from portal.notices import queries
from portal.notices.models import MemberWish, Notice, PersonWish, Wish
from portal.people.models import Member, User
from portal.record.canonical import canonical, digest
from portal.work.actions import owe

log = logging.getLogger("brieflock.mail")
# A mail that could not be handed over for so long is given up: what waits still stands in the person's list.
GIVE_UP = timedelta(days=3)


@dataclass(frozen=True)
class Told:
    """One member to be told: the kind of notice, what it is about, where it is seen, whether it waits for them."""

    member: Member
    kind: str
    subject: str
    link: str
    waits: bool = False


def note(told: Iterable[Told], sequence: int) -> None:
    """Note who is told of an entry of the log; a member that was noted for it already is not noted again."""
    now = timezone.now()
    rows = [
        Notice(
            member=one.member, sequence=sequence, kind=one.kind, subject=one.subject, link=one.link, waits=one.waits,
            made_at=now,
        )
        for one in told
    ]  # fmt: skip
    Notice.objects.bulk_create(rows, ignore_conflicts=True)


def settle(notices: Iterable[Notice]) -> None:
    """Nothing of these is to be sent any more."""
    keys = [notice.pk for notice in notices]
    Notice.objects.filter(pk__in=keys, settled_at=None).update(settled_at=timezone.now())


def gather(now: datetime) -> int:
    """Owe a mail to every member whose notices are due; how many. Whoever calls it twice owes nothing more."""
    found = queries.due(now)
    for one in found:
        # After its tries a piece of work has failed for good: a later one has another number, for another try.
        pause = 600 if now - one.oldest < timedelta(hours=2) else 3600
        with transaction.atomic():
            owe("portal.digest", 1, member=one.member.key, through=one.newest, turn=int(now.timestamp()) // pause)
    return len(found)


@dataclass(frozen=True)
class Claimed:
    """Notices for one mail, in the log's order, and that mail's name: the same whenever it is tried again."""

    name: str
    rows: Sequence[Notice]


@transaction.atomic
def claim(member_key: str, still: Callable[[Member, Sequence[Notice]], set[int]]) -> Claimed | None:
    """Take a member's notices for one mail, so that nobody else sends them; None where there is nothing to send.

    What an earlier mail took and did not see off goes first, alone and under that mail's name: had it arrived after
    all, the receiving side knows the second one by its Message-ID. `still` says which (primary keys) may be told and,
    where they wait, do so still; the others are settled. `sent` or `release` follows.
    """
    member = _held(member_key)
    if member is None:
        return None
    now = timezone.now()
    rows = list(queries.to_send(now).filter(member=member))
    earlier = next((row.mail for row in rows if row.mail), "")
    rows = [row for row in rows if row.mail == earlier]
    wanted = _wanted(member, rows, still, now)
    settle(row for row in rows if row.pk not in wanted)
    mine = [row for row in rows if row.pk in wanted]
    if not mine:
        return claim(member_key, still) if rows else None
    name = earlier or digest(canonical([member.key, [row.sequence for row in mine]]))
    Notice.objects.filter(pk__in=wanted).update(claimed_at=now, mail=name)
    return Claimed(name, mine)


def sent(claimed: Claimed) -> None:
    """Its mail has been handed over."""
    _of(claimed).update(sent_at=timezone.now(), claimed_at=None)


def release(claimed: Claimed) -> None:
    """Give back what was claimed for a mail that could not be handed over."""
    _of(claimed).update(claimed_at=None)


def _of(claimed: Claimed) -> QuerySet[Notice]:
    return Notice.objects.filter(pk__in=[row.pk for row in claimed.rows])


def _held(member_key: str) -> Member | None:
    held = Member.objects.select_for_update().filter(key=member_key).first()
    return queries.with_wishes(Member.objects.all()).get(pk=held.pk) if held else None


def _wanted(
    member: Member, rows: Sequence[Notice], still: Callable[[Member, Sequence[Notice]], set[int]], now: datetime
) -> set[int]:
    how = queries.wanted_by(member).how
    if member.left_at or not member.user.is_active or how == Wish.How.NONE:
        return set()
    asked = [row for row in rows if row.waits or how != Wish.How.WAITS]
    old = [row for row in asked if row.made_at < now - GIVE_UP]
    if old:
        log.warning("%s notices of member %s were never handed over and are given up", len(old), member.key)
    return still(member, [row for row in asked if row not in old])


@transaction.atomic
def wish_of_person(by: User, *, how: str, hour: int, time_zone: str = "") -> PersonWish:
    """Say how one wants to be told of every campaign that has no wish of its own. Raises ValidationError."""
    row = PersonWish.objects.filter(user=by).first() or PersonWish(user=by)
    row.how, row.hour, row.time_zone = how, hour, time_zone
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def wish_of_member(by: Member, *, how: str, hour: int) -> None:
    """Say how one wants to be told of this campaign; an empty `how` is as for all. Raises ValidationError."""
    if not how:
        MemberWish.objects.filter(member=by).delete()
        return
    row = MemberWish.objects.filter(member=by).first() or MemberWish(member=by)
    row.how, row.hour = how, hour
    row.full_clean()
    row.save()


@transaction.atomic
def stop(by: Member) -> None:
    """No more mail about this campaign, nor what is under way. Any number of times."""
    MemberWish.objects.update_or_create(member=by, defaults={"how": Wish.How.NONE})
    settle(queries.unsent().filter(member=by))
