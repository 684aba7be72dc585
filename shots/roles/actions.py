"""Acts on role answers."""

from collections.abc import Callable

from django.core.exceptions import ValidationError
from django.db import transaction

from portal.access import May, Role
from portal.brief import once as forms
from portal.brief.both import leave_if_touched
from portal.brief.draft import open_draft, refuse
from portal.models import Campaign, Member
from portal.sealing import log
from shots.roles import queries
from shots.roles.models import CREW, RoleAnswer

Answer = RoleAnswer.Answer
# The mark of the answer that a form was drawn from (RoleAnswer.mark, "" for none yet); None where nobody looked.
Read = str | None
_FIELDS = ("name", "contact", "covered_by", "agreed_by", "reason")


@transaction.atomic
def name_person(
    by: Member, role: str, *, name: str = "", contact: str = "", member: str = "", read: Read = None
) -> RoleAnswer:
    """Name who does it: somebody in the campaign (`member`, a key), or somebody outside with how to reach them.

    `role` is a role of the crew ("retoucher") or the key of one that was added; `read` is the mark of the answer that
    the editor had before them. Raises PermissionDenied, BriefClosed, RoleAnswer.DoesNotExist, Member.DoesNotExist (also
    for one who has left), ValidationError, also where the role was answered since `read`.
    """
    campaign, row = _row(by, role)
    seat = campaign.members.active().get(key=member) if member else None
    if seat and name.strip():
        raise refuse("name", "Choose somebody from the campaign, or write a name: not both.")
    if not seat and not name.strip():
        raise refuse("name", "Say who it is.")
    if not seat and not contact.strip():
        raise refuse("contact", "Say how they are reached: a telephone number or an e-mail address.")
    return _keep(by, row, read, Answer.NAMED, member=seat, name=name, contact="" if seat else contact)


@transaction.atomic
def cover(by: Member, role: str, *, covered_by: str, read: Read = None) -> RoleAnswer:
    """Say that whoever does another role does this one too; somebody must be named in that.

    Raises PermissionDenied, BriefClosed, RoleAnswer.DoesNotExist, ValidationError.
    """
    campaign, row = _row(by, role)
    if covered_by == role:
        raise refuse("covered_by", "A role cannot cover itself. Choose another.")
    other = {seat.id: seat for seat in queries.seats(campaign)}.get(covered_by)
    if other is None or other.answer != Answer.NAMED or other.wants:
        raise refuse("covered_by", "Choose a role in which somebody is named.")
    return _keep(by, row, read, Answer.COVERED, covered_by=covered_by)


@transaction.atomic
def not_needed(by: Member, role: str, *, agreed_by: str, reason: str, read: Read = None) -> RoleAnswer:
    """Note that nobody is needed for it: with whom that was agreed, and why.

    Raises PermissionDenied, BriefClosed, RoleAnswer.DoesNotExist, ValidationError.
    """
    _, row = _row(by, role)
    if not agreed_by.strip():
        raise refuse("agreed_by", "Say with whom it was agreed.")
    if not reason.strip():
        raise refuse("reason", "Say why nobody is needed.")
    return _keep(by, row, read, Answer.NOT_NEEDED, agreed_by=agreed_by, reason=reason)


@transaction.atomic
def take_back(by: Member, role: str, *, read: Read = None) -> RoleAnswer:
    """Take an answer back: the role is open again. Raises PermissionDenied, BriefClosed, RoleAnswer.DoesNotExist."""
    _, row = _row(by, role)
    return _keep(by, row, read, Answer.OPEN)


@transaction.atomic
def add_role(by: Member, *, title: str, once: str = "") -> RoleAnswer:
    """Add a role that this job needs besides, such as home economist, location or medic. A form sent again (`once`)
    gives the row it made.

    Raises PermissionDenied, BriefClosed, ValidationError, also where the campaign has it already.
    """
    campaign = open_draft(by, May.EDIT_DAYS, "roles")
    if made := forms.done(by, once):
        return campaign.role_answers.get(key=forms.key(made[0]))
    title = " ".join(title.split())
    title = title[:1].upper() + title[1:]
    if not title:
        raise refuse("title", "Say which role, such as home economist.")
    known = [role.label for role in CREW] + list(campaign.role_answers.filter(role="").values_list("title", flat=True))
    if title.casefold() in (one.casefold() for one in known):
        raise refuse("title", f"The role of {title.lower()} is in the list already.")
    row = RoleAnswer(campaign=campaign, title=title)
    row.full_clean()
    row.save()
    log.append(by, "role.added", f"role/{row.key}", title=title, **forms.mark(once))
    return row


@transaction.atomic
def remove_role(by: Member, role: str, *, read: int | None = None) -> None:
    """Take out a role that was added; the usual ones stay. `read`: how long the log was when it was decided.

    Raises as `take_back` does, and ValidationError; of these TouchedMeanwhile when others have answered it since.
    """
    campaign = open_draft(by, May.EDIT_DAYS, "roles")
    row = campaign.role_answers.get(key=role, role="")
    leave_if_touched(by, read, row)
    covers = [seat.title.lower() for seat in queries.seats(campaign) if seat.row and seat.row.covered_by == row.key]
    if covers:
        raise ValidationError(f"It covers the role of {covers[0]}. Answer that otherwise first.")
    row.delete()
    log.append(by, "role.removed", f"role/{role}", title=row.title)


def _row(by: Member, role: str) -> tuple[Campaign, RoleAnswer]:
    campaign = open_draft(by, May.EDIT_DAYS, "roles")
    if role in CREW:
        row = campaign.role_answers.filter(role=role).first() or RoleAnswer(campaign=campaign, role=role)
    else:
        row = campaign.role_answers.get(key=role, role="")
    return campaign, row


def _keep(
    by: Member, row: RoleAnswer, read: Read, answer: str, *, member: Member | None = None, **fields: str
) -> RoleAnswer:
    """Write one answer whole: what another kind of answer had to say does not stay behind it."""
    was = _said(row)
    reached, stood = row.contact, row.mark if row.pk else ""
    row.answer, row.member = answer, member
    for name in _FIELDS:
        setattr(row, name, fields.get(name, "").strip())
    if read is not None and read != stood and row.mark != stood:
        seat = next(seat for seat in queries.seats(row.campaign) if seat.id == (row.role or row.key))
        raise ValidationError(
            f"While you were writing, somebody else answered: “{seat.says}” Send yours again if it is to stand instead."
        )
    row.full_clean()
    row.save()
    if (now := _said(row)) != was or row.contact != reached:
        log.append(by, "role.answered", f"role/{row.role or row.key}", title=str(row), was=was, now=now)
    return row


def _said(row: RoleAnswer) -> dict[str, str]:
    """What the log keeps. How to reach somebody stays out of it, for it cannot forget."""
    covered = Role(row.covered_by).label if row.covered_by in CREW else ""
    added = RoleAnswer.objects.filter(campaign=row.campaign_id, key=row.covered_by).first() if row.covered_by else None
    said = {
        "answer": str(RoleAnswer.Answer(row.answer).label),
        "name": str(row.member.user) if row.member else row.name,
        "covered_by": str(added or covered),
        "agreed_by": row.agreed_by,
        "reason": row.reason,
    }
    return {name: value for name, value in said.items() if value}


Act = Callable[..., RoleAnswer]
# What a form of the page sends as `answer`, and the act that follows.
ACTS: dict[str, Act] = {
    Answer.NAMED: name_person,
    Answer.COVERED: cover,
    Answer.NOT_NEEDED: not_needed,
    Answer.OPEN: take_back,
}
