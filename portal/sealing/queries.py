"""Reads of versions: what became of them, which signatures they await, who answered what."""

from dataclasses import dataclass, field

from portal import access
from portal.access import May
from portal.brief import sections
from portal.brief.models import Campaign, Version
from portal.delegation import queries as delegation
from portal.people.models import Member
from portal.sealing.models import LogEntry, SignOff
from portal.sealing.signatures import Place, Signer, Standing


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
    """Who declined or withdrew the version put forward last, and why; empty where none has come back since the last
    lock. One query."""
    ended = campaign.log.filter(act__in=["version.declined", "version.withdrawn", "version.locked"])
    last = ended.order_by("-sequence").first()
    if last is None or last.act == "version.locked":
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
