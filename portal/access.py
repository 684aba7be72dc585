"""Who may what: one table, and the only functions that read it.

No other code compares roles. A person outside a campaign gets 404, a member without the capability 403.
"""

from collections.abc import Iterable
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import models


class Side(models.TextChoices):
    CLIENT = "client", "Client"
    AGENCY = "agency", "Agency"
    CREW = "crew", "Crew"


class Role(models.TextChoices):
    CLIENT = "client", "Client"
    AGENCY = "agency", "Agency producer"
    DESIGNER = "designer", "Designer"
    PRODUCER = "producer", "Shoot producer"
    PHOTOGRAPHER = "photographer", "Photographer"
    STYLIST = "stylist", "Food stylist"
    PROPS = "props", "Props stylist"
    LIGHTING = "lighting", "Lighting assistant"
    OPERATOR = "operator", "Digital operator"
    RETOUCHER = "retoucher", "Retoucher"
    ASSISTANT = "assistant", "Assistant"


class May(models.TextChoices):
    """What can be done in a campaign; the label ends the sentence "you may not …"."""

    READ_VERSIONS = "read-versions", "read this campaign's versions"
    READ_DRAFT = "read-draft", "read the draft"
    EDIT_SHOTS = "edit-shots", "change shots, formats and placements"
    UPLOAD_MOCKUPS = "upload-mockups", "upload mockups"
    UPLOAD_LAYOUTS = "upload-layouts", "upload layouts"
    EDIT_FOOD = "edit-food", "change the hero food"
    CONFIRM_RECIPE = "confirm-recipe", "confirm a recipe as sold"
    EDIT_PROPS = "edit-props", "change the props"
    EDIT_LIGHT = "edit-light", "change the light"
    EDIT_CAMERA = "edit-camera", "change camera, plates and capture plan"
    EDIT_RETOUCH = "edit-retouch", "change the retouch ledger"
    EDIT_DAYS = "edit-days", "change the time plan, role answers and call sheet"
    SEE_MONEY = "see-money", "see rates, costs and margins"
    SEE_ESTIMATE = "see-estimate", "see the estimate"
    SEND_FRAMES = "send-frames", "send frames from the set"
    ACCEPT_FRAME = "accept-frame", "accept a frame"
    COMMENT = "comment", "comment"
    COMMENT_WORKING = "comment-working", "comment on the working side"
    COMMENT_BUYING = "comment-buying", "comment on the buying side"
    PUT_FORWARD = "put-forward", "put a version forward"
    SIGN_OFF = "sign-off", "sign off a version"
    RAISE_CHANGE = "raise-change", "raise a change"
    DECIDE_CHANGE = "decide-change", "decide a change"
    INVITE_OWN_SIDE = "invite-own-side", "invite people"
    INVITE_ANYONE = "invite-anyone", "invite people of every side"


# y: yes   s: only if this member may sign   -: no
#                        cli age des pro pho sty prp lig ope ret ass
_GRID = {
    May.READ_VERSIONS:   " y   y   y   y   y   y   y   y   y   y   y ",
    May.READ_DRAFT:      " y   y   y   y   y   y   y   y   y   y   - ",
    May.EDIT_SHOTS:      " -   y   -   y   y   -   -   -   -   -   - ",
    May.UPLOAD_MOCKUPS:  " -   y   y   y   y   -   -   -   -   -   - ",
    May.UPLOAD_LAYOUTS:  " -   y   y   -   -   -   -   -   -   -   - ",
    May.EDIT_FOOD:       " -   -   -   y   y   y   -   -   -   -   - ",
    May.CONFIRM_RECIPE:  " s   -   -   -   -   -   -   -   -   -   - ",
    May.EDIT_PROPS:      " -   -   -   y   y   y   y   -   -   -   - ",
    May.EDIT_LIGHT:      " -   -   -   y   y   -   -   y   -   -   - ",
    May.EDIT_CAMERA:     " -   -   -   y   y   -   -   -   y   -   - ",
    May.EDIT_RETOUCH:    " -   -   -   y   y   -   -   -   -   y   - ",
    May.EDIT_DAYS:       " -   -   -   y   y   -   -   -   -   -   - ",
    May.SEE_MONEY:       " -   -   -   y   y   -   -   -   -   -   - ",
    May.SEE_ESTIMATE:    " y   y   -   y   y   -   -   -   -   -   - ",
    May.SEND_FRAMES:     " -   -   -   y   y   -   -   -   y   -   - ",
    May.ACCEPT_FRAME:    " s   s   -   -   -   -   -   -   -   -   - ",
    May.COMMENT:         " y   y   y   y   y   y   y   y   y   y   - ",
    May.COMMENT_WORKING: " -   y   y   y   y   y   y   y   y   y   - ",
    May.COMMENT_BUYING:  " y   y   -   -   -   -   -   -   -   -   - ",
    May.PUT_FORWARD:     " -   y   -   y   y   -   -   -   -   -   - ",
    May.SIGN_OFF:        " s   s   -   -   y   -   -   -   -   -   - ",
    May.RAISE_CHANGE:    " y   y   -   y   y   y   y   y   y   y   - ",
    May.DECIDE_CHANGE:   " s   s   -   -   -   -   -   -   -   -   - ",
    May.INVITE_OWN_SIDE: " -   y   -   y   y   -   -   -   -   -   - ",
    May.INVITE_ANYONE:   " -   -   -   y   y   -   -   -   -   -   - ",
}  # fmt: skip
TABLE = {act: dict(zip(Role, row.split(), strict=True)) for act, row in _GRID.items()}

_SIDES = {Role.CLIENT: Side.CLIENT, Role.AGENCY: Side.AGENCY, Role.DESIGNER: Side.AGENCY}


def side_of(role: str) -> Side:
    """The side a role belongs to."""
    return _SIDES.get(Role(role), Side.CREW)


def may(member: Any, act: May) -> bool:
    """Whether this member's row of the table allows `act`."""
    cell = TABLE[act][Role(member.role)]
    return cell == "y" or (cell == "s" and member.may_sign)


def need(member: Any, act: May) -> None:
    """Raise PermissionDenied with a plain sentence unless `member` may `act`."""
    if not may(member, act):
        raise PermissionDenied(f"Your role in this campaign ({member.get_role_display()}) may not {act.label}.")


def may_stand_in(signer: Any, other: Any) -> bool:
    """Whether `other` may be asked to sign in this signer's place: somebody else of the same side, in whatever role.

    They need no right to sign of their own, for the signer's word gives it; what they sign is bound to what they read.
    """
    return may(signer, May.SIGN_OFF) and signer.pk != other.pk and side_of(signer.role) == side_of(other.role)


def may_decide_for(signer: Any, other: Any) -> bool:
    """Whether somebody who stands in for this signer may decide changes for them too.

    Whoever decides must be able to read what it costs; a signature says what it covers, a decision has no parts.
    """
    return may(signer, May.DECIDE_CHANGE) and may(other, May.SEE_ESTIMATE)


def side_that_signs_before(role: str) -> Side | None:
    """Where signing has an order: the side whose signatures come before those of this role; None for who need not wait.

    The agency answers to its client for what is in the brief, so the client signs what the agency has signed. What the
    photographer signs is that the crew will deliver it: it leans on neither of the others and may come at any time.
    """
    return Side.AGENCY if side_of(role) == Side.CLIENT else None


def roles_that_may(act: May) -> list[Role]:
    """The roles that may `act`, with or without the right to sign, in the table's order."""
    return [role for role, cell in TABLE[act].items() if cell != "-"]


def roles_that_may_sign() -> list[Role]:
    """The roles for which "may sign" means anything."""
    return [role for role in Role if any(row[role] == "s" for row in TABLE.values())]


def invitable_roles(member: Any) -> list[Role]:
    """The roles that this member may invite: all, those of the own side, or none.

    Who started the campaign invites every side: an agency that may invite only its own would never get
    the first client or the first photographer into a campaign of its own.
    """
    if may(member, May.INVITE_ANYONE) or (member.started and may(member, May.INVITE_OWN_SIDE)):
        return list(Role)
    if may(member, May.INVITE_OWN_SIDE):
        return [role for role in Role if side_of(role) == side_of(member.role)]
    return []


class Audience(models.TextChoices):
    """Who a comment is for, fixed when it is written."""

    EVERYONE = "everyone", "Everyone in the campaign"
    WORKING = "working", "The working side: agency and crew"
    BUYING = "buying", "The buying side: client and agency"


_COMMENT_ACT = {
    Audience.EVERYONE: May.COMMENT,
    Audience.WORKING: May.COMMENT_WORKING,
    Audience.BUYING: May.COMMENT_BUYING,
}


def audiences(member: Any) -> list[Audience]:
    """The audiences whose comments this member may read and write."""
    return [audience for audience, act in _COMMENT_ACT.items() if may(member, act)]


def comment_act(audience: str) -> May:
    """The capability that a comment for this audience asks for."""
    return _COMMENT_ACT[Audience(audience)]


def those_who_may(members: Iterable[Any], act: May) -> list[Any]:
    """The members of `members` who may `act`."""
    return [member for member in members if may(member, act)]
