"""Acts on campaigns and versions."""

from typing import Any

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.utils import timezone

from portal import access
from portal.access import May, Role
from portal.brief import sections
from portal.brief.draft import BriefClosed, open_draft
from portal.brief.models import Campaign, Version
from portal.people.models import Member, User
from portal.record.canonical import canonical, section_digests, version_digest
from portal.sealing import log

TERMS = ("title", "client", "agency", "about", "languages", "media", "territory", "period", "rounds_included")


@transaction.atomic
def start_campaign(by: User, *, role: str = Role.AGENCY, may_sign: bool = False, **terms: Any) -> Member:
    """Start a campaign; the person who starts it is its first member, whom this returns.

    Raises PermissionDenied unless the account may start campaigns; ValidationError.
    """
    if not by.starts_campaigns:
        raise PermissionDenied("Your account may not start campaigns. Ask whoever keeps this portal.")
    if role not in (Role.AGENCY, Role.PRODUCER, Role.PHOTOGRAPHER):
        raise ValidationError(
            {"role": "A campaign is started by an agency producer, a shoot producer or a photographer."}
        )
    campaign = Campaign(**terms)
    campaign.full_clean(exclude=["standing", "open_version", "locked_version"])
    campaign.save()
    member = Member.objects.create(campaign=campaign, user=by, role=role, may_sign=may_sign)
    log.append(member, "campaign.started", f"campaign/{campaign.key}", title=campaign.title, code=campaign.code)
    return member


@transaction.atomic
def settle_terms(by: Member, **terms: Any) -> Campaign:
    """Change the campaign's terms (any of TERMS).

    Raises PermissionDenied, BriefClosed, ValidationError.
    """
    campaign = open_draft(by, May.EDIT_SHOTS)
    was = {name: getattr(campaign, name) for name in terms}
    changed = {name: value for name, value in terms.items() if value != was[name]}
    if unknown := set(terms) - set(TERMS):
        raise ValueError(f"not terms of a campaign: {sorted(unknown)}")
    if not changed:
        return campaign
    for name, value in changed.items():
        setattr(campaign, name, value)
    campaign.full_clean(exclude=["standing", "open_version", "locked_version"])
    campaign.save(update_fields=list(changed))
    log.append(by, "terms.settled", f"campaign/{campaign.key}", was={name: was[name] for name in changed}, now=changed)
    return campaign


@transaction.atomic
def put_forward(by: Member, *, note: str = "") -> Version:
    """Put the brief forward as a numbered version, to be signed.

    Raises PermissionDenied; BriefClosed when one is out or locked, or when something must still be fixed.
    """
    campaign = open_draft(by, May.PUT_FORWARD)
    must = [finding for finding in sections.findings(campaign) if finding.level == "must-fix"]
    if must:
        more = f" And {len(must) - 1} more." if len(must) > 1 else ""
        raise BriefClosed(f"The brief cannot be put forward yet: {must[0].says}{more}")
    document = sections.assemble(campaign)
    digests = section_digests(document)
    version = Version.objects.create(
        campaign=campaign,
        number=campaign.versions.count() + 1,
        document=canonical(document).decode(),
        sections=digests,
        digest=version_digest(digests),
        signers=[signer["id"] for signer in document["campaign"]["signers"]],
        note=note,
        put_forward_by=by,
        put_forward_at=timezone.now(),
    )
    campaign.open_version = version
    campaign.save(update_fields=["open_version"])
    log.append(
        by, "version.put-forward", f"version/{version.key}", number=version.number, digest=version.digest, note=note
    )
    return version


@transaction.atomic
def withdraw(by: Member, *, reason: str) -> Version:
    """Take back the version that is out for signature, so that the brief can be edited.

    Raises PermissionDenied, BriefClosed when none is out, ValidationError without a reason.
    """
    access.need(by, May.PUT_FORWARD)
    campaign = Campaign.objects.select_for_update().get(pk=by.campaign_id)
    version = campaign.open_version
    if version is None:
        raise BriefClosed("No version is out for signature.")
    if not reason.strip():
        raise ValidationError({"reason": "Say why it is withdrawn: the signers will read it."})
    campaign.open_version = None
    campaign.save(update_fields=["open_version"])
    log.append(by, "version.withdrawn", f"version/{version.key}", number=version.number, reason=reason)
    return version
