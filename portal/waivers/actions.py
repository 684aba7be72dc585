"""Acts on waivers: giving one, taking it back. Both are part of the draft."""

from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from portal.access import May
from portal.brief import once as forms
from portal.brief import sections
from portal.brief.draft import open_draft
from portal.brief.finding import Finding
from portal.brief.models import Campaign
from portal.people.models import Member
from portal.sealing import log
from portal.waivers.models import Waiver

LONGEST = 2000  # a model's text field is not checked for its length


@transaction.atomic
def give(by: Member, finding: str, *, typed_name: str, reason: str, once: str = "") -> Waiver:
    """Waive what must be fixed: `finding` is the key of what the signer read. Given twice, it is one waiver.

    A form sent again (`once`) gives the waiver that it made, also where that was taken back since. Raises
    PermissionDenied, BriefClosed; ValidationError without a name and a reason, where it is not found as it was read,
    where it can never be waived, and where it is waived already, by somebody else or in other words.
    """
    campaign = open_draft(by, May.SIGN_OFF, "waivers")
    _need_words(typed_name, reason)
    if made := forms.done(by, once):
        return Waiver.objects.get(key=forms.key(made[0]), campaign=campaign)
    known = Waiver.objects.filter(campaign=campaign, finding=finding, withdrawn_at=None).first()
    if known and _same(known, by, typed_name, reason):
        return known
    if known:
        raise ValidationError(_already(known, by))
    here = _found(campaign, finding)
    waiver = Waiver(
        campaign=campaign,
        finding=finding,
        kind=here.kind,
        says=here.says,
        what=here.what,
        reason=reason.strip(),
        typed_name=typed_name.strip(),
        given_by=by,
        given_role=by.get_role_display(),
        given_at=timezone.now(),
    )
    waiver.full_clean(exclude=["campaign", "given_by"])
    waiver.save()
    log.append(by, "waiver.given", f"waiver/{waiver.key}", **as_logged(waiver), **forms.mark(once))
    return waiver


@transaction.atomic
def take_back(by: Member, waiver: str) -> Waiver:
    """Take a waiver back: any signer may, for the brief is the stricter for it. Taken back twice, it is once.

    Raises PermissionDenied, BriefClosed, Waiver.DoesNotExist (also for another campaign's).
    """
    campaign = open_draft(by, May.SIGN_OFF, "waivers")
    row = Waiver.objects.get(key=waiver, campaign=campaign)
    if row.withdrawn_at:
        return row
    row.withdrawn_by, row.withdrawn_at = by, timezone.now()
    row.save(update_fields=["withdrawn_by", "withdrawn_at"])
    log.append(by, "waiver.withdrawn", f"waiver/{row.key}", says=row.says, given_by=row.typed_name)
    return row


def as_logged(waiver: Waiver) -> dict[str, Any]:
    """What the log holds of a waiver, so that a row which was changed since can be told."""
    return {
        "finding": waiver.finding,
        "what": waiver.what,
        "says": waiver.says,
        "reason": waiver.reason,
        "name": waiver.typed_name,
        "role": waiver.given_role,
    }


def _same(known: Waiver, by: Member, typed_name: str, reason: str) -> bool:
    return (known.given_by_id, known.typed_name, known.reason) == (by.pk, typed_name.strip(), reason.strip())


def _already(known: Waiver, by: Member) -> str:
    who = "You have" if known.given_by_id == by.pk else f"{known.typed_name} has"
    return f"{who} waived this already: “{known.reason}” Take that back first if it is to say something else."


def _need_words(typed_name: str, reason: str) -> None:
    refused = {}
    if not typed_name.strip():
        refused["typed_name"] = "Type your name: a waiver is given by name."
    if not reason.strip():
        refused["reason"] = "Say why the brief can be locked all the same: everybody who signs reads it."
    elif len(reason.strip()) > LONGEST:
        refused["reason"] = f"A reason has {LONGEST} characters at most."
    if refused:
        raise ValidationError(refused)


def _found(campaign: Campaign, finding: str) -> Finding:
    here = next((one for one in sections.findings(campaign) if one.key == finding), None)
    if here is None or here.level != "must-fix":
        raise ValidationError("It is not found any more as you read it, so there is nothing to waive. Look again.")
    if not here.waivable:
        raise ValidationError(f"This can never be waived. {here.says}")
    return here
