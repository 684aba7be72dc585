"""A campaign's people: who is in it, who is invited, and what those who may can do about it."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from portal import access
from portal.access import May, Side
from portal.brief import once
from portal.brief.both import TouchedMeanwhile
from portal.brief.both_forms import carrying, length_of, read_of, sent
from portal.brief.draft import BriefClosed, closed_because
from portal.delegation import queries as delegation
from portal.delegation.wording import day
from portal.pages import CampaignRequest, page, show
from portal.people import actions, queries
from portal.people.forms import InviteForm, SeatForm
from portal.people.models import Invitation, Member
from portal.people.waiting import people_say
from portal.site.sentences import joined

PEOPLE = "portal/people/people.html"
REMOVE = "portal/people/remove.html"
_NOBODY = {
    Side.CLIENT: "Nobody yet. The shoot producer or the photographer invites them.",
    Side.AGENCY: "Nobody yet.",
    Side.CREW: "Nobody yet.",
}


@page(May.READ_VERSIONS)
def people(request: CampaignRequest) -> HttpResponse:
    return _people(request)


@page(May.INVITE_OWN_SIDE, "POST")
def invite(request: CampaignRequest) -> HttpResponse:
    form = InviteForm(request.member, request.POST)
    if form.is_valid():
        try:
            invited = actions.invite(request.member, **form.cleaned_data, once=once.digest_of(request))
        except ValidationError as refusal:
            form.add_error(None, refusal)
        except BriefClosed as closed:
            form.add_error("may_sign", str(closed))
        else:
            failed = [
                mail.email for mail in Invitation.objects.filter(pk__in=[one.pk for one in invited], mail_failed=True)
            ]
            _tell(request, [invitation.email for invitation in invited if invitation.email not in failed], failed)
            return _back(request)
    return _people(request, form=form, status=422)


@page(May.INVITE_OWN_SIDE, "POST")
def resend(request: CampaignRequest, key: str) -> HttpResponse:
    invitation = _try(request, lambda: actions.resend(request.member, key, once=once.digest_of(request)))
    if isinstance(invitation, HttpResponse):
        return invitation
    invitation.refresh_from_db()
    failed = [invitation.email] if invitation.mail_failed else []
    _tell(request, [] if failed else [invitation.email], failed)
    return _back(request)


@page(May.INVITE_OWN_SIDE, "POST")
def withdraw(request: CampaignRequest, key: str) -> HttpResponse:
    invitation = _try(request, lambda: actions.withdraw(request.member, key))
    if isinstance(invitation, HttpResponse):
        return invitation
    messages.success(request, f"The invitation to {invitation.email} is withdrawn; its link no longer works.")
    return _back(request)


@page(May.INVITE_OWN_SIDE, "POST")
def change(request: CampaignRequest, key: str) -> HttpResponse:
    def make(data: Any) -> SeatForm:
        return SeatForm(request.member, _member(request, key), data)

    try:
        member, form = sent(
            request.POST,
            make,
            lambda form, read: actions.change_member(request.member, key, read=read, **form.cleaned_data),
        )
    except BriefClosed as closed:
        form = carrying(make(request.POST), read_of(request.POST))
        form.add_error(None, str(closed))
        return _people(request, seats={key: form}, status=409)
    if member is None:
        return _people(request, seats={key: form}, status=422)
    messages.success(request, f"{member.user} is now {member.get_role_display().lower()} in this campaign.")
    return _back(request)


@page(May.INVITE_OWN_SIDE, "GET", "HEAD", "POST")
def remove(request: CampaignRequest, key: str) -> HttpResponse:
    """Ask once, then remove: it cannot be taken back, only invited anew."""
    if request.method == "POST" and once.removed(request.member.campaign, key):
        return _back(request)
    member = _member(request, key)
    context = {"person": member, "says": f"Remove {member.user} from the campaign?"}
    if request.method != "POST":
        return show(request, REMOVE, context)
    try:
        removed = _try(request, lambda: actions.remove_member(request.member, key, read=length_of(request.POST)))
    except TouchedMeanwhile as touched:
        request.member.campaign.refresh_from_db(fields=["log_length"])
        return show(request, REMOVE, context | {"told": touched.told}, status=422)
    if isinstance(removed, HttpResponse):
        return removed
    messages.success(request, f"{member.user} is no longer in this campaign.")
    return redirect("portal:home") if member.pk == request.member.pk else _back(request)


def _people(
    request: CampaignRequest, *, form: InviteForm | None = None, seats: dict[str, SeatForm] | None = None, **answer: Any
) -> HttpResponse:
    """The page, whole, with the forms as they were sent when one was refused."""
    by = request.member
    invites = bool(access.invitable_roles(by))
    seats = seats or {}
    here = list(queries.members(by.campaign))
    notes = _notes(here)
    unanswered = list(queries.unanswered(by.campaign)) if invites else []
    context = {
        "says": people_say(here, len(unanswered)),
        "sides": [_side(side, here, by, seats, notes) for side in Side],
        "invitations": unanswered,
        "invites": invites,
        "form": (form or InviteForm(by)) if invites else None,
        "closed": closed_because(by.campaign, "campaign"),
    }
    return show(request, PEOPLE, context, **answer)


def _notes(here: list[Member]) -> dict[int, str]:
    """Who signs, and who does so in somebody's place today."""
    notes = {person.pk: "signs" for person in access.those_who_may(here, May.SIGN_OFF)}
    for one in delegation.held_by(here):
        notes[one.signer_id] = f"signs, until {day(one.last_day)} also by {one.delegate.user}"
        own = f"{notes[one.delegate_id]}, and" if one.delegate_id in notes else "signs"
        notes[one.delegate_id] = f"{own} for {one.signer.user} until {day(one.last_day)}"
    return notes


def _side(
    side: Side, here: list[Member], by: Member, seats: dict[str, SeatForm], notes: dict[int, str]
) -> dict[str, Any]:
    rows = []
    for person in (one for one in here if one.side == side):
        form = None
        if actions.decides_about(by, person.role):
            form = seats.get(person.key) or _seat(by, person)
        rows.append({"person": person, "form": form, "note": notes.get(person.pk, "")})
    return {"name": side, "label": side.label, "rows": rows, "nobody": _NOBODY[side]}


def _seat(by: Member, person: Member) -> SeatForm:
    form: SeatForm = carrying(SeatForm(by, person), {"role": person.role, "may_sign": person.may_sign})
    return form


def _try(request: CampaignRequest, act: Callable[[], Any]) -> Any:
    """What the act returns; or, refused, the page with its sentence."""
    try:
        return act()
    except (Member.DoesNotExist, Invitation.DoesNotExist) as none:
        raise Http404 from none
    except TouchedMeanwhile:
        raise  # whoever asked shows what the others did
    except ValidationError as refusal:
        sentence, status = " ".join(refusal.messages), 422
    except BriefClosed as closed:
        sentence, status = str(closed), 409
    messages.error(request, sentence)
    return _people(request, status=status)


def _member(request: CampaignRequest, key: str) -> Member:
    member = queries.members(request.member.campaign).filter(key=key).first()
    if member is None or not actions.decides_about(request.member, member.role):
        raise Http404
    return member


def _tell(request: HttpRequest, sent: list[str], failed: list[str]) -> None:
    if sent:
        messages.success(request, f"The invitation to {joined(sent)} has been sent.")
    if failed:
        messages.error(
            request, f"The mail to {joined(failed)} could not be sent. The invitation stands: send it again in a while."
        )


def _back(request: CampaignRequest) -> HttpResponse:
    return redirect("portal:people", request.member.campaign.key)
