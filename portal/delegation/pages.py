"""Which signatures hold, all that were ever given, and who signs for whom while somebody is away."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.utils.timezone import localdate

from portal.access import May
from portal.brief import once
from portal.delegation import actions, queries, wording
from portal.delegation.forms import DelegateForm
from portal.delegation.models import Delegation
from portal.pages import CampaignRequest, page, show
from portal.sealing import queries as sealed

SIGNATURES = "portal/delegation/signatures.html"


@page(May.READ_VERSIONS)
def signatures(request: CampaignRequest) -> HttpResponse:
    return _signatures(request)


@page(May.SIGN_OFF, "POST")
def delegate(request: CampaignRequest) -> HttpResponse:
    """Ask somebody to sign in the reader's place; a version that is out waits for either of the two."""
    form = DelegateForm(request.member, request.POST)
    if form.is_valid():
        try:
            made = actions.delegate(request.member, **form.cleaned_data, once=once.digest_of(request))
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            messages.success(request, f"{made.delegate.user} signs for you {wording.days(made)}.")
            return _back(request)
    return _signatures(request, form, status=422)


@page(May.READ_VERSIONS, "POST")
def end(request: CampaignRequest, key: str) -> HttpResponse:
    try:
        ended = actions.end(request.member, key)
    except Delegation.DoesNotExist as none:
        raise Http404 from none
    messages.success(request, f"{ended.delegate.user} no longer signs for {ended.signer.user}.")
    return _back(request)


def _back(request: CampaignRequest) -> HttpResponse:
    return redirect("portal:signatures", request.member.campaign.key)


def _signatures(request: CampaignRequest, form: DelegateForm | None = None, **answer: Any) -> HttpResponse:
    member, today = request.member, localdate()
    versions = sealed.versions(member.campaign, member)
    places = [
        {
            "one": one,
            "days": wording.days(one),
            "state": wording.state(one, today),
            "may_end": one.ended_at is None and one.last_day >= today and queries.may_end(member, one),
        }
        for one in queries.of_campaign(member.campaign)
    ]
    if queries.may_delegate(member):
        form = form or DelegateForm(member)
    context = {
        "says": wording.what_holds(versions),
        "versions": [here for here in versions if any(signer.answer for signer in here.signers)],
        "places": places,
        "mine": wording.told_to(member, queries.to_come(member), today),
        "form": form,
    }
    return show(request, SIGNATURES, context, **answer)
