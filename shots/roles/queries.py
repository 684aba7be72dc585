"""Reads of role answers: every role of the job with whoever does it."""

from dataclasses import dataclass, field

from portal.brief import reading
from portal.brief.campaign_section import people
from portal.models import Campaign, Member
from portal.site.sentences import joined
from shots.roles.models import CREW, RoleAnswer

Answer = RoleAnswer.Answer


@dataclass
class Seat:
    """One role of the job and what is answered for it.

    `id` is the role's word ("lighting") or, of one that was added, its row's key. `who` names the people who do it,
    themselves or for another; `wants` says what is missing, as a sentence, and is empty where it is answered.
    """

    id: str
    title: str
    row: RoleAnswer | None = None
    members: list[Member] = field(default_factory=list)
    answer: str = Answer.OPEN
    who: list[str] = field(default_factory=list)
    covered_by: "Seat | None" = None
    wants: str = ""

    @property
    def added(self) -> bool:
        """Whether it is a role that this job needs besides the usual ones."""
        return bool(self.row and not self.row.role)

    @property
    def mark(self) -> str:
        """What a form of this role was drawn from; empty before there is a row."""
        return self.row.mark if self.row else ""

    @property
    def given(self) -> bool:
        """Whether somebody in the campaign works in this role, so that no answer is asked for."""
        return bool(self.members)

    @property
    def says(self) -> str:
        """The answer in words."""
        if self.wants:
            return self.wants
        if self.covered_by:
            return f"Covered by the {self.covered_by.title.lower()}, {joined(self.who)}."
        if self.answer == Answer.NOT_NEEDED and self.row:
            return f"Not needed, agreed by {self.row.agreed_by}: {self.row.reason}"
        return f"{joined(self.who)}{', who works on this campaign' if self.given and len(self.who) == 1 else ''}."


def seats(campaign: Campaign) -> list[Seat]:
    """Every role of the crew in the table's order, then those that were added; two queries."""
    rows = list(campaign.role_answers.select_related("member__user"))
    here = people(campaign)
    by_role = {row.role: row for row in rows if row.role}
    found = [Seat(role.value, role.label, by_role.get(role), [m for m in here if m.role == role]) for role in CREW]
    found += [Seat(row.key, row.title, row) for row in rows if not row.role]
    for seat in found:
        _themselves(seat)
    by_id = {seat.id: seat for seat in found}
    for seat in found:
        _for_another(seat, by_id)
    return found


def read(campaign: Campaign) -> list[Seat]:
    """The same, read once while a document or readiness is drawn up."""
    return reading.once(campaign, "roles", lambda: seats(campaign))


def _themselves(seat: Seat) -> None:
    """What is known of a role without looking at the others."""
    row = seat.row
    if seat.given:
        seat.answer, seat.who = Answer.NAMED, [str(member.user) for member in seat.members]
    elif row is None or row.answer == Answer.OPEN:
        seat.wants = f"The role of {seat.title.lower()} has no answer: nobody is named, and nobody covers it."
    elif row.answer == Answer.NAMED:
        gone = row.member is not None and row.member.left_at is not None
        seat.answer, seat.who = Answer.NAMED, [] if gone else [str(row.member.user) if row.member else row.name]
        if gone and row.member:
            seat.wants = f"{row.member.user}, named as {seat.title.lower()}, has left the campaign."
    else:
        seat.answer = Answer(row.answer)


def _for_another(seat: Seat, by_id: dict[str, Seat]) -> None:
    """Who covers it; a role covers another only where somebody is named in it."""
    if seat.answer != Answer.COVERED or seat.row is None:
        return
    other = by_id.get(seat.row.covered_by)
    if other is not None and other.answer == Answer.NAMED and other.who:
        seat.covered_by, seat.who = other, other.who
        return
    named = f"the {other.title.lower()}" if other else "a role that is no longer there"
    seat.wants = f"The role of {seat.title.lower()} is to be covered by {named}, and nobody is named for that."
