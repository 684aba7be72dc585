"""Pages of notices: how one is told, of all campaigns and of one; and the way out that a mail carries."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.signing import BadSignature
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from portal.access import May
from portal.notices import actions, mails, queries
from portal.notices.forms import CampaignForm, PersonForm
from portal.notices.models import Wish
from portal.pages import CampaignRequest, page, show
from portal.people.models import Member


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def my_mail(request: Any) -> HttpResponse:
    """The default for all campaigns, and a way to each."""
    wanted = queries.default_of(request.user)
    form = PersonForm(wanted, queries.zone_named_by(request.user), _sent(request))
    if form.is_valid():
        actions.wish_of_person(request.user, **form.cleaned_data)
        messages.success(request, "Kept.")
        return redirect("portal:my-mail")
    context = {"form": form, "seats": queries.seats_of(request.user), "says": f"You are told {wanted.says}."}
    return render(request, "portal/notices/mine.html", context, status=422 if form.is_bound else 200)


@page(May.READ_VERSIONS, "GET", "HEAD", "POST")
def campaign_mail(request: CampaignRequest) -> HttpResponse:
    """How this member is told of this campaign."""
    member = queries.with_wishes(Member.objects.all()).get(pk=request.member.pk)
    wanted = queries.wanted_by(member)
    form = CampaignForm(wanted, queries.default_of(member.user), _sent(request))
    if form.is_valid():
        actions.wish_of_member(request.member, **form.cleaned_data)
        messages.success(request, "Kept.")
        return redirect("portal:campaign-mail", request.member.campaign.key)
    says = (
        "No mail about this campaign is sent to you." if wanted.how == Wish.How.NONE else f"You are told {wanted.says}."
    )
    context = {"form": form, "says": says}
    return show(request, "portal/notices/campaign.html", context, status=422 if form.is_bound else 200)


# Whoever has the signed address may: a mail program that asks with one click (RFC 8058) has no cookie of ours.
@csrf_exempt
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def stop_mail(request: HttpRequest, token: str) -> HttpResponse:
    """Stop a campaign's mail without signing in: a page that asks for one click, and the click.

    It names the campaign by its code alone, as the mail's subject did.
    """
    try:
        key = mails.read_stop_token(token)
    except BadSignature as spoilt:
        raise Http404("This address is not whole. Copy all of it from the mail, or sign in.") from spoilt
    member = get_object_or_404(Member.objects.select_related("campaign", "user"), key=key)
    if request.method == "POST":
        actions.stop(member)
    stopped = request.method == "POST"
    context = {"code": member.campaign.code, "key": member.campaign.key, "stopped": stopped}
    return render(request, "portal/notices/stop.html", context)


def _sent(request: HttpRequest) -> Any:
    """What a form was sent with, also when that is nothing at all."""
    return request.POST if request.method == "POST" else None
