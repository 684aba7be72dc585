"""Opening the draft for an act: access, the lock, and the campaign's row held until the act is done."""

from django.core.exceptions import ValidationError

from portal import access
from portal.brief.models import Campaign
from portal.people.models import Member


class BriefClosed(Exception):
    """The brief cannot be edited now; the message is the sentence that people read."""


def closed_because(campaign: Campaign) -> str:
    """Why the brief is closed to editing, as a sentence; empty when it is open.

    It is closed while a version is out for signature, and not only once it is locked: people sign one digest, and a
    draft that moves on under their pens would have them read pages that are not what they sign, and would leave edits
    that nobody agreed to in the brief that comes after. To go on editing one says so, by withdrawing or declining,
    with a reason that the others read.
    """
    if campaign.locked_version:
        return (
            f"The brief is locked as version {campaign.locked_version.number}. "
            "What was signed is not edited; say what should change in a comment."
        )
    if campaign.open_version:
        return (
            f"Version {campaign.open_version.number} is out for signature, so the brief is closed to editing. "
            "Whoever put it forward can withdraw it."
        )
    return ""


def open_draft(by: Member, act: access.May) -> Campaign:
    """The campaign, locked for this transaction, for a member who may `act` on a brief that is open.

    Raises PermissionDenied, BriefClosed.
    """
    access.need(by, act)
    # PostgreSQL refuses to lock the outer side of a join: the versions are loaded apart, when they are there.
    campaign = Campaign.objects.select_for_update().get(pk=by.campaign_id)
    if reason := closed_because(campaign):
        raise BriefClosed(reason)
    return campaign


def refuse(field: str, sentence: str) -> ValidationError:
    """A refusal that a form shows beside its field."""
    return ValidationError({field: sentence})
