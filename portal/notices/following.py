"""Following the log: who must act because of an entry, who may want to know, and what is settled by it.

All of it happens in the act's own transaction. Nobody is told of what they did themselves, or of what they may not
read. A member is told once of an entry; where two rules meet, the first holds.
"""

from collections.abc import Callable, Iterable
from datetime import date, timedelta
from typing import Any

from django.urls import reverse
from django.utils import timezone

from portal import access
from portal.access import May
from portal.brief.models import Campaign, Version
from portal.changes import queries as changes
from portal.changes.models import Change
from portal.delegation import queries as delegation
from portal.notices import actions
from portal.notices.actions import Told
from portal.notices.kinds import KINDS
from portal.notices.models import Notice
from portal.people.models import Member
from portal.sealing import queries as sealed
from portal.sealing.models import LogEntry
from portal.sealing.signals import appended
from portal.talk import subjects
from portal.talk.models import Comment

Rule = Callable[["Act"], Iterable[Told]]
# An act of talk is told of at most once so long to a person and a thread.
TALK_PAUSE = timedelta(hours=1)
_TO_SIGN = ("sign", "turn", "stand-in")
_TO_DECIDE = ("change", "pivot")


class Act:
    """An entry of the log with what its rules ask for."""

    def __init__(self, entry: LogEntry) -> None:
        self.entry = entry
        self.campaign = Campaign.objects.select_related("open_version").get(pk=entry.campaign_id)
        here = self.campaign.members.active().filter(user__is_active=True).exclude(key=entry.actor)
        self.members: list[Member] = list(here.select_related("user"))
        for member in self.members:
            member.campaign = self.campaign

    @property
    def key(self) -> str:
        """The key of what the entry is about."""
        return self.entry.subject.partition("/")[2]

    def who_may(self, may: May) -> list[Member]:
        return access.those_who_may(self.members, may)

    def named(self, keys: Iterable[str]) -> list[Member]:
        keys = set(keys)
        return [member for member in self.members if member.key in keys]

    def told(self, members: Iterable[Member], kind: str, link: str, *, waits: bool = False) -> list[Told]:
        may = access.those_who_may(members, KINDS[kind].reads)
        return [Told(member, kind, self.entry.subject, link, waits) for member in may]

    def page(self, name: str, *args: Any) -> str:
        return reverse(f"portal:{name}", args=[self.campaign.key, *args])

    def version(self) -> Version:
        return self.campaign.versions.defer("document").get(key=self.key)

    def version_page(self) -> str:
        return self.page("version", self.entry.payload["number"])

    def thing_page(self) -> str:
        """Where the entry's subject is seen; the campaign's first page where it has no page of its own."""
        found = subjects.many(self.campaign, [self.entry.subject]).get(self.entry.subject)
        return found.url if found else self.page("campaign")


def asks(member: Member) -> bool:
    """Whether the version that is out awaits a signature that this member may give now, their own or another's."""
    version = member.campaign.open_version
    if version is None:
        return False
    return any(place.in_turn for place in sealed.places(sealed.standing_of(version, member.campaign), member))


def _waits_for(member: Member) -> bool:
    """Whether a signature or a decision is awaited of this member, their own or another's."""
    return asks(member) or bool(changes.to_decide(member))


def _to_sign(act: Act, kind: str) -> list[Told]:
    """Those who are asked now and have not been told of this version."""
    told = set(
        Notice.objects.filter(kind__in=_TO_SIGN, subject=act.entry.subject).values_list("member__key", flat=True)
    )
    turn = set(sealed.asked_now(sealed.standing_of(act.version(), act.campaign)))
    stand_in = {one.delegate_id for one in delegation.held_by(act.members) if one.signer.key in turn}
    asked = [one for one in act.members if one.key in turn or one.pk in stand_in]
    link = act.version_page()
    return [Told(one, kind, act.entry.subject, link, waits=True) for one in asked if one.key not in told]


def _put_forward(act: Act) -> list[Told]:
    return _to_sign(act, "sign")


def _signed(act: Act) -> list[Told]:
    return _to_sign(act, "turn")


def _came_back(act: Act) -> list[Told]:
    """A declined version waits for whoever put it forward; the signers hear of it."""
    version = act.version()
    kind = act.entry.act.removeprefix("version.")
    author = [one for one in act.members if one.pk == version.put_forward_by_id]
    link = act.page("campaign")
    return [
        *act.told(author, kind, link, waits=kind == "declined"),
        *act.told([one for one in act.named(version.signers) if one not in author], kind, link),
    ]


def _locked(act: Act) -> list[Told]:
    return act.told(act.members, "locked", act.version_page())


def _delegated(act: Act) -> list[Told]:
    other = act.named([str(act.entry.payload.get("delegate", ""))])
    link = act.page("campaign")
    return [told for one in other for told in act.told([one], "delegated", link, waits=_waits_for(one))]


def _delegation_ended(act: Act) -> list[Told]:
    other = act.named([str(act.entry.payload.get("delegate", ""))])
    return act.told(other, "delegation-ended", act.page("campaign"))


def _recipe_asked(act: Act) -> list[Told]:
    link = f"{reverse('shots:lists', args=[act.campaign.key])}#food-{act.key}"
    return act.told(act.members, "recipe", link, waits=True)


def _recipe_confirmed(act: Act) -> list[Told]:
    link = f"{reverse('shots:lists', args=[act.campaign.key])}#food-{act.key}"
    return act.told(_who_did(act, "recipe.asked"), "recipe-confirmed", link)


def _change_raised(act: Act) -> list[Told]:
    """Those who may decide it, for themselves or in the place of who is away."""
    kind = "pivot" if act.entry.payload.get("kind") == Change.Kind.PIVOT else "change"
    deciding = [*act.who_may(May.DECIDE_CHANGE), *(one for one, _ in changes.stand_ins(act.members))]
    link = act.thing_page()
    return [Told(one, kind, act.entry.subject, link, waits=True) for one in dict.fromkeys(deciding)]


def _change_decided(act: Act) -> list[Told]:
    kind = act.entry.act.replace(".", "-")
    return act.told(_who_did(act, "change.raised"), kind, act.thing_page())


def _waived(act: Act) -> list[Told]:
    return act.told(act.who_may(May.PUT_FORWARD), "waiver", act.page("campaign"))


def _overlays_asked(act: Act) -> list[Told]:
    """Whoever holds the camera lays them over live view, and need not have asked for them."""
    link = reverse("layouts:set-overlays", args=[act.campaign.key, act.key])
    return act.told(act.members, "overlays", link)


def _capture_accepted(act: Act) -> list[Told]:
    """Where no single frame serves a placement, those whose layouts it is for may want another crop or format."""
    if not act.entry.payload["not_served"]:
        return []
    link = reverse("layouts:capture", args=[act.campaign.key, act.key])
    return act.told(act.members, "capture-unserved", link)


def _who_did(act: Act, before: str) -> list[Member]:
    """Whoever did an earlier act on the same thing."""
    earlier = act.campaign.log.filter(act=before, subject=act.entry.subject).order_by("-sequence").first()
    return act.named([earlier.actor]) if earlier else []


def _talked(act: Act) -> list[Told]:
    """The other sides, as far as they may read it, and each at most once an hour for a thread."""
    comment = Comment.objects.select_related("author", "answers").get(key=act.entry.payload["comment"])
    thread = comment.answers or comment
    kind, _, key = thread.subject.partition("/")
    link = f"{act.page('thread', kind, key)}#comment-{comment.key}"
    about = f"thread/{thread.key}"
    lately = Notice.objects.filter(subject=about, made_at__gt=timezone.now() - TALK_PAUSE)
    told = set(lately.values_list("member_id", flat=True))
    may = act.who_may(access.comment_act(comment.audience))
    others = [one for one in may if one.side != comment.author.side and one.pk not in told]
    said = "answer" if comment.answers_id else "comment"
    return [Told(one, said, about, link) for one in others]


_RULES: dict[str, Rule] = {
    "version.put-forward": _put_forward,
    "version.signed": _signed,
    "version.declined": _came_back,
    "version.withdrawn": _came_back,
    "version.locked": _locked,
    "signing.delegated": _delegated,
    "signing.delegation-ended": _delegation_ended,
    "recipe.asked": _recipe_asked,
    "recipe.confirmed": _recipe_confirmed,
    "change.raised": _change_raised,
    "change.accepted": _change_decided,
    "change.refused": _change_decided,
    "waiver.given": _waived,
    "overlays.asked": _overlays_asked,
    "capture.accepted": _capture_accepted,
    "comment.written": _talked,
    "comment.answered": _talked,
}
# What an act settles: kinds of notices on the same subject.
_SETTLES: dict[str, tuple[str, ...]] = {
    "version.declined": _TO_SIGN,
    "version.withdrawn": _TO_SIGN,
    "version.locked": _TO_SIGN,
    "signing.delegation-ended": ("delegated",),
    "recipe.confirmed": ("recipe",),
    "food.removed": ("recipe",),
    "change.accepted": _TO_DECIDE,
    "change.refused": _TO_DECIDE,
    "change.withdrawn": _TO_DECIDE,
    "overlays.asked": ("overlays-undrawn",),
    "layout.sent": ("fault", "unread"),
    "layout.stands-again": ("fault", "unread"),
    "layout.window-corrected": ("fault", "unread"),
    "layout.tried-again": ("unread",),
    "mockup.sent": ("unread",),
    "mockup.stands-again": ("unread",),
    "mockup.tried-again": ("unread",),
}


def follow(sender: Any, entry: LogEntry, **_: Any) -> None:
    """Note who is told of an entry, and settle what it answers."""
    mine = Notice.objects.filter(member__campaign=entry.campaign_id, settled_at=None)
    if kinds := _SETTLES.get(entry.act):
        actions.settle(mine.filter(kind__in=kinds, subject=entry.subject))
    if entry.act == "version.put-forward":
        actions.settle(mine.filter(kind="declined"))
    if entry.act == "version.signed":
        _settle_signed(mine.filter(kind__in=_TO_SIGN, subject=entry.subject), entry)
    if rule := _RULES.get(entry.act):
        actions.note(rule(Act(entry)), entry.sequence)


def _settle_signed(mine: Any, entry: LogEntry) -> None:
    """Whoever has no signature left to give is no longer asked, whoever gave it."""
    campaign = Campaign.objects.select_related("open_version").get(pk=entry.campaign_id)
    rows = list(mine.select_related("member__user"))
    for row in rows:
        row.member.campaign = campaign
    actions.settle(row for row in rows if not asks(row.member))


def remind_delegates(today: date) -> None:
    """On a delegation's first day, or when a worker is next there: tell who signs now of what waits for it, the version
    that is out and changes to be decided.

    Whoever was asked on the day itself was told by that, and of a version put forward later its own act tells. Any
    number of times: a member is told once of an entry.
    """
    for one in delegation.begun(today):
        version, member = one.campaign.open_version, one.delegate
        member.campaign = one.campaign
        out = one.campaign.log.filter(act="version.put-forward").order_by("-sequence").first()
        if version and out and asks(member):
            link = reverse("portal:version", args=[one.campaign.key, version.number])
            actions.note([Told(member, "stand-in", out.subject, link, waits=True)], out.sequence)
        raised = [f"change/{change.key}" for change in changes.to_decide(member)]
        for entry in one.campaign.log.filter(act="change.raised", subject__in=raised):
            told = [told for told in _change_raised(Act(entry)) if told.member.pk == member.pk]
            actions.note(told, entry.sequence)


def still(member: Member, rows: Iterable[Notice]) -> set[int]:
    """Which of a member's notices they may be told of now and, where one waits for them, for which that holds still."""
    rows = list(rows)
    own = (*_TO_SIGN, *_TO_DECIDE)
    readable = [row for row in rows if access.may(member, KINDS[row.kind].reads) or row.kind in own]
    audience = _audiences([row for row in readable if row.subject.startswith("thread/")])
    kept = [row for row in readable if row.subject not in audience or audience[row.subject] in access.audiences(member)]
    signs = any(row.kind in _TO_SIGN for row in kept) and asks(member)
    decides = any(row.kind in _TO_DECIDE for row in kept) and changes.decides(member)
    holds = dict.fromkeys(_TO_SIGN, signs) | dict.fromkeys(_TO_DECIDE, decides)
    return {row.pk for row in kept if holds.get(row.kind, True)}


def _audiences(rows: Iterable[Notice]) -> dict[str, str]:
    keys = [row.subject.partition("/")[2] for row in rows]
    found = Comment.objects.filter(key__in=keys).values_list("key", "audience") if keys else []
    return {f"thread/{key}": audience for key, audience in found}


def connect() -> None:
    """Listen to the log; called once from AppConfig.ready."""
    appended.connect(follow, dispatch_uid="portal.notices")
