"""Acts that seal: signing off, declining."""

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from portal import access
from portal.access import May
from portal.brief.draft import BriefClosed
from portal.brief.models import Campaign, Version
from portal.people.models import Member
from portal.sealing import log
from portal.sealing.models import SignOff

_NAME = "Type your name as you sign."


@transaction.atomic
def sign(by: Member, *, digest: str, typed_name: str) -> SignOff:
    """Sign the version that is out; `digest` is the one the signer saw. The last signature locks the brief.

    Raises PermissionDenied, BriefClosed when that version is not the one out, ValidationError.
    """
    version = _version_to_answer(by, digest)
    signed = _answer(by, version, SignOff.Answer.SIGNED, typed_name)
    subject = f"version/{version.key}"
    log.append(by, "version.signed", subject, number=version.number, digest=digest, name=signed.typed_name)
    # The campaign's row is held since the version was looked up: two last signatures come here one after the other.
    names = version.sign_offs.filter(answer=SignOff.Answer.SIGNED).values_list("member__key", flat=True)
    if set(version.signers) <= set(names):
        Campaign.objects.filter(pk=version.campaign_id).update(locked_version=version, open_version=None)
        log.append(
            None, "version.locked", subject, campaign=version.campaign, number=version.number, digest=version.digest
        )
    return signed


@transaction.atomic
def decline(by: Member, *, digest: str, typed_name: str, reason: str) -> SignOff:
    """Decline the version that is out, with a reason; the brief opens again for editing.

    Raises PermissionDenied, BriefClosed, ValidationError.
    """
    version = _version_to_answer(by, digest)
    reason = reason.strip()
    if not reason:
        raise ValidationError({"reason": "Say what would have to change for you to sign."})
    declined = _answer(by, version, SignOff.Answer.DECLINED, typed_name, reason)
    Campaign.objects.filter(pk=version.campaign_id).update(open_version=None)
    log.append(by, "version.declined", f"version/{version.key}", number=version.number, digest=digest, reason=reason)
    return declined


def _version_to_answer(by: Member, digest: str) -> Version:
    access.need(by, May.SIGN_OFF)
    campaign = Campaign.objects.select_for_update().get(pk=by.campaign_id)
    version = campaign.open_version
    if version is None or version.digest != digest:
        raise BriefClosed("The version that you were reading is no longer out for signature. Read the page again.")
    if by.key not in version.signers:
        raise BriefClosed("Your signature is not asked for on this version.")
    if version.sign_offs.filter(member=by).exists():
        raise BriefClosed("You have answered this version already.")
    return version


def _answer(by: Member, version: Version, answer: str, typed_name: str, reason: str = "") -> SignOff:
    if not typed_name.strip():
        raise ValidationError({"typed_name": _NAME})
    given = SignOff(
        version=version,
        member=by,
        answer=answer,
        digest=version.digest,
        typed_name=typed_name.strip(),
        reason=reason,
        at=timezone.now(),
    )
    given.full_clean(exclude=["version", "member"])
    given.save()
    return given
