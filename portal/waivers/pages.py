"""Pages of waivers: those given, giving one, taking one back."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect

from portal import access
from portal.access import May
from portal.brief import once, reading, sections
from portal.brief.draft import closed_because
from portal.brief.finding import Finding
from portal.brief.models import Campaign
from portal.brief.stands import SHORT, must_and_may_be_waived
from portal.pages import CampaignRequest, page, show
from portal.waivers import actions, queries, wording
from portal.waivers.forms import WaiveForm
from portal.waivers.models import Waiver

ALL = "portal/waivers/all.html"
GIVE = "portal/waivers/give.html"


@page(May.READ_DRAFT)
def waivers(request: CampaignRequest) -> HttpResponse:
    """What signers have waived, what has lapsed since, and what was taken back."""
    campaign = reading.begin(request.member.campaign)
    found = sections.findings(campaign)
    given = queries.given(campaign)
    holding = {finding.waiver.pk for finding in found if finding.waiver}
    closed = closed_because(campaign, "waivers")
    context = {
        "holding": [waiver for waiver in given if waiver.pk in holding],
        "lapsed": [(waiver, _instead(waiver, found)) for waiver in given if waiver.pk not in holding],
        "taken_back": queries.taken_back(campaign),
        "closed": closed,
        "may_take_back": access.may(request.member, May.SIGN_OFF) and not closed,
        "lead_words": wording.lead(len(holding), len(given) - len(holding)),
    }
    return show(request, ALL, context)


def _instead(waiver: Waiver, found: list[Finding]) -> str:
    """What readiness says now of the thing that a lapsed waiver was about; empty where it finds nothing in it."""
    return next((one.says for one in found if (one.kind, one.what) == (waiver.kind, waiver.place)), "")


@page(May.SIGN_OFF, "GET", "HEAD", "POST")
def waive(request: CampaignRequest, finding: str) -> HttpResponse:
    """Waive one finding, by name and with a reason; `finding` is the beginning of its key."""
    campaign = request.member.campaign
    form = WaiveForm(request.POST or None)
    if request.method == "POST" and form.is_valid() and _given(request, form):
        messages.success(request, "It is waived, by your name.")
        return redirect("portal:campaign", campaign=campaign.key)
    here = _finding(campaign, finding)
    if here is None and request.method != "POST":
        messages.info(request, "What you wanted to waive is not found any more, or is waived already.")
        return redirect("portal:waivers", campaign=campaign.key)
    if here and not form.is_bound:
        form = WaiveForm(initial={"finding": here.key})
    context = {"form": form, "finding": here, "closed": closed_because(campaign, "waivers")}
    if here:
        context["leads"] = here.place(request.member.role)
    return show(request, GIVE, context, status=422 if request.method == "POST" else 200)


def _given(request: CampaignRequest, form: WaiveForm) -> bool:
    told: dict[str, Any] = dict(form.cleaned_data)
    try:
        actions.give(request.member, told.pop("finding"), **told, once=once.digest_of(request))
    except ValidationError as refused:
        form.add_error(None, refused)
        return False
    return True


def _finding(campaign: Campaign, short: str) -> Finding | None:
    found = sections.findings(campaign)
    return next((one for one in found if must_and_may_be_waived(one) and one.key[:SHORT] == short), None)


@page(May.SIGN_OFF, "POST")
def take_back(request: CampaignRequest, waiver: str) -> HttpResponse:
    """Take a waiver back."""
    try:
        actions.take_back(request.member, waiver)
    except Waiver.DoesNotExist as none:
        raise Http404 from none
    messages.success(request, "The waiver is taken back. What it was about stands in the way again.")
    return redirect("portal:waivers", campaign=request.member.campaign.key)
