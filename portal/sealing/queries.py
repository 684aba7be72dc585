"""Reads of what was sealed: versions with what became of them, and the log as its reader may see it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q, QuerySet

from portal import access
from portal.access import Audience, May
from portal.brief.models import Campaign, Version
from portal.people.models import Member
from portal.sealing.models import LogEntry, SignOff
from portal.site.sentences import joined


@dataclass
class Signer:
    """Somebody whose signature a version asks for, and the answer if it has come.

    `gone` says that they can no longer sign, so that the version can never be locked.
    """

    key: str
    name: str
    role: str
    answer: SignOff | None = None
    gone: bool = False

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
        return [s for s in self.signers if s.answer and s.answer.answer == SignOff.Answer.SIGNED]

    @property
    def awaited(self) -> list[Signer]:
        return [signer for signer in self.signers if signer.answer is None]

    def asks(self, member: Member) -> bool:
        """Whether this member's signature is awaited, and they may give it."""
        awaited = {signer.key for signer in self.awaited}
        return self.state == "put forward" and member.key in awaited and access.may(member, May.SIGN_OFF)

    @property
    def says_why(self) -> str:
        """Who declined or withdrew it, and why; empty for one that was not."""
        if not self.reason:
            return ""
        did = "declined" if self.state == "declined" else "withdrew"
        return f"{self.by} {did} version {self.version.number}: {self.reason}"

    @property
    def says(self) -> str:
        """Who has signed and who is awaited, as a sentence; empty for a version without signers."""
        signed, awaited = joined([s.name for s in self.signed]), joined([s.name for s in self.awaited])
        have = "has" if len(self.signed) == 1 else "have"
        are = "is" if len(self.awaited) == 1 else "are"
        if signed and awaited:
            return f"{signed} {have} signed, and {awaited} {are} awaited."
        if signed:
            return f"{signed} {have} signed."
        return f"Nobody has signed yet; {awaited} {are} awaited." if awaited else ""


def versions(campaign: Campaign) -> list[Standing]:
    """All versions with what became of them, newest first; four queries, however many.

    Their documents are not read: they may be a megabyte each, and pages show one or two.
    """
    rows = campaign.versions.defer("document").select_related("put_forward_by__user").prefetch_related("sign_offs")
    withdrawn = {e.subject: e for e in campaign.log.filter(act="version.withdrawn")}
    members = {m.key: m for m in Member.objects.filter(campaign=campaign).select_related("user")}
    return [_standing(version, campaign, withdrawn, members) for version in rows.order_by("-number")]


def standing_of(version: Version, campaign: Campaign) -> Standing:
    """What became of one version; three queries."""
    withdrawn = {e.subject: e for e in campaign.log.filter(act="version.withdrawn", subject=f"version/{version.key}")}
    members = {m.key: m for m in Member.objects.filter(campaign=campaign).select_related("user")}
    return _standing(version, campaign, withdrawn, members)


def why_it_came_back(campaign: Campaign) -> str:
    """Who declined or withdrew the version put forward last, and why; empty where none has come back. One query."""
    came_back = campaign.log.filter(act__in=["version.declined", "version.withdrawn"])
    last = came_back.order_by("-sequence").first()
    if last is None:
        return ""
    who, did = last.actor_name, "declined" if last.act == "version.declined" else "withdrew"
    return f"{who} {did} version {last.payload['number']}: {last.payload['reason']}"


def _standing(
    version: Version, campaign: Campaign, withdrawn: dict[str, LogEntry], members: dict[str, Member]
) -> Standing:
    keys = {member.pk: key for key, member in members.items()}
    answers = {keys[sign_off.member_id]: sign_off for sign_off in version.sign_offs.all()}
    signers = [_signer(key, members.get(key), answers.get(key)) for key in version.signers]
    declined = next((key for key, a in answers.items() if a.answer == SignOff.Answer.DECLINED), None)
    if version.pk == campaign.locked_version_id:
        return Standing(version, "locked", signers, at=max((answer.at for answer in answers.values()), default=None))
    if version.pk == campaign.open_version_id:
        return Standing(version, "put forward", signers)
    if declined:
        answer = answers[declined]
        return Standing(version, "declined", signers, answer.reason, str(members[declined].user), answer.at)
    if entry := withdrawn.get(f"version/{version.key}"):
        who = str(members[entry.actor].user) if entry.actor in members else entry.actor_name
        return Standing(version, "withdrawn", signers, str(entry.payload["reason"]), who, entry.at)
    return Standing(version, "superseded", signers)


def _signer(key: str, member: Member | None, answer: SignOff | None) -> Signer:
    if member is None:
        return Signer(key, "somebody unknown", "", answer, gone=True)
    gone = answer is None and (member.left_at is not None or not access.may(member, May.SIGN_OFF))
    return Signer(key, str(member.user), member.get_role_display(), answer, gone)


def answer_of(member: Member, digest: str) -> SignOff | None:
    """What this member answered to the version with this digest."""
    return SignOff.objects.filter(member=member, digest=digest).first()


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
    "versions": ("Versions and signatures", ("version.", "change.", "waiver.")),
    "terms": ("Terms", ("terms.", "campaign.")),
    "shots": ("Shots and pictures", ("shot.", "light.", "camera.", "mockup.", "hero.")),
    "layouts": ("Formats and layouts", ("format.", "placement.", "layout.")),
    "food": ("Food and props", ("food.", "recipe.", "prop.")),
    "talk": ("Talk", ("comment.",)),
    "people": ("People", ("member.", "invitation.", "person.")),
}


def edits_since(member: Member, sequence: int) -> int:
    """How many acts on the brief this member may read, of those after an entry: talk and people are no part of it."""
    later = log_for(member).filter(sequence__gt=sequence)
    for begins in ("comment.", "member.", "invitation.", "person.", "campaign."):
        later = later.exclude(act__startswith=begins)
    return later.order_by().count()


# Acts whose entries ask for more than the draft does; later topics add theirs here.
_ASKS: dict[str, May] = {"comment.": May.COMMENT}
