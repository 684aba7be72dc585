"""Acts on members and invitations; those on accounts are in accounts.py."""

from collections.abc import Iterable
from datetime import timedelta
from typing import Any

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.utils import timezone

from portal import access
from portal.access import May, Role
from portal.brief import once as forms
from portal.brief.both import Read, Telling, refuse_if, settle, since
from portal.brief.draft import BriefClosed, closed_because
from portal.brief.models import Campaign
from portal.delegation import actions as delegation
from portal.people import mails
from portal.people.account_proof import account_digest
from portal.people.accounts import make_account
from portal.people.addresses import Person
from portal.people.models import Invitation, Member, User
from portal.sealing import log

SIGNERS = "Who signs is part of the brief. "
_PAUSE = timedelta(minutes=1)
CHANGED = Telling(("member.changed",))


class InvitationEnded(Exception):
    """The invitation can no longer be accepted; the message is the sentence that a person reads."""


@transaction.atomic
def invite(
    by: Member, *, people: Iterable[Person], role: str, may_sign: bool = False, once: str = ""
) -> list[Invitation]:
    """Invite people by e-mail, all or none; each is written to once this has been committed.

    A form sent again (`once`) gives the invitations that it made.
    Raises PermissionDenied, BriefClosed for somebody who would sign, ValidationError.
    """
    campaign = _hold(by)
    if role not in access.invitable_roles(by):
        raise PermissionDenied(f"Your role in this campaign ({by.get_role_display()}) may not invite that role.")
    may_sign = _signing(role, may_sign)
    if _signs(role, may_sign):
        _signers_may_change(campaign)
    if entries := forms.done(by, once):
        return list(campaign.invitations.filter(key__in=[forms.key(entry) for entry in entries]))
    people = list(people)
    _refuse_those_known(campaign, {person.email for person in people})
    invitations = [_invite(by, campaign, person, role, may_sign, once) for person in people]
    for invitation in invitations:
        _write_to(invitation)
    return invitations


@transaction.atomic
def resend(by: Member, key: str, *, once: str = "") -> Invitation:
    """Send an invitation again; its days begin anew and its link stays. A form sent again (`once`) sends nothing.

    Raises PermissionDenied, ValidationError, Invitation.DoesNotExist.
    """
    invitation = _unanswered(by, key)
    if forms.done(by, once):
        return invitation
    if timezone.now() - invitation.sent_at < _PAUSE and not invitation.mail_failed:
        raise ValidationError(f"The invitation to {invitation.email} went out less than a minute ago. Wait a little.")
    invitation.sent_at = timezone.now()
    invitation.save(update_fields=["sent_at"])
    log.append(by, "invitation.resent", f"invitation/{invitation.key}", name=invitation.name, **forms.mark(once))
    _write_to(invitation)
    return invitation


@transaction.atomic
def withdraw(by: Member, key: str) -> Invitation:
    """Take an invitation back: its link stops working. Withdrawn twice, it is once.

    Raises PermissionDenied, Invitation.DoesNotExist.
    """
    invitation = _unanswered(by, key, withdrawn=True)
    if invitation.withdrawn_at:
        return invitation
    invitation.withdrawn_at = timezone.now()
    invitation.save(update_fields=["withdrawn_at"])
    log.append(by, "invitation.withdrawn", f"invitation/{invitation.key}", name=invitation.name)
    return invitation


@transaction.atomic
def change_member(by: Member, key: str, *, role: str, may_sign: bool = False, read: Read = None) -> Member:
    """Change what somebody does in the campaign, and whether they may sign; `read`: both as the editor had them.

    Raises PermissionDenied, BriefClosed for a signer, Member.DoesNotExist, ValidationError, and of these
    ChangedMeanwhile where somebody else changed either.
    """
    campaign = _hold(by)
    member = campaign.members.active().select_related("user").get(key=key)
    _need_side(by, member.role)
    _need_side(by, role)
    may_sign = _signing(role, may_sign)
    stands = {"role": member.role, "may_sign": member.may_sign}
    asked = {"role": str(role), "may_sign": may_sign}
    mine = settle(by, read, stands, asked, subject=f"member/{key}", telling=CHANGED, together=(("role", "may_sign"),))
    if not mine:
        return member
    becomes = Member(role=role, may_sign=may_sign, started=member.started)
    was = {"role": member.role, "may_sign": member.may_sign}
    now = {"role": str(role), "may_sign": may_sign}
    if was == now:
        return member
    if access.may(member, May.SIGN_OFF) or access.may(becomes, May.SIGN_OFF):
        _signers_may_change(campaign)
    _someone_still_invites(campaign, member, becomes)
    member.role, member.may_sign = role, may_sign
    member.full_clean()
    member.save(update_fields=["role", "may_sign"])
    log.append(by, "member.changed", f"member/{member.key}", name=str(member.user), was=was, now=now)
    delegation.end_those_of(by, member, "has another part now")
    return member


@transaction.atomic
def remove_member(by: Member, key: str, *, read: int | None = None) -> Member:
    """End somebody's part in the campaign; what they wrote and signed stays.

    `read`: how long the log was when it was decided. After the lock a signer can be removed: access must always be
    revocable, and what was signed is not altered by it. Raises PermissionDenied, BriefClosed when a version waits for
    their signature, Member.DoesNotExist, ValidationError for the last who may invite, and of these TouchedMeanwhile
    where somebody else has given them another part since.
    """
    campaign = _hold(by)
    member = campaign.members.active().select_related("user").get(key=key)
    _need_side(by, member.role)
    if read is not None:
        refuse_if(by, since(by, read, CHANGED.acts, (f"member/{key}",)))
    if campaign.open_version_id and _signs(member.role, member.may_sign):
        _signers_may_change(campaign)
    _someone_still_invites(campaign, member, None)
    member.left_at = timezone.now()
    member.save(update_fields=["left_at"])
    log.append(by, "member.removed", f"member/{member.key}", name=str(member.user), role=member.role)
    delegation.end_those_of(by, member, "left the campaign")
    return member


@transaction.atomic
def accept(by: User, *, token: str) -> Member:
    """Take the place that an invitation offers.

    Raises Invitation.DoesNotExist, InvitationEnded, PermissionDenied for anybody but the one invited.
    """
    campaign, invitation = _held_invitation(token)
    if by.email.lower() != invitation.email:
        raise PermissionDenied(f"This invitation is for {invitation.email}, and you are signed in as {by.email}.")
    return _join(by, campaign, invitation)


@transaction.atomic
def join_as_new(*, token: str, name: str, password: str | None = None) -> Member:
    """Make the invited person's account and take the place: the link came to their address, so the address is theirs.

    Raises Invitation.DoesNotExist, InvitationEnded, AccountExists, ValidationError.
    """
    campaign, invitation = _held_invitation(token)
    if not name.strip():
        raise ValidationError({"name": "Write your name: it stands beside what you say and sign."})
    return _join(make_account(invitation.email, name=name, password=password), campaign, invitation)


def joins_without_signing(invitation: Invitation) -> bool:
    """Whether who accepts now may not sign yet, although invited to, because the brief is closed."""
    return invitation.may_sign and bool(closed_because(invitation.campaign, "campaign"))


def _join(user: User, campaign: Campaign, invitation: Invitation) -> Member:
    if campaign.members.active().filter(user=user).exists():
        raise InvitationEnded("You are in this campaign already.")
    may_sign = invitation.may_sign and not closed_because(campaign, "campaign")
    if _signs(invitation.role, may_sign):
        _signers_may_change(campaign)
    member = Member.objects.create(campaign=campaign, user=user, role=invitation.role, may_sign=may_sign)
    invitation.accepted_at = timezone.now()
    invitation.save(update_fields=["accepted_at"])
    told: dict[str, Any] = {"role": member.role, "may_sign": may_sign, "account": account_digest(member)}
    log.append(member, "member.joined", f"member/{member.key}", **told)
    return member


def _invite(by: Member, campaign: Campaign, person: Person, role: str, may_sign: bool, once: str) -> Invitation:
    # One that ended without an answer makes room; an open one was refused before.
    campaign.invitations.filter(email=person.email, accepted_at=None, withdrawn_at=None).update(
        withdrawn_at=timezone.now()
    )
    invitation = Invitation(
        campaign=campaign, email=person.email, name=person.name, role=role, may_sign=may_sign, invited_by=by
    )
    invitation.full_clean()
    invitation.save()
    # The address is left out: the log cannot forget, and the invitation's row has it.
    told: dict[str, Any] = {"name": person.name, "role": str(role), "may_sign": may_sign}
    log.append(by, "person.invited", f"invitation/{invitation.key}", **told, **forms.mark(once))
    return invitation


def _write_to(invitation: Invitation) -> None:
    transaction.on_commit(lambda: mails.send_invitation(invitation.pk))


def _hold(by: Member) -> Campaign:
    """The campaign, its row held, for somebody who may invite at all."""
    access.need(by, May.INVITE_OWN_SIDE)
    return Campaign.objects.select_for_update().get(pk=by.campaign_id)


def decides_about(by: Member, role: str) -> bool:
    """Whether `by` may change or remove people in `role`: those whom they might have invited."""
    return role in access.invitable_roles(by)


def _need_side(by: Member, role: str) -> None:
    if not decides_about(by, role):
        raise PermissionDenied(
            f"Your role in this campaign ({by.get_role_display()}) decides about people of your own side alone."
        )


def _signing(role: str, may_sign: bool) -> bool:
    """What is kept for "may sign": nothing where the role settles it. Raises ValidationError where nobody signs."""
    if not may_sign or role in access.roles_that_may_sign():
        return may_sign
    if _signs(role, False):
        return False
    raise ValidationError(
        {"may_sign": f"In the role “{Role(role).label}” nobody signs. Untick it, or change the role."}
    )


def _signs(role: str, may_sign: bool) -> bool:
    return access.may(Member(role=role, may_sign=may_sign), May.SIGN_OFF)


def _signers_may_change(campaign: Campaign) -> None:
    if reason := closed_because(campaign, "campaign"):
        raise BriefClosed(SIGNERS + reason)


def _someone_still_invites(campaign: Campaign, member: Member, becomes: Member | None) -> None:
    """Refuse what would leave roles that nobody in the campaign could invite any more."""
    others = list(campaign.members.active().exclude(pk=member.pk))
    left = _reach([*others, becomes] if becomes else others)
    if left < _reach([*others, member]):
        people = "people of every side" if left else "people"
        raise ValidationError(
            f"{member.user} is the last here who may invite {people}. Invite somebody else who may, and try again."
        )


def _reach(members: list[Member]) -> set[Role]:
    return {role for member in members for role in access.invitable_roles(member)}


def _refuse_those_known(campaign: Campaign, addresses: set[str]) -> None:
    here = campaign.members.active().filter(user__email__in=addresses).values_list("user__email", flat=True)
    wrong = [f"{email} is in this campaign already." for email in here]
    wrong += [
        f"{invitation.email} has an open invitation. Send that again, or withdraw it first."
        for invitation in campaign.invitations.filter(email__in=addresses)
        if invitation.state == "open"
    ]
    if wrong:
        raise ValidationError({"people": wrong})


def _unanswered(by: Member, key: str, *, withdrawn: bool = False) -> Invitation:
    """An invitation that nobody has accepted, its campaign held; `withdrawn`: also one that was taken back."""
    campaign = _hold(by)
    unanswered = campaign.invitations.filter(accepted_at=None)
    invitation: Invitation = (unanswered if withdrawn else unanswered.filter(withdrawn_at=None)).get(key=key)
    if invitation.invited_by_id != by.pk:
        _need_side(by, invitation.role)
    return invitation


def _held_invitation(token: str) -> tuple[Campaign, Invitation]:
    """The invitation and its campaign, both held, so that two who accept at once come one after the other."""
    found = Invitation.objects.get(token=token)
    campaign = Campaign.objects.select_for_update().get(pk=found.campaign_id)
    invitation = campaign.invitations.select_for_update().get(pk=found.pk)
    if invitation.state != "open":
        raise InvitationEnded(ENDED[invitation.state])
    return campaign, invitation


ENDED = {
    "accepted": "This invitation has been used. If it was you, sign in: the campaign is in your list.",
    "withdrawn": "This invitation was withdrawn. If you still expect to work on it, ask whoever invited you.",
    "ended": "This invitation is more than 14 days old and has ended. Ask whoever invited you to send it again.",
}
