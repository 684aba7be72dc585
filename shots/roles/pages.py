"""The page of roles: who does each job on the shoot, with a form for each that has no answer or another one."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect

from portal import access
from portal.access import May
from portal.brief import once
from portal.brief.both_forms import length_of
from portal.brief.campaign_section import people
from portal.brief.draft import BriefClosed, closed_because
from portal.models import Member
from portal.pages import CampaignRequest, page, show
from portal.site.sentences import Clause, told
from shots.roles import actions, queries
from shots.roles.forms import FORMS, AnswerForm, RoleForm
from shots.roles.models import RoleAnswer
from shots.roles.queries import Seat

ROLES = "shots/roles/roles.html"


@page(May.READ_DRAFT)
def roles(request: CampaignRequest) -> HttpResponse:
    return _page(request)


@page(May.EDIT_DAYS, "POST")
def answer(request: CampaignRequest, role: str) -> HttpResponse:
    """One answer: `answer` says which kind, the rest is its form's."""
    seats = queries.seats(request.member.campaign)
    seat = next((one for one in seats if one.id == role), None)
    if seat is None:
        raise Http404
    kind = request.POST.get("answer", "")
    if kind == RoleAnswer.Answer.OPEN:
        return _done(
            request,
            lambda: actions.take_back(request.member, role, read=request.POST.get("read")),
            f"The role of {_name(seat)} is open.",
        )
    form_of = next((form for form in FORMS if form.answer == kind), FORMS[0])
    form = form_of(seat, seats, people(request.member.campaign), request.POST)
    if form.is_valid():
        try:
            actions.ACTS[form.answer](request.member, role, **form.cleaned_data)
        except ValidationError as refusal:
            form.add_error(None, refusal)
            # What it says of the other's answer has been read now.
            form.data = request.POST.dict() | {"read": _mark(request, role)}
        except Member.DoesNotExist:
            form.add_error("member", "That person has left the campaign. Choose somebody else.")
        except BriefClosed as closed:
            form.add_error(None, str(closed))
            return _page(request, refused={role: form}, status=409)
        else:
            messages.success(request, f"The role of {_name(seat)} is answered.")
            return _back(request, role)
    return _page(request, refused={role: form}, status=422)


@page(May.EDIT_DAYS, "POST")
def add_role(request: CampaignRequest) -> HttpResponse:
    form = RoleForm(request.POST)
    if form.is_valid():
        try:
            row = actions.add_role(request.member, **form.cleaned_data, once=once.digest_of(request))
        except ValidationError as refusal:
            form.add_error(None, refusal)
        except BriefClosed as closed:
            form.add_error(None, str(closed))
            return _page(request, adding=form, status=409)
        else:
            messages.success(request, f"The role of {row.title.lower()} is in the list. Say who does it.")
            return _back(request, row.key)
    return _page(request, adding=form, status=422)


@page(May.EDIT_DAYS, "POST")
def remove_role(request: CampaignRequest, role: str) -> HttpResponse:
    """Take out a role that was added."""
    says = "The role is no longer in the list."
    if once.removed(request.member.campaign, role):
        messages.success(request, says)
        return _back(request)
    return _done(request, lambda: actions.remove_role(request.member, role, read=length_of(request.POST)), says)


def _done(request: CampaignRequest, act: Callable[[], Any], says: str) -> HttpResponse:
    try:
        act()
    except RoleAnswer.DoesNotExist as none:
        raise Http404 from none
    except ValidationError as refusal:
        request.member.campaign.refresh_from_db(fields=["log_length"])
        messages.error(request, " ".join(refusal.messages))
        return _page(request, status=422)
    except BriefClosed as closed:
        messages.error(request, str(closed))
        return _page(request, status=409)
    messages.success(request, says)
    return _back(request)


def _page(
    request: CampaignRequest,
    *,
    refused: dict[str, AnswerForm] | None = None,
    adding: RoleForm | None = None,
    status: int = 200,
) -> HttpResponse:
    """The page, whole, with a form as it was sent where that was refused."""
    campaign = request.member.campaign
    seats = queries.seats(campaign)
    closed = closed_because(campaign, "roles")
    edits = access.may(request.member, May.EDIT_DAYS) and not closed
    here = people(campaign) if edits else []
    refused = refused or {}
    rows = [_row(seat, seats, here, refused.get(seat.id), edits or seat.id in refused) for seat in seats]
    context = {
        "rows": rows,
        "says": _lead(seats),
        "edits": edits,
        "closed": closed if access.may(request.member, May.EDIT_DAYS) else "",
        "adding": (adding or RoleForm()) if edits or adding else None,
        "refused": [*refused.values(), *([adding] if adding else [])],
    }
    return show(request, ROLES, context, status=status)


def _row(seat: Seat, seats: list[Seat], here: list[Member], refused: AnswerForm | None, edits: bool) -> dict[str, Any]:
    forms = []
    if edits and not seat.given:
        forms = [refused if type(refused) is form else form(seat, seats, here) for form in FORMS]
    return {"seat": seat, "forms": forms, "opened": refused is not None}


def _lead(seats: list[Seat]) -> str:
    """The page's first sentence."""
    open_ = sum(bool(seat.wants) for seat in seats)
    if not open_:
        return "Every role on this job is answered."
    return told([Clause(open_, "role", "has no answer yet", "have no answer yet")])


def _mark(request: CampaignRequest, role: str) -> str:
    return next((seat.mark for seat in queries.seats(request.member.campaign) if seat.id == role), "")


def _name(seat: Seat) -> str:
    return seat.title.lower()


def _back(request: CampaignRequest, role: str = "") -> HttpResponse:
    response = redirect("shots:roles", request.member.campaign.key)
    response["Location"] += f"#role-{role}" if role else ""
    return response
