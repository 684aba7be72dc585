"""Pages of the capture plan: of all shots, and of one with what would change it. What is tried is not kept."""

from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.cache import never_cache

from layouts.capture import actions, queries
from layouts.capture.forms import AllowForm, LensForm
from layouts.capture.queries import Drawn
from layouts.capture.trying import Trial, tried
from layouts.formats.models import Placement
from portal import access
from portal.access import May
from portal.brief.both import TouchedMeanwhile
from portal.brief.both_forms import carrying, length_of, sent
from portal.brief.draft import closed_because
from portal.pages import page, show
from shots.models import Shot

PLAN = "layouts/capture/plan.html"
SHOTS_A_PAGE = 12


@page(May.READ_DRAFT)
@never_cache
def captures(request: Any) -> HttpResponse:
    """Every shot, with how many captures serve it."""
    campaign = request.member.campaign
    shots = Paginator(campaign.shots.order_by("number"), SHOTS_A_PAGE).get_page(request.GET.get("page"))
    paper = reverse("layouts:capture-file", args=[campaign.key]) if queries.any_accepted(campaign) else ""
    context = {"lines": queries.lines(campaign, shots), "shots": shots, "paper": paper}
    return show(request, "layouts/capture/all.html", context)


@page(May.READ_DRAFT)
@never_cache
def capture(request: Any, shot: str) -> HttpResponse:
    """One shot's plan, as it is kept or as the levers in the address would have it."""
    kept = queries.of_shot(_shot(request, shot))
    return _plan(request, kept, request.GET)


@page(May.READ_DRAFT)
@never_cache
def changes(request: Any, shot: str) -> HttpResponse:
    """What would change the plan: to htmx by itself, else with all of the page. For shots of many formats."""
    kept = queries.of_shot(_shot(request, shot))
    trial = tried(kept, request.GET)
    context = _context(request, trial) | _forms(kept, {}) | {"changes": trial.changes()}
    return show(request, PLAN, context, fragment="changes")


@page(May.EDIT_CAMERA, "POST")
def accept(request: Any, shot: str) -> HttpResponse:
    """Accept the plan that was seen, with the settings that gave it."""
    found = _shot(request, shot)
    kept = queries.of_shot(found)
    trial = tried(kept, request.POST)
    if trial.can_be_kept:
        settings = trial.drawn.asked.settings
        try:
            actions.accept_capture(
                request.member,
                shot,
                seen=request.POST.get("seen", ""),
                read=length_of(request.POST),
                margin=settings.margin,
                enlargement=settings.enlargement,
                hero_aspect=settings.hero_aspect,
                dropped=list(settings.dropped),
            )
        except TouchedMeanwhile as touched:
            return _plan(request, queries.of_shot(_shot(request, shot)), request.POST, told=touched.told)
        except ValidationError as refused:
            return _plan(request, queries.of_shot(found), request.POST, wrong=" ".join(refused.messages))
        messages.success(request, "The plan is accepted and part of the brief.")
        return redirect("layouts:capture", request.member.campaign.key, shot)
    return _plan(request, kept, request.POST, wrong="This cannot be accepted as it is tried here.")


@page(May.EDIT_CAMERA, "POST")
def settle(request: Any, shot: str) -> HttpResponse:
    """Keep the lens's numbers."""
    kept = queries.of_shot(_shot(request, shot))
    done, form = sent(
        request.POST,
        lambda data: _lens(queries.of_shot(_shot(request, shot)), data),
        lambda form, read: actions.settle_capture(request.member, shot, read=read, **form.cleaned_data),
    )
    if done:
        return redirect(reverse("layouts:capture", args=[request.member.campaign.key, shot]) + "#lens")
    return _plan(request, kept, QueryDict(), lens=form)


@page(May.UPLOAD_LAYOUTS, "POST")
def allow(request: Any, shot: str) -> HttpResponse:
    """Let the hero be smaller than its zone in some formats, or no longer."""
    kept = queries.of_shot(_shot(request, shot))
    form = AllowForm(request.POST, formats=queries.formats(kept.rows))
    if form.is_valid():
        keys = queries.placements_of(kept.rows, form.cleaned_data["formats"])
        try:
            down_to, read = form.cleaned_data["down_to"], length_of(request.POST)
            actions.agree_tolerance(request.member, shot, placements=keys, down_to=down_to, read=read)
        except TouchedMeanwhile as touched:
            form.add_error(None, [*touched.told, "Send yours again if it is to stand instead."])
            kept = queries.of_shot(_shot(request, shot))
        except ValidationError as refused:
            form.add_error(None, refused)
        except Placement.DoesNotExist as none:
            raise Http404 from none
        else:
            return redirect(reverse("layouts:capture", args=[request.member.campaign.key, shot]) + "#allow")
    return _plan(request, kept, QueryDict(), allow=form)


def _shot(request: Any, shot: str) -> Shot:
    try:
        return queries.shot_of(request.member.campaign, shot)
    except Shot.DoesNotExist as none:
        raise Http404 from none


def _plan(
    request: Any, kept: Drawn, data: QueryDict, *, wrong: str = "", told: Sequence[str] = (), **forms: Any
) -> HttpResponse:
    """The page; `told`: what others accepted while this was tried."""
    if told or forms:
        request.member.campaign.refresh_from_db(fields=["log_length"])
    trial = tried(kept, data)
    waits = not queries.at_once(trial.drawn)
    context = _context(request, trial) | _forms(kept, forms)
    context |= {
        "wrong": wrong,
        "told": told,
        "read": _read(request, data),
        "waits": waits,
        "changes": [] if waits else trial.changes(),
    }
    refused = wrong or told or trial.form.errors or any(given.errors for given in forms.values())
    return show(request, PLAN, context, fragment="plan", status=422 if refused else 200)


def _context(request: Any, trial: Trial) -> dict[str, Any]:
    shot = trial.kept.asked.shot
    closed = closed_because(request.member.campaign, actions.SECTION, shot.key)
    may_settle = access.may(request.member, May.EDIT_CAMERA) and not closed
    return {
        "shot": shot,
        "lead": trial.kept.lead,
        "stands": queries.stands(trial.kept),
        "paper": _paper(request, shot) if trial.kept.lens.accepted else "",
        "trial": trial,
        "plan": queries.shown(trial.drawn),
        "form": trial.form,
        "closed": closed,
        "may_settle": may_settle,
        "may_accept": may_settle and trial.can_be_kept,
        "is_kept": not trial.differs and queries.is_accepted(trial.kept),
        # Without a camera or a hero zone nothing is planned; a shot too large to plan can lose formats.
        "may_try": bool(trial.drawn.plan or trial.drawn.refused or trial.differs or trial.form.errors),
        "may_allow": access.may(request.member, May.UPLOAD_LAYOUTS) and not closed,
        "allowed": queries.allowed(trial.kept),
    }


def _paper(request: Any, shot: Shot) -> str:
    return reverse("layouts:capture-file", args=[request.member.campaign.key]) + f"?shot={shot.key}"


def _forms(kept: Drawn, given: dict[str, Any]) -> dict[str, Any]:
    allow = AllowForm(formats=queries.formats(kept.rows), initial={"down_to": "0.9"}, auto_id="allow_%s")
    return {"lens": given.get("lens") or _lens(kept, None), "allow": given.get("allow") or allow}


def _lens(kept: Drawn, data: Any) -> Any:
    """The form of the lens as it stands."""
    numbers = {name: getattr(kept.lens, name) for name in actions.LENS}
    return carrying(LensForm(data, initial=numbers), numbers)


def _read(request: Any, tries: QueryDict) -> str:
    """How long the log was when the whole page was read: what is tried after that replaces a part of it alone."""
    length = tries.get("read", "")
    return length if length.isascii() and length.isdigit() else str(request.member.campaign.log_length)
