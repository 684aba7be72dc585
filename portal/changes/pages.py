"""Pages of changes: all of them, one, raising one, deciding."""

import json
from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect

from portal import access
from portal.access import May
from portal.brief import once
from portal.brief.draft import BriefClosed, held
from portal.changes import actions, pivot_queries, places, presence, queries, wording
from portal.changes.forms import AcceptForm, Deciding, RaiseForm, RefuseForm, WithdrawForm, form_id
from portal.changes.models import Change
from portal.pages import CampaignRequest, page, show
from portal.people.models import Member

ALL = "portal/changes/all.html"
ONE = "portal/changes/one.html"
RAISE = "portal/changes/raise.html"


@page(May.READ_DRAFT)
def changes(request: CampaignRequest) -> HttpResponse:
    """All changes with their story, the newest first, and what the accepted ones add up to."""
    member, campaign = request.member, request.member.campaign
    rows = list(queries.told(campaign).select_related("campaign"))
    photos = pivot_queries.photos(rows)
    found = queries.total(rows)
    money = access.may(member, May.SEE_ESTIMATE)
    context = {
        "lead_words": wording.lead(rows, held(campaign)),
        "stories": [_story(row, money, photos) for row in reversed(rows)],
        "total": wording.total(found),
        "total_money": [wording.money(amount, currency) for currency, amount in found.money.items()] if money else [],
        "locked": campaign.locked_version_id is not None,
        "not_locked": "" if campaign.locked_version_id else actions.not_locked(campaign),
    }
    return show(request, ALL, context)


def _story(row: Change, money: bool, photos: dict[int, Any]) -> dict[str, Any]:
    """One change as pages tell it; its money only to who may see it."""
    return {
        "change": row,
        "hours": wording.hours(row.hours_low, row.hours_likely, row.hours_high),
        "money": wording.money(row.money, row.currency) if money else "",
        "decided": wording.decided(row),
        "decision": wording.decision(row),
        "became": wording.became(row),
        "present": wording.who_was_there(presence.names(row.present), presence.guests(row.present)),
        "photo": photos.get(row.pk),
    }


@page(May.READ_DRAFT)
def change(request: CampaignRequest, change: str) -> HttpResponse:
    """One change; for who may decide it, the forms."""
    return _one(request, change)


def _one(request: CampaignRequest, key: str, signer: str = "", **sent: forms.Form) -> HttpResponse:
    """`sent`: the form that was refused, by its name; `signer`: the key of somebody in whose place it was sent."""
    member = request.member
    row = queries.told(member.campaign).select_related("campaign").filter(key=key).first()
    if row is None:
        raise Http404("There is no such change.")
    asked = row.state == Change.State.ASKED
    context: dict[str, Any] = {
        "story": _story(row, access.may(member, May.SEE_ESTIMATE), pivot_queries.photos([row])),
        "title": f"Change {row.number}",
        "away": row.kind == Change.Kind.PIVOT and not actions.was_there(member, row),
        "withdraws": asked and actions.may_withdraw(member, row),
        "deciding": [Deciding(row, away, **(sent if _key(away) == signer else {})) for away in _whose(asked, member)],
        "only_signs": wording.only_signs(queries.only_signs_for(member)) if asked else "",
        "withdraw": sent.get("withdraw") or WithdrawForm(auto_id="withdraw_%s"),
    }
    return show(request, ONE, context, status=422 if sent else 200)


def _whose(asked: bool, member: Member) -> list[Member | None]:
    """In whose places the reader may decide: None for their own, and then nobody else's is needed."""
    if not asked:
        return []
    return [None] if access.may(member, May.DECIDE_CHANGE) else [*queries.decides_for(member)]


def _key(away: Member | None) -> str:
    return away.key if away else ""


@page(May.RAISE_CHANGE, "GET", "HEAD", "POST")
def raise_change(request: CampaignRequest) -> HttpResponse:
    """The form; `?open=props/<shot's key>` ticks a place, `&what=` and `&why=` fill in words."""
    campaign = request.member.campaign
    if campaign.locked_version is None:
        raise BriefClosed(actions.not_locked(campaign))
    offered: dict[str, Any] = {
        "offers": places.offers(),
        "shots": places.shots(json.loads(campaign.locked_version.document)),
        "money": access.may(request.member, May.SEE_ESTIMATE),
    }
    if request.method != "POST":
        form = RaiseForm(**offered, ticked=request.GET.getlist("open"))
        form.initial.update({name: request.GET[name] for name in ("what", "why") if name in request.GET})
        return show(request, RAISE, {"form": form, "number": campaign.locked_version.number})
    form = RaiseForm(request.POST, **offered)
    if form.is_valid():
        try:
            made = actions.raise_change(request.member, **form.told, sent_as=once.digest_of(request))
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, f"Change {made.number} is raised. {wording.decision(made)}")
            return redirect("portal:change", campaign=campaign.key, change=made.key)
    return show(request, RAISE, {"form": form, "number": campaign.locked_version.number}, status=422)


@page(May.DECIDE_CHANGE, "POST")
def accept(request: CampaignRequest, change: str) -> HttpResponse:
    """Accept it: what it names is open from now on."""
    return _decided(request, change, "accept", AcceptForm, actions.accept_change)


@page(May.DECIDE_CHANGE, "POST")
def refuse(request: CampaignRequest, change: str) -> HttpResponse:
    """Refuse it, with a reason."""
    return _decided(request, change, "refuse", RefuseForm, actions.refuse_change)


@page(May.READ_DRAFT, "POST")
def accept_for(request: CampaignRequest, change: str, key: str) -> HttpResponse:
    """Accept it in the place of the signer with this key, who has asked this reader to."""
    return _decided(request, change, "accept", AcceptForm, actions.accept_change, key)


@page(May.READ_DRAFT, "POST")
def refuse_for(request: CampaignRequest, change: str, key: str) -> HttpResponse:
    """Refuse it in the place of the signer with this key."""
    return _decided(request, change, "refuse", RefuseForm, actions.refuse_change, key)


@page(May.RAISE_CHANGE, "POST")
def withdraw(request: CampaignRequest, change: str) -> HttpResponse:
    """Take it back."""
    return _decided(request, change, "withdraw", WithdrawForm, actions.withdraw_change)


def _decided(
    request: CampaignRequest,
    key: str,
    name: str,
    form_class: type[forms.Form],
    act: Callable[..., Change],
    signer: str = "",
) -> HttpResponse:
    signer = "" if signer == request.member.key else signer
    form = form_class(request.POST, auto_id=form_id(name, signer))
    whose = {"signer": signer} if signer else {}
    if signer:  # before anything is shown again
        get_object_or_404(Change, campaign=request.member.campaign_id, key=key)
        actions.decider(request.member, signer)
    if form.is_valid():
        try:
            row = act(request.member, key, **form.cleaned_data, **whose)
        except Change.DoesNotExist as none:
            raise Http404("There is no such change.") from none
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            for_whom = f" for {row.decided_for.user}" if row.decided_for else ""
            messages.success(request, f"Change {row.number} is {row.state}{for_whom}.")
            return redirect("portal:change", campaign=request.member.campaign.key, change=key)
    return _one(request, key, signer, **{name: form})
