"""Pages of one person, outside any campaign: their list, a new campaign, an invitation's link, themselves."""

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_safe

from portal.brief import once
from portal.brief.actions import start_campaign, started_by
from portal.brief.draft import BriefClosed
from portal.people import accounts, actions, queries
from portal.people.forms import JoinForm, MeForm, StartForm
from portal.people.models import Invitation, User
from portal.people.waiting import lead

_NEAR = 4  # languages shown at once; the others unfold
_YEAR = 365 * 24 * 3600
_BACKEND = settings.AUTHENTICATION_BACKENDS[0]


@require_safe
@login_required
def home(request: Any) -> HttpResponse:
    rows = queries.waiting(request.user)
    invitations = list(queries.invitations_to(request.user))
    return render(
        request,
        "portal/people/home.html",
        {"rows": rows, "says": lead(rows, len(invitations)), "invitations": invitations},
    )


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def start(request: Any) -> HttpResponse:
    if not request.user.starts_campaigns:
        raise PermissionDenied("Your account may not start campaigns. Ask whoever keeps this portal.")
    if known := started_by(request.user, once.digest_of(request)):
        return redirect("portal:people", known.campaign.key)  # a second click, whose code is taken by the first
    form = StartForm(request.POST or None, initial={"role": "agency", "languages": ["en-GB"], "may_sign": False})
    if form.is_valid():
        try:
            member = start_campaign(request.user, **form.cleaned_data, once=once.digest_of(request))
        except ValidationError as refusal:
            form.add_error(None, refusal)
        else:
            messages.success(request, "The campaign has begun. Invite the people who will settle it with you.")
            return redirect("portal:people", member.campaign.key)
    return render(request, "portal/people/start.html", _start_words(form), status=422 if form.is_bound else 200)


def _start_words(form: StartForm) -> dict[str, Any]:
    boxes = list(form["languages"])
    chosen = set(form["languages"].value() or [])
    far = boxes[_NEAR:]
    return {"form": form, "near": boxes[:_NEAR], "far": far, "far_chosen": any(b.data["value"] in chosen for b in far)}


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def me(request: Any) -> HttpResponse:
    first = {"name": request.user.name, "ground": request.COOKIES.get("ground", "device")}
    form = MeForm(request.POST or None, initial=first)
    if not form.is_valid():
        context = {"form": form, "has_password": request.user.has_usable_password()}
        return render(request, "portal/people/me.html", context, status=422 if form.is_bound else 200)
    if form.cleaned_data["name"] != request.user.name:
        accounts.rename(request.user, name=form.cleaned_data["name"])
    messages.success(request, "Kept.")
    response = redirect("portal:me")
    ground = form.cleaned_data["ground"]
    if ground != "device":
        secure = settings.SESSION_COOKIE_SECURE
        # Not httponly: the foot of every page sets the same cookie by script.
        response.set_cookie("ground", ground, max_age=_YEAR, secure=secure, samesite="Lax")
    else:
        response.delete_cookie("ground", samesite="Lax")
    return response


@never_cache
@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def join(request: Any, token: str) -> HttpResponse:
    """Where an invitation's link leads. Nothing of the campaign is shown unless its invitation is open."""
    invitation = Invitation.objects.select_related("campaign", "invited_by__user").filter(token=token).first()
    if invitation is None:
        raise Http404
    if invitation.state != "open":
        return _ended(request, actions.ENDED[invitation.state])
    if not request.user.is_authenticated:
        return _join_signed_out(request, invitation)
    if request.user.email.lower() != invitation.email:
        return render(request, "portal/people/join_other.html", {"invitation": invitation}, status=403)
    if request.method != "POST":
        return _join_page(request, invitation)
    return _take(request, invitation, lambda: actions.accept(request.user, token=token))


def _join_signed_out(request: Any, invitation: Invitation) -> HttpResponse:
    if User.objects.filter(email=invitation.email).exists():
        return _join_page(request, invitation, must_sign_in=True)
    form = JoinForm(invitation, request.POST or None)
    if not form.is_valid():
        return _join_page(request, invitation, form=form, status=422 if form.is_bound else 200)
    name, password = form.cleaned_data["name"], form.cleaned_data["password"] or None

    def joined() -> Any:
        member = actions.join_as_new(token=invitation.token, name=name, password=password)
        login(request, member.user, backend=_BACKEND)
        return member

    return _take(request, invitation, joined)


def _take(request: HttpRequest, invitation: Invitation, act: Any) -> HttpResponse:
    try:
        member = act()
    except actions.InvitationEnded as ended:
        return _ended(request, str(ended))
    except accounts.AccountExists:
        # It was made since the page was drawn.
        return _join_page(request, invitation, must_sign_in=True)
    except BriefClosed as closed:
        return _join_page(request, invitation, closed=str(closed), status=409)
    messages.success(request, f"You are in. You work on it as {member.get_role_display().lower()}.")
    return redirect("portal:campaign", member.campaign.key)


def _join_page(request: HttpRequest, invitation: Invitation, *, status: int = 200, **context: Any) -> HttpResponse:
    inviter, role = invitation.invited_by.user, invitation.get_role_display().lower()
    sign = ", and to sign its brief" if invitation.may_sign else ""
    context |= {
        "invitation": invitation,
        "inviter": inviter,
        "says": f"{inviter} asks you to work on this campaign for {invitation.campaign.client} as {role}{sign}.",
        "without_signing": actions.joins_without_signing(invitation),
        "sign_in": f"{reverse('account_login')}?{urlencode({'next': request.path, 'email': invitation.email})}",
    }
    return render(request, "portal/people/join.html", context, status=status)


def _ended(request: HttpRequest, sentence: str) -> HttpResponse:
    return render(request, "portal/people/join_ended.html", {"says": sentence}, status=410)
