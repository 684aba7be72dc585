"""Where a brief stands, in words: the lead sentence and the lines of what is owed. No query is made here."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from portal import access
from portal.access import May, Role
from portal.brief.finding import LEVELS, Finding
from portal.brief.sections import words_for
from portal.people.models import Member
from portal.site.addresses import of_each
from portal.site.sentences import Clause, English, count, joined, sentence, standing, told

_KINDS_TOLD = 3
# Of a finding's key in addresses: enough that two never meet.
SHORT = 16
_LETTERS = 130  # of a lead that can be read at a glance, beside what closes it


@dataclass(frozen=True)
class Line:
    """One line of what is owed: what it is, what it wants, where it is mended, and who can mend it."""

    what: str
    wants: str
    url: str
    who: str
    mine: bool
    must: bool
    waived: bool = False
    # Where a signer can waive it; empty for others, and where nobody can.
    waive: str = ""


def lead(found: Iterable[Finding]) -> str:
    """What stands between the draft and its lock: "Three layouts are still owed. Nothing else stands between …"."""
    kinds: dict[str, list[Finding]] = {}
    for finding in found:
        if finding.level == "must-fix":
            kinds.setdefault(finding.kind or finding.says, []).append(finding)
    groups = list(kinds.values())
    told_now = _KINDS_TOLD
    while told_now > 1 and len(_told(groups[:told_now])) > _LETTERS:
        told_now -= 1
    said, rest = _told(groups[:told_now]), sum(len(group) for group in groups[told_now:])
    if not said:
        return standing([])
    return f"{said} {told([Clause(rest, 'other thing', *_STAND)]) or English.NOTHING_ELSE}"


def waived_words(found: Iterable[Finding]) -> str:
    """How many things signers have waived, as a sentence; empty for none."""
    many = sum(finding.level == "waived" for finding in found)
    return told([Clause(many, "thing", "is waived by a signer", "are waived by signers")])


def _told(groups: Sequence[Sequence[Finding]]) -> str:
    """Kinds that have words in one sentence; each of the others in one of its own."""
    spoken = [(group, words_for(group[0].kind)) for group in groups]
    clauses = [Clause(len(group), *words) for group, words in spoken if words]
    return joined_sentences(told(clauses), *(_alike(group) for group, words in spoken if not words))


_STAND = ("stands between this brief and the lock", "stand between this brief and the lock")


def joined_sentences(*parts: str) -> str:
    """Sentences one after the other; those that are empty are left out."""
    return " ".join(part for part in parts if part)


def _alike(group: Sequence[Finding]) -> str:
    if len(group) == 1:
        return sentence(group[0].says)
    return sentence(f"{group[0].says.rstrip('.')}, and {count(len(group) - 1, 'more', 'more')} like it")


def lines(found: Iterable[Finding], member: Member, members: Iterable[Member], most: int | None = None) -> list[Line]:
    """A line for each finding, or for the first `most`: must-fix before worth-a-look, and in each half what this reader
    owes first."""
    holders: dict[str, list[str]] = {}
    for person in members:
        holders.setdefault(person.role, []).append(str(person.user))
    known: dict[tuple[Role, ...], str] = {}
    waives = _way_to_waive(member)
    ordered = sorted(found, key=lambda one: (LEVELS.index(one.level), member.role not in one.roles))
    return [_line(finding, member, holders, known, waives) for finding in ordered[:most]]


def _way_to_waive(member: Member) -> Callable[[Finding], str]:
    """Where this reader can waive a finding, if they may."""
    if not access.may(member, May.SIGN_OFF):
        return lambda _: ""
    address = of_each("portal:waive", member.campaign.key)
    return lambda finding: address(finding.key[:SHORT]) if must_and_may_be_waived(finding) else ""


def must_and_may_be_waived(finding: Finding) -> bool:
    """Whether it stands between the brief and the lock, and a signer can say that it need not."""
    return finding.level == "must-fix" and finding.waivable


def _line(
    finding: Finding,
    member: Member,
    holders: dict[str, list[str]],
    known: dict[tuple[Role, ...], str],
    waives: Callable[[Finding], str],
) -> Line:
    # Hundreds of findings share a handful of roles.
    who = known.get(finding.roles)
    if who is None:
        who = known[finding.roles] = _who(finding.roles, holders)
    return Line(
        what=finding.what,
        wants=waived_by(finding) or finding.wants,
        url=finding.place(member.role),
        who="" if finding.waiver else who,
        mine=member.role in finding.roles,
        must=finding.level == "must-fix",
        waived=finding.level == "waived",
        waive=waives(finding),
    )


def waived_by(finding: Finding) -> str:
    """Who waived a finding, and why: "waived by Ida Moss: …"; empty for one that nobody has."""
    return f"waived by {finding.waiver.typed_name}: {finding.waiver.reason}" if finding.waiver else ""


def _who(roles: Sequence[Role], holders: dict[str, list[str]]) -> str:
    """Who can mend it: people by name while they are few, else their roles; and roles that nobody has yet."""
    if not roles:
        return ""
    names = [name for role in roles for name in holders.get(role, [])]
    if not names:
        return f"{joined([Role(role).label.lower() for role in roles], 'or')}, not yet invited"
    if len(names) <= 2:
        return joined(names, "or")
    return f"{names[0]} or {count(len(names) - 1, 'other')}"


def next_step(found: Sequence[Finding], member: Member) -> str:
    """What follows when nothing must be fixed any more; empty while something must."""
    if any(finding.level == "must-fix" for finding in found):
        return ""
    rest = sum(finding.level == "worth-a-look" for finding in found)
    look = told([Clause(rest, "thing", "is worth a look first", "are worth a look first")])
    if access.may(member, May.PUT_FORWARD):
        return joined_sentences(look, "Put it forward to have it signed.")
    return "It waits to be put forward."
