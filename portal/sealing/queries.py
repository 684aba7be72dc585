"""Reads of what was sealed: versions with what became of them, and the log as its reader may see it."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import OuterRef, Q, QuerySet

from portal import access
from portal.access import Audience, May
from portal.brief import sections
from portal.brief.models import Campaign, Version
from portal.delegation import queries as delegation
from portal.people.models import Member
from portal.sealing.models import LogEntry, SignOff
from portal.site.sentences import joined


@dataclass
class Signer:
    """Somebody whose signature a version asks for, and the answer if it has come.

    `gone` says that they can no longer sign, so that the version can never be locked. `by` is who answered in their
    place. `waits_for` are those who sign before them. `void` ends the sentence "void: …" of a signature that does not
    hold. `but` are the titles of sections that whoever answered could not read and this page's reader can.
    """

    key: str
    name: str
    role: str
    answer: SignOff | None = None
    gone: bool = False
    by: str = ""
    waits_for: list[str] = field(default_factory=list)
    void: str = ""
    but: list[str] = field(default_factory=list)

    @property
    def told(self) -> str:
        """ "Ida Moss for Jon Field" where one answered in the other's place, else the name."""
        return f"{self.by} for {self.name}" if self.by else self.name

    @property
    def signed(self) -> bool:
        return self.answer is not None and self.answer.answer == SignOff.Answer.SIGNED

    def turn(self, reader: bool = False) -> str:
        """Whose signatures come before theirs, as a sentence, said to themself or to others; empty when none does."""
        if not self.waits_for:
            return ""
        sign = "signs" if len(self.waits_for) == 1 else "sign"
        whom = "you do" if reader else f"{self.name} does"
        return f"It waits for the agency: {joined(self.waits_for)} {sign} before {whom}."

    @property
    def for_all_but(self) -> str:
        """What whoever answered could not read, to follow "signed": "for all but Money"; empty when nothing."""
        return f"for all but {joined(self.but)}" if self.but else ""

    @property
    def stuck_says(self) -> str:
        """Why the version cannot be locked any more; empty while it can."""
        if not self.gone:
            return ""
        return (
            f"{self.name} can no longer sign, so this version cannot be locked. Withdraw it and put it forward again."
        )


@dataclass
class Standing:
    """A version and what became of it: state is "put forward", "locked", "declined", "withdrawn" or "superseded"."""

    version: Version
    state: str
    signers: list[Signer]
    reason: str = ""
    by: str = ""
    at: datetime | None = None

    @property
    def signed(self) -> list[Signer]:
        return [signer for signer in self.signers if signer.signed]

    @property
    def holds(self) -> bool:
        """Whether signatures on it count: it is locked, or may yet be."""
        return self.state in ("locked", "put forward")

    @property
    def awaited(self) -> list[Signer]:
        return [signer for signer in self.signers if signer.answer is None]

    def asks(self, member: Member) -> bool:
        """Whether this member's own signature is awaited now, and they may give it."""
        turn = {signer.key for signer in self.awaited if not signer.waits_for}
        return self.state == "put forward" and member.key in turn and access.may(member, May.SIGN_OFF)

    @property
    def void_says(self) -> str:
        """That the signatures on it hold no longer, and why, as a sentence; empty where none was given or all hold."""
        if self.holds or not self.signed:
            return ""
        its = "signature" if len(self.signed) == 1 else "signatures"
        are = "is" if len(self.signed) == 1 else "are"
        names = joined([signer.told for signer in self.signed])
        return f"The {its} of {names} {are} void: {self.signed[0].void}."

    @property
    def says_why(self) -> str:
        """Who declined or withdrew it, and why; empty for one that was not."""
        if not self.reason:
            return ""
        did = "declined" if self.state == "declined" else "withdrew"
        return f"{self.by} {did} version {self.version.number}: {self.reason}"

    @property
    def says(self) -> str:
        """Who has signed, who is awaited, whose turn comes later, in a sentence; empty where nobody was to sign."""
        signed = joined([signer.told for signer in self.signed])
        awaited = [signer.name for signer in self.awaited if not signer.waits_for]
        later = [signer.name for signer in self.awaited if signer.waits_for]
        said = []
        if signed:
            said.append(f"{signed} {'has' if len(self.signed) == 1 else 'have'} signed")
        if awaited:
            said.append(f"{joined(awaited)} {'is' if len(awaited) == 1 else 'are'} awaited")
        if later:
            said.append(f"{joined(later)} {'signs' if len(later) == 1 else 'sign'} after the agency")
        if not said:
            return ""
        *most, last = said
        told = f"{', '.join(most)}, and {last}." if most else f"{last}."
        return told if signed else f"Nobody has signed yet; {told}"


def versions(campaign: Campaign, reader: Member | None = None) -> list[Standing]:
    """All versions with what became of them, newest first; four queries, however many.

    Their documents are not read: they may be a megabyte each, and pages show one or two.
    """
    rows = campaign.versions.defer("document").select_related("put_forward_by__user").prefetch_related("sign_offs")
    around = _around(campaign, reader)
    return [_standing(version, around) for version in rows.order_by("-number")]


def standing_of(version: Version, campaign: Campaign, reader: Member | None = None) -> Standing:
    """What became of one version; three queries. `reader`: who is told what whoever signed could not read."""
    return _standing(version, _around(campaign, reader))


def why_it_came_back(campaign: Campaign) -> str:
    """Who declined or withdrew the version put forward last, and why; empty where none has come back. One query."""
    came_back = campaign.log.filter(act__in=["version.declined", "version.withdrawn"])
    last = came_back.order_by("-sequence").first()
    if last is None:
        return ""
    who, did = last.actor_name, "declined" if last.act == "version.declined" else "withdrew"
    return f"{who} {did} version {last.payload['number']}: {last.payload['reason']}"


@dataclass
class _Around:
    """What of its campaign a version's standing depends on."""

    campaign: Campaign
    withdrawn: dict[str, LogEntry]
    locks: list[int]  # numbers of versions that were locked, ascending
    members: dict[str, Member]
    titles: dict[str, str]  # of sections that the reader may read
    keys: dict[int, str] = field(init=False)

    def __post_init__(self) -> None:
        self.keys = {member.pk: key for key, member in self.members.items()}


def _around(campaign: Campaign, reader: Member | None) -> _Around:
    came = list(campaign.log.filter(act__in=["version.withdrawn", "version.locked"]))
    may = [one for one in sections.sections() if reader and access.may(reader, one.read)]
    return _Around(
        campaign,
        {entry.subject: entry for entry in came if entry.act == "version.withdrawn"},
        sorted(int(entry.payload["number"]) for entry in came if entry.act == "version.locked"),
        {member.key: member for member in Member.objects.filter(campaign=campaign).select_related("user")},
        {one.name: one.title for one in may},
    )


def _standing(version: Version, around: _Around) -> Standing:
    campaign, members = around.campaign, around.members
    answers = {around.keys[sign_off.member_id]: sign_off for sign_off in version.sign_offs.all()}
    signers = [_signer(key, answers.get(key), version, around) for key in version.signers]
    declined = next((key for key, a in answers.items() if a.answer == SignOff.Answer.DECLINED), None)
    if version.pk == campaign.locked_version_id:
        return Standing(version, "locked", signers, at=max((answer.at for answer in answers.values()), default=None))
    if version.pk == campaign.open_version_id:
        if campaign.sign_in_order:
            _in_order(signers, members)
        return Standing(version, "put forward", signers)
    if declined:
        answer, who = answers[declined], _giver(answers[declined], around)
        return _void(Standing(version, "declined", signers, answer.reason, who, answer.at), "the version was declined")
    if entry := around.withdrawn.get(f"version/{version.key}"):
        who = str(members[entry.actor].user) if entry.actor in members else entry.actor_name
        here = Standing(version, "withdrawn", signers, str(entry.payload["reason"]), who, entry.at)
        return _void(here, "the version was withdrawn")
    later = next((number for number in around.locks if number > version.number), None)
    took = f"version {later}" if later else "a later version"
    return _void(Standing(version, "superseded", signers), f"{took} took its place")


def _giver(answer: SignOff, around: _Around) -> str:
    """Who answered: "Ida Moss", or "Ida Moss for Jon Field"."""
    name = str(around.members[around.keys[answer.member_id]].user)
    by = around.keys.get(answer.given_by_id or 0)
    return f"{around.members[by].user} for {name}" if by else name


def _void(here: Standing, why: str) -> Standing:
    for signer in here.signed:
        signer.void = why
    return here


def _in_order(signers: list[Signer], members: dict[str, Member]) -> None:
    """Say of each who is not yet asked whose signatures come first."""
    for signer in signers:
        if signer.answer is None and signer.key in members:
            before = access.side_that_signs_before(members[signer.key].role)
            ahead = [one for one in signers if one.key in members and members[one.key].side == before]
            signer.waits_for = [one.name for one in ahead if not one.signed]


def _signer(key: str, answer: SignOff | None, version: Version, around: _Around) -> Signer:
    member = around.members.get(key)
    if member is None:
        return Signer(key, "somebody unknown", "", answer, gone=True)
    gone = answer is None and (member.left_at is not None or not access.may(member, May.SIGN_OFF))
    signer = Signer(key, str(member.user), member.get_role_display(), answer, gone)
    if answer and answer.given_by_id in around.keys:
        signer.by = str(around.members[around.keys[answer.given_by_id]].user)
    # An answer from before this was kept says nothing of it.
    if answer and answer.sections:
        unread = version.sections.keys() - answer.sections.keys()
        signer.but = [title for name, title in around.titles.items() if name in unread]
    return signer


@dataclass(frozen=True)
class Place:
    """A signature that a reader may give now or later: their own, or that of somebody in whose place they answer."""

    signer: Signer
    own: bool

    @property
    def in_turn(self) -> bool:
        return not self.signer.waits_for

    @property
    def says(self) -> str:
        """What is awaited, or for whom it waits, in a sentence that goes on from a version's number."""
        if says := self.signer.turn(self.own):
            return says
        return "It waits for your signature." if self.own else f"It waits for your signature for {self.signer.name}."


def places(here: Standing, member: Member) -> list[Place]:
    """The signatures of a version that this member may give, their own first; one query while it is out."""
    if here.state != "put forward":
        return []
    awaited = {signer.key: signer for signer in here.awaited if not signer.gone}
    found = [Place(awaited[member.key], True)] if member.key in awaited else []
    keys = [one.signer.key for one in delegation.held_by([member])]
    return found + [Place(awaited[key], False) for key in keys if key in awaited]


def asked_now(here: Standing) -> list[str]:
    """Keys of the members whose signature a version awaits now: where signing has an order, those whose turn it is."""
    if here.state != "put forward":
        return []
    return [signer.key for signer in here.awaited if not signer.waits_for and not signer.gone]


def answer_of(signer: str, version: Version, by: Member) -> SignOff | None:
    """What `by` answered to this version for the signer with this key."""
    given = version.sign_offs.filter(member__key=signer).first()
    return given if given and by.pk == (given.given_by_id or given.member_id) else None


def withdrawn_so(version: Version, by: Member, reason: str) -> bool:
    """Whether this member withdrew this version in these words."""
    entries = LogEntry.objects.filter(campaign=by.campaign_id, act="version.withdrawn", actor=by.key)
    return any(entry.payload["reason"] == reason.strip() for entry in entries.filter(subject=f"version/{version.key}"))


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
