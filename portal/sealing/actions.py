"""Acts that seal: signing off, declining."""

from dataclasses import dataclass
from typing import Any

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.utils import timezone

from portal import access
from portal.access import May
from portal.brief import sections
from portal.brief.draft import BriefClosed
from portal.brief.models import Campaign, Version
from portal.changes import actions as changes
from portal.delegation import queries as delegation
from portal.people.models import Member
from portal.sealing import log, queries
from portal.sealing.models import SignOff
from portal.sealing.signatures import Signer

_NAME = "Type your name as you sign."


@dataclass(frozen=True)
class _Asked:
    """A version that is out, whose answer is asked for, and who gives it: the same person, or one in their place."""

    version: Version
    signer: Member
    by: Member
    standing: Signer

    @property
    def told(self) -> dict[str, Any]:
        """What the log is told of every answer; the signer, where somebody else answers for them."""
        version = self.version
        found: dict[str, Any] = {"number": version.number, "digest": version.digest, "reads": sorted(self.reads)}
        if self.signer.pk != self.by.pk:
            found |= {"signer": self.signer.key, "signer_name": str(self.signer.user)}
        return found

    @property
    def reads(self) -> dict[str, str]:
        """The sections of the version that whoever answers may read, each with its digest."""
        may = {one.name for one in sections.sections() if access.may(self.by, one.read)}
        return {name: digest for name, digest in self.version.sections.items() if name in may}


@transaction.atomic
def sign(by: Member, *, digest: str, typed_name: str, number: int | None = None, signer: str = "") -> SignOff:
    """Sign the version that is out; `digest` is the one the signer saw. The last signature locks the brief.

    `number`, if given, is that of the version that was meant: the same brief may go out twice. `signer`: the key of
    somebody in whose place `by` signs. Raises PermissionDenied, BriefClosed when that version is not the one out or it
    is not the signer's turn, ValidationError.
    """
    asked = _asked(by, digest, number, signer)
    version = asked.version
    if says := asked.standing.turn(reader=asked.signer.pk == by.pk):
        raise BriefClosed(f"Version {version.number} cannot be signed yet. {says}")
    signed = _answer(asked, SignOff.Answer.SIGNED, typed_name)
    subject = f"version/{version.key}"
    log.append(by, "version.signed", subject, name=signed.typed_name, **asked.told)
    # The campaign's row is held since the version was looked up: two last signatures come here one after the other.
    names = version.sign_offs.filter(answer=SignOff.Answer.SIGNED).values_list("member__key", flat=True)
    if set(version.signers) <= set(names):
        Campaign.objects.filter(pk=version.campaign_id).update(locked_version=version, open_version=None)
        changes.cite(version)
        log.append(
            None, "version.locked", subject, campaign=version.campaign, number=version.number, digest=version.digest
        )
    return signed


@transaction.atomic
def decline(
    by: Member, *, digest: str, typed_name: str, reason: str, number: int | None = None, signer: str = ""
) -> SignOff:
    """Decline the version that is out, with a reason; the brief opens again for editing.

    As `sign`, but out of turn too: who waits for the agency need not wait to decline, which saves everybody a
    round. Raises PermissionDenied, BriefClosed, ValidationError.
    """
    asked = _asked(by, digest, number, signer)
    version = asked.version
    reason = reason.strip()
    if not reason:
        raise ValidationError({"reason": "Say what would have to change for you to sign."})
    declined = _answer(asked, SignOff.Answer.DECLINED, typed_name, reason)
    Campaign.objects.filter(pk=version.campaign_id).update(open_version=None)
    subject = f"version/{version.key}"
    log.append(by, "version.declined", subject, name=declined.typed_name, reason=reason, **asked.told)
    return declined


def _asked(by: Member, digest: str, number: int | None, signer: str) -> _Asked:
    """What is to be answered, the campaign's row held."""
    campaign = Campaign.objects.select_for_update().get(pk=by.campaign_id)
    asked = signer_for(by, signer)
    version = campaign.open_version
    if version is None or version.digest != digest or number not in (None, version.number):
        raise BriefClosed("The version that you were reading is no longer out for signature. Read the page again.")
    whose = "Your signature" if asked.pk == by.pk else f"The signature of {asked.user}"
    if asked.key not in version.signers:
        raise BriefClosed(f"{whose} is not asked for on this version.")
    standing = next(one for one in queries.standing_of(version, campaign).signers if one.key == asked.key)
    if standing.answer:
        raise BriefClosed(_answered(standing, standing.answer, by))
    return _Asked(version, asked, by, standing)


def signer_for(by: Member, key: str) -> Member:
    """For whom `by` answers: themself, or who asked them to while they are away. Raises PermissionDenied."""
    if not key or key == by.key:
        access.need(by, May.SIGN_OFF)
        return by
    held = delegation.in_place_of(by, key)
    if held is None:
        raise PermissionDenied("Nobody has asked you to sign for them, or the days for which they asked are over.")
    return held.signer


def _answered(standing: Signer, answer: SignOff, by: Member) -> str:
    """Who has given this answer already: the reader, the signer, or who signs in the signer's place."""
    own = standing.key == by.key
    if (answer.given_by_id or answer.member_id) == by.pk:
        return f"You have answered this version {'' if own else f'for {standing.name} '}already."
    who = f"{standing.by} has" if standing.by else f"{standing.name} has"
    whose = " for you" if own else f" for {standing.name}" if standing.by else ""
    return f"{who} answered this version{whose} already."


def _answer(asked: _Asked, answer: str, typed_name: str, reason: str = "") -> SignOff:
    if not typed_name.strip():
        raise ValidationError({"typed_name": _NAME})
    given = SignOff(
        version=asked.version,
        member=asked.signer,
        given_by=asked.by if asked.by.pk != asked.signer.pk else None,
        answer=answer,
        digest=asked.version.digest,
        sections=asked.reads,
        typed_name=typed_name.strip(),
        reason=reason,
        at=timezone.now(),
    )
    given.full_clean(exclude=["version", "member", "given_by", "sections"])
    given.save()
    return given
