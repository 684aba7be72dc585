"""Acts on campaigns and versions."""

from typing import Any

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.utils import timezone

from portal import access
from portal.access import May, Role
from portal.brief import once as forms
from portal.brief import reading, sections
from portal.brief.both import Read, Telling, settle
from portal.brief.draft import BriefClosed, forward_closed_because, hold, need_open, open_draft
from portal.brief.models import Campaign, Version
from portal.brief.signals import shape_changed
from portal.changes import scope
from portal.people.account_proof import account_digest
from portal.people.models import Member, User
from portal.record.canonical import canonical, section_digests, version_digest
from portal.sealing import log
from portal.site.sentences import count
from portal.waivers import queries as waivers

TERMS = (
    "title",
    "client",
    "agency",
    "about",
    "languages",
    "media",
    "territory",
    "period",
    "rounds_included",
    "round_price",
    "sign_in_order",
    "least_contrast",
    "hero_overlap",
)


@transaction.atomic
def start_campaign(
    by: User, *, role: str = Role.AGENCY, may_sign: bool = False, once: str = "", **terms: Any
) -> Member:
    """Start a campaign; the person who starts it is its first member, whom this returns.

    A form sent again (`once`) gives the place in the campaign that it started. Raises PermissionDenied unless the
    account may start campaigns; ValidationError.
    """
    if not by.starts_campaigns:
        raise PermissionDenied("Your account may not start campaigns. Ask whoever keeps this portal.")
    if role not in (Role.AGENCY, Role.PRODUCER, Role.PHOTOGRAPHER):
        raise ValidationError(
            {"role": "A campaign is started by an agency producer, a shoot producer or a photographer."}
        )
    User.objects.select_for_update().get(pk=by.pk)  # two halves of a double click come one after the other
    if known := started_by(by, once):
        return known
    campaign = Campaign(**terms)
    campaign.full_clean(exclude=["standing", "open_version", "locked_version"])
    campaign.save()
    member = Member.objects.create(campaign=campaign, user=by, role=role, may_sign=may_sign, started=True)
    told: dict[str, Any] = {"title": campaign.title, "code": campaign.code, "account": account_digest(member)}
    log.append(member, "campaign.started", f"campaign/{campaign.key}", **told, **forms.mark(once))
    return member


def started_by(by: User, once: str) -> Member | None:
    """The place in the campaign that this form, sent by the same person, has started already."""
    if not once:
        return None
    # A log begins with it: one entry a campaign is looked at, found by the log's own index.
    first = {"campaign__log__sequence": 1, "campaign__log__payload__once": once}
    begun: Member | None = Member.objects.filter(user=by, started=True, **first).first()
    return begun


@transaction.atomic
def settle_terms(by: Member, *, read: Read = None, **terms: Any) -> Campaign:
    """Change the campaign's terms (any of TERMS); `read`: the terms as their editor read them.

    Raises PermissionDenied, BriefClosed, ValidationError, and of these ChangedMeanwhile where somebody else changed the
    same terms.
    """
    campaign = open_draft(by, May.EDIT_SHOTS, "campaign")
    if unknown := set(terms) - set(TERMS):
        raise ValueError(f"not terms of a campaign: {sorted(unknown)}")
    stands = {name: getattr(campaign, name) for name in TERMS}
    terms = settle(by, read, stands, terms, subject=f"campaign/{campaign.key}", telling=Telling(("terms.settled",)))
    was = {name: getattr(campaign, name) for name in terms}
    changed = {name: value for name, value in terms.items() if value != was[name]}
    if not changed:
        return campaign
    if "languages" in changed:
        need_open(campaign, "formats")  # placements come and go with their languages
    if "round_price" in changed:
        access.need(by, May.SEE_ESTIMATE)
    for name, value in changed.items():
        setattr(campaign, name, value)
    campaign.full_clean(exclude=["standing", "open_version", "locked_version"])
    campaign.save(update_fields=list(changed))
    if "languages" in changed:
        shape_changed.send(Campaign, campaign=campaign)
    _log_terms(by, campaign, was, changed)
    return campaign


def _log_terms(by: Member, campaign: Campaign, was: dict[str, Any], now: dict[str, Any]) -> None:
    """One entry for what all may read of the terms, and one of its own for the price of a round, which not all may."""
    subject = f"campaign/{campaign.key}"
    if told := {name: value for name, value in now.items() if name != "round_price"}:
        log.append(by, "terms.settled", subject, was={name: was[name] for name in told}, now=told)
    if "round_price" in now:
        price: dict[str, Any] = {"was": {"price": was["round_price"]}, "now": {"price": now["round_price"]}}
        log.append(by, "terms.round-priced", subject, **price)


@transaction.atomic
def put_forward(by: Member, *, note: str = "", digest: str = "", number: int | None = None) -> Version:
    """Put the brief forward as a numbered version, to be signed.

    `digest`, if given, is that of the draft as it was read, and `number` the one that the version was to have. Raises
    PermissionDenied; BriefClosed when a version is out or locked, when something must still be fixed, or when the draft
    is no longer what was read.
    """
    campaign = hold(by, May.PUT_FORWARD)
    if reason := forward_closed_because(campaign):
        raise BriefClosed(reason)
    if number not in (None, campaign.versions.count() + 1):
        raise BriefClosed("Another version has been put forward since you opened this page. Read the brief again.")
    drawn_up = reading.begin(campaign)
    found = sections.findings(drawn_up)
    must = [finding for finding in found if finding.level == "must-fix"]
    if must:
        more = f" And {count(len(must) - 1, 'more', 'more')}." if len(must) > 1 else ""
        raise BriefClosed(f"The brief cannot be put forward yet. {must[0].says}{more}")
    waivers.keep_what_holds(drawn_up, found)
    document = sections.assemble(drawn_up)
    if reason := scope.refusal(campaign, document):
        raise BriefClosed(reason)
    digests = section_digests(document)
    whole = version_digest(digests)
    if digest and digest != whole:
        raise BriefClosed("The brief was changed while you were reading it. Read it again before you put it forward.")
    version = Version(
        campaign=campaign,
        number=campaign.versions.count() + 1,
        document=canonical(document).decode(),
        sections=digests,
        digest=whole,
        signers=[signer["id"] for signer in document["campaign"]["signers"]],
        note=note.strip(),
        put_forward_by=by,
        put_forward_at=timezone.now(),
    )
    version.save()
    campaign.open_version = version
    campaign.save(update_fields=["open_version"])
    subject = f"version/{version.key}"
    log.append(by, "version.put-forward", subject, number=version.number, digest=whole, note=version.note)
    return version


@transaction.atomic
def withdraw(by: Member, *, reason: str, number: int | None = None) -> Version:
    """Take back the version that is out for signature, so that the brief can be edited.

    `number`, if given, is the version that was meant. Raises PermissionDenied, BriefClosed when it is not out,
    ValidationError without a reason.
    """
    access.need(by, May.PUT_FORWARD)
    campaign = Campaign.objects.select_for_update().get(pk=by.campaign_id)
    version = campaign.open_version
    if version is None or number not in (None, version.number):
        raise BriefClosed("That version is not out for signature, so there is nothing to withdraw.")
    if not reason.strip():
        raise ValidationError({"reason": "Say why it is withdrawn: the signers will read it."})
    campaign.open_version = None
    campaign.save(update_fields=["open_version"])
    log.append(by, "version.withdrawn", f"version/{version.key}", number=version.number, reason=reason.strip())
    return version
