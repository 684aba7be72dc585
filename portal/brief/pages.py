"""The campaign's first page, its terms, and the brief with its versions."""

from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.timezone import localdate

from portal import access
from portal.access import May
from portal.brief import actions, documents, first_page, looking, sections, wording
from portal.brief.both import Read
from portal.brief.both_forms import carrying, sent
from portal.brief.draft import closed_because
from portal.brief.forms import TermsForm
from portal.brief.models import Campaign, Look
from portal.delegation import queries as delegation
from portal.delegation import wording as who_signs
from portal.pages import CampaignRequest, page, show
from portal.people.languages import NAMES, name_of
from portal.people.models import Member
from portal.sealing import queries as sealed
from portal.sealing.forms import answering

WHERE = "portal/brief/where.html"
TERMS = "portal/brief/terms.html"
BRIEF = "portal/brief/brief.html"


@page(May.READ_VERSIONS)
def where_it_stands(request: CampaignRequest) -> HttpResponse:
    """Where the campaign stands and what is wanted of this reader."""
    member = request.member
    return show(request, WHERE, first_page.context(member) | {"who_signs": _who_signs(member)})


def _who_signs(member: Member) -> str:
    """Who may sign for this reader, or for whom they may; asked of signers, and of others while a version is out."""
    if not (member.campaign.open_version_id or access.may(member, May.SIGN_OFF)):
        return ""
    return who_signs.told_to(member, delegation.to_come(member), localdate())


@page(May.READ_DRAFT, "GET", "HEAD", "POST", sends=May.EDIT_SHOTS)
def terms(request: CampaignRequest) -> HttpResponse:
    """The campaign's terms: read by who may read the draft, changed by who may change shots."""
    campaign = request.member.campaign
    closed = closed_because(campaign, "campaign")
    if request.method == "POST":
        done, form = sent(request.POST, partial(_terms_form, request.member), partial(_settle, request.member))
        if done:
            messages.success(request, "The terms are as you wrote them.")
            return redirect("portal:campaign", campaign=campaign.key)
        return show(request, TERMS, _terms(request, form, closed), status=422)
    form = _terms_form(request.member, None)
    carrying(form, {name: getattr(form.instance, name) for name in form.fields})
    return show(request, TERMS, _terms(request, form, closed))


def _terms_form(member: Member, data: Any) -> TermsForm:
    """The form of the terms as they now stand, with what this member may see of them."""
    campaign = Campaign.objects.get(pk=member.campaign_id)
    return TermsForm(data, instance=campaign, sees_price=access.may(member, May.SEE_ESTIMATE))


def _settle(by: Member, form: TermsForm, *, read: Read) -> Campaign:
    return actions.settle_terms(by, read=read, **form.cleaned_data)


def _terms(request: CampaignRequest, form: TermsForm, closed: str) -> dict[str, Any]:
    editable = access.may(request.member, May.EDIT_SHOTS) and not closed
    spoken = [(tag, name_of(tag)) for tag in request.member.campaign.languages]
    return {"form": form, "closed": closed, "editable": editable, "spoken": spoken, "tags": NAMES.items()}


@page(May.READ_VERSIONS)
def brief(request: CampaignRequest) -> HttpResponse:
    """The brief as it stands now for this reader, and its versions. The first reading is where "since" starts from."""
    member, campaign = request.member, request.member.campaign
    versions = sealed.versions(campaign)
    here = looking.newest(member)
    context = {
        "brief": here,
        "lead_words": wording.what_is_read(here),
        "parts": _readable(request, here) if here else [],
        "versions": versions,
        "rounds": wording.rounds(len(versions), campaign.rounds_included),
        "closed": closed_because(campaign),
    }
    if here and not Look.objects.filter(member=member).exists():
        looking.keep(member, here)
    return show(request, BRIEF, context)


@page(May.READ_VERSIONS)
def version(request: CampaignRequest, number: int) -> HttpResponse:
    """A version as it was put forward, from its stored document."""
    campaign = request.member.campaign
    found = get_object_or_404(campaign.versions.select_related("put_forward_by__user"), number=number)
    standing = sealed.standing_of(found, campaign, request.member)
    places = sealed.places(standing, request.member)
    here = documents.of_version(found, campaign, state=standing.state)
    context = {
        "brief": here,
        "version": found,
        "title": f"Version {number}",
        "lead_words": places[0].says if places else wording.what_became(standing),
        "here": standing,
        "parts": _readable(request, here),
        "answering": answering(found, campaign, places),
    }
    return show(request, "portal/brief/version.html", context)


def _readable(request: CampaignRequest, here: documents.Brief) -> list[dict[str, Any]]:
    """The document's sections that this reader may read, each with its template, data and digest."""
    known = {section.name: section for section in sections.sections()}
    rows: list[dict[str, Any]] = []
    for name in here.document:
        section = known.get(name)
        if section is None:
            # A version outlives the portal that wrote it: what this one cannot draw is still named, with its digest.
            rows.append({"name": name, "title": name.capitalize(), "template": "", "digest": here.digests[name]})
        elif access.may(request.member, section.read):
            data = here.document[name]
            row = {"name": name, "title": section.title, "template": section.template, "data": data}
            rows.append({**row, "order": section.order, "digest": here.digests[name]})
    return sorted(rows, key=lambda row: (row.get("order", 1000), row["name"]))
