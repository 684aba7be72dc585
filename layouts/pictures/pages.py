"""Pages of mockups: sending one, marking the hero zone, a shot's panel, and the addresses of copies and originals."""

from typing import Any

from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.cache import never_cache

from layouts.pictures import actions, queries, words
from layouts.pictures.forms import MockupForm, ZoneForm
from layouts.pictures.models import Mockup
from layouts.previews.pages import versions_only
from layouts.previews.staging import shot_street, signature
from layouts.previews.waiting import show_or_wait
from portal import access
from portal.access import May
from portal.brief import once
from portal.brief.both import since
from portal.brief.both_forms import arrived, carrying, length_of, sent
from portal.brief.draft import closed_because
from portal.files.sending import send
from portal.models import Member
from portal.pages import page, show
from portal.site import drawing
from shots.models import Shot

MOCKUP = "layouts/pictures/mockup.html"
HERO = "layouts/pictures/hero.html"
# Where the editor's rectangle stands before anyone has marked a zone: the middle of the picture.
NEWER = ("mockup.sent", "mockup.stands-again")
FIRST_ZONE = [0.3, 0.3, 0.7, 0.7]


@page(May.READ_DRAFT, "GET", "HEAD", "POST", sends=May.UPLOAD_MOCKUPS)
@never_cache
def mockup(request: Any, shot: str) -> HttpResponse:
    """All revisions of a shot's mockup, and the form that sends a new one."""
    context = _of(request.member, _shot(request.member, shot))
    context["here"] = reverse("layouts:mockup", args=[request.member.campaign.key, shot])
    if request.method != "POST":
        context["form"] = MockupForm()
        if told := arrived(request, NEWER, [f"shot/{shot}"]):
            context |= {"told": told, "here": f"{context['here']}?since={request.GET['since']}"}
        return show_or_wait(request, MOCKUP, context, "mockup", "#mockup")
    form = MockupForm(request.POST, request.FILES)
    if form.is_valid():
        try:
            came = actions.add_mockup(
                request.member, shot, file=form.cleaned_data["file"], once=once.digest_of(request)
            )
        except ValidationError as refused:
            form.add_error("file", ValidationError(refused.messages))
        else:
            read = length_of(request.POST)
            if read is not None and since(request.member, read, NEWER, [f"shot/{shot}"]):
                return redirect(f"{context['here']}?since={read}")
            return redirect(_next(came), request.member.campaign.key, shot)
    return show(request, MOCKUP, context | {"form": form}, status=422)


@page(May.READ_DRAFT, "GET", "HEAD", "POST", sends=May.EDIT_SHOTS)
@never_cache
def hero(request: Any, shot: str) -> HttpResponse:
    """The hero zone on the current mockup, by dragging or by four numbers."""
    context = _of(request.member, _shot(request.member, shot))
    now = context["now"]
    if now is None:
        return redirect("layouts:mockup", request.member.campaign.key, shot)
    context |= {"here": reverse("layouts:hero", args=[request.member.campaign.key, shot])}
    context |= {"stands": words.hero_stands(now), "widest": context["copies"][-1] if context["copies"] else None}
    if request.method != "POST":
        form = ZoneForm(initial=ZoneForm.per_cent(now.hero or FIRST_ZONE))
        context["form"] = carrying(form, {"hero": now.hero, "mockup": now.revision})
        return show_or_wait(request, HERO, context, "hero", "#hero")
    done, form = sent(
        request.POST,
        lambda data: ZoneForm(data, initial=ZoneForm.per_cent(now.hero or FIRST_ZONE)),
        lambda form, read: actions.mark_hero(request.member, shot, zone=form.zone, read=read),
    )
    if done:
        return redirect("shots:shot", request.member.campaign.key, shot)
    return show(request, HERO, context | {"form": form}, status=422)


@page(May.READ_DRAFT)
@never_cache
def shot_pictures(request: Any, shot: str) -> HttpResponse:
    """The panel of a shot's page: its mockup large, and its placements on the street."""
    found = _shot(request.member, shot)
    context = _of(request.member, found)
    context |= shot_street(request.member, found, context["now"], request.GET.get("language", ""))
    return show_or_wait(request, "layouts/pictures/shot_pictures.html", context, "panel", "#shot-pictures")


@page(May.UPLOAD_MOCKUPS, "POST")
def stand_again(request: Any, mockup: str) -> HttpResponse:
    """Let an earlier revision stand again."""
    return _acted(request, actions.make_current, mockup)


@page(May.UPLOAD_MOCKUPS, "POST")
def copies_again(request: Any, mockup: str) -> HttpResponse:
    """Have a mockup read again whose copies failed."""
    return _acted(request, actions.try_copies_again, mockup)


@page(May.READ_VERSIONS)
def image(request: Any, mockup: str, width: int) -> HttpResponse:
    """A copy of a mockup, upright and in sRGB: the narrowest that has this width, else the widest there is."""
    found = _mockup(request.member, mockup)
    copies = queries.copies(found)
    if not copies:
        raise Http404("The copies of this mockup are not there yet.")
    copy = next((copy for copy in copies if copy["width"] >= width), copies[-1])
    return send(request, copy["path"], type=copy["type"], etag=f"{found.work.key[:16]}-{copy['width']}")


@page(May.READ_VERSIONS)
def original(request: Any, mockup: str) -> HttpResponse:
    """The mockup's file, as it was sent."""
    found = _mockup(request.member, mockup)
    return send(request, found.file.path, type=found.file.type, name=found.name, etag=found.file.sha256)


def _shot(member: Member, shot: str) -> Shot:
    try:
        return queries.shot_of(member.campaign, shot)
    except Shot.DoesNotExist as none:
        raise Http404 from none


def _mockup(member: Member, mockup: str) -> Mockup:
    """A mockup that this member may see. Without the draft, only the one of a version: the current one."""
    found = get_object_or_404(
        Mockup.objects.select_related("file", "work"), key=mockup, shot__campaign=member.campaign_id
    )
    versions_only(member)
    if not found.current and not access.may(member, May.READ_DRAFT):
        raise Http404
    return found


def _of(member: Member, shot: Shot) -> dict[str, Any]:
    """What the pages of a shot's mockup show of it, and for how long they ask again."""
    revisions = list(queries.revisions(shot))
    now = next((row for row in revisions if row.current), None)
    copies = queries.copies(now) if now else []
    key = member.campaign.key
    return {
        "shot": shot,
        "revisions": revisions,
        "now": now,
        "copies": copies,
        "zone": drawing.box(*now.hero) if now and now.hero else None,
        "stands": words.stands(now),
        "about": words.about(now) if now else [],
        "closed": closed_because(member.campaign, "pictures", shot.key),
        "here": reverse("layouts:shot-pictures", args=[key, shot.key]),
        "progress": {"open": bool(now and now.work.open), "sentence": words.stands(now), "done": None, "total": None},
        "signature": signature([], [now]),
    }


def _next(came: Mockup) -> str:
    """After a mockup, its hero zone is what is missing; where that was carried over, the shot."""
    return "shots:shot" if came.hero else "layouts:hero"


def _acted(request: Any, act: Any, mockup: str) -> HttpResponse:
    try:
        done = act(request.member, mockup)
    except Mockup.DoesNotExist as none:
        raise Http404 from none
    return redirect("layouts:mockup", request.member.campaign.key, done.shot.key)
