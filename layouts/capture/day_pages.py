"""The page for a format that comes on the day, and the picture of a layout dropped there; the brief stays as it is."""

from typing import Any
from urllib.parse import urlencode

from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.cache import patch_cache_control
from django.views.decorators.cache import never_cache

from layouts.capture import day_layouts, day_showing, overlay_source
from layouts.capture.day_forms import DayForm
from layouts.previews.waiting import show_or_wait
from portal.access import May
from portal.models import Member
from portal.pages import page, show
from shots.models import Shot

PAGE = "layouts/capture/day.html"


@page(May.READ_VERSIONS, "GET", "HEAD", "POST", sends=May.READ_DRAFT)
@never_cache
def on_the_day(request: Any, shot: str) -> HttpResponse:
    """Ask whether a frame serves a format; sending a file has the worker look into the layout for the format asked."""
    overlay_source.need_draft(request.member)
    found = _shot(request.member, shot)
    asked = request.GET if "choice" in request.GET else None
    form = DayForm(request.member.campaign, asked)
    if request.method == "POST":
        return _drop(request, found, form)
    context = day_showing.page(request.member, found, form)
    overlay_source.need_drawn(request.member, context["source"])
    fragment, target = ("answer", "#answer") if request.GET.get("part") == "answer" else ("asked", "#asked")
    return show_or_wait(request, PAGE, context, fragment, target)


def _drop(request: Any, shot: Shot, form: DayForm) -> HttpResponse:
    files = request.FILES.getlist("files")
    wrong = ""
    if not form.is_bound or not form.is_valid():
        wrong = "Say first which format the layout is for."
    elif not files:
        wrong = "No file was chosen."
    else:
        try:
            token = day_layouts.drop(request.member, shot, files[0], form.format)
        except ValidationError as refused:
            wrong = " ".join(refused.messages)
        else:
            asked = {name: value for name, value in request.GET.items() if name in form.fields} | {"layout": token}
            address = reverse("layouts:on-the-day", args=[request.member.campaign.key, shot.key])
            return redirect(f"{address}?{urlencode(asked)}")
    context = day_showing.page(request.member, shot, form)
    return show(request, PAGE, context | {"drop_errors": [wrong], "poll": ""}, status=422)


@page(May.READ_DRAFT)
def layout_picture(request: Any, shot: str, tag: str) -> HttpResponse:
    """The window of a layout that was dropped."""
    found = day_layouts.dropped(_shot(request.member, shot), tag, None)
    if found is None or not found.done:
        raise Http404("There is no such picture.")
    answer = HttpResponse(day_layouts.picture(found), content_type="image/webp")
    answer.headers["X-Content-Type-Options"] = "nosniff"
    patch_cache_control(answer, private=True, max_age=3600)
    return answer


def _shot(member: Member, key: str) -> Shot:
    found = get_object_or_404(Shot.objects.select_related("capture_plan"), key=key, campaign=member.campaign_id)
    found.campaign = member.campaign
    return found
