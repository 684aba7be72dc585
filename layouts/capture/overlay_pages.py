"""Pages of set overlays: asking for them, and having them, through the campaign's door only."""

import zipfile
from typing import Any

from django.core.exceptions import ValidationError
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.cache import patch_cache_control
from django.views.decorators.cache import never_cache

from layouts.capture import overlay_actions, overlay_showing, overlay_source
from layouts.capture.overlay_forms import OverlayForm
from layouts.capture.overlay_models import SetOverlay
from layouts.previews.waiting import show_or_wait
from portal import access
from portal.access import May
from portal.files.names import attachment
from portal.files.sending import on_disk, send
from portal.models import Member
from portal.pages import page, show
from shots.models import Shot

PAGE = "layouts/capture/overlays.html"
_TYPES = {"png": "image/png", "txt": "text/plain; charset=utf-8"}


@page(May.READ_VERSIONS, "GET", "HEAD", "POST")
@never_cache
def set_overlays(request: Any, shot: str) -> HttpResponse:
    """A shot's pictures for live view: of the version that holds, else of the draft to whoever may read that."""
    overlay_source.need_draft(request.member)
    found = _shot(request.member, shot)
    if request.method == "POST":
        form = OverlayForm(request.POST)
        if form.is_valid():
            try:
                overlay_actions.ask_overlays(request.member, shot, form.options())
                return redirect("layouts:set-overlays", request.member.campaign.key, shot)
            except ValidationError as refused:
                form.add_error(None, refused)
        return show(request, PAGE, _context(request.member, found) | {"form": form}, status=422)
    context = _context(request.member, found)
    context["form"] = OverlayForm(initial=OverlayForm.first(context["inputs"]))
    return show_or_wait(request, PAGE, context, "made", "#made")


@page(May.READ_VERSIONS)
def set_overlay(request: Any, shot: str, tag: str, which: str) -> HttpResponse:
    """One capture's pictures: `zip` is all of them, `look` a small copy for pages, else one file by its name."""
    row = _row(request.member, shot, tag)
    if not overlay_showing.may_have(row):
        raise Http404("They have not been drawn yet.")
    files = row.work.result["files"]
    if which in files:
        file = files[which]
        name = row.work.inputs["pack"] if which == "zip" else ""
        return send(request, file["path"], type=file["type"], name=name, etag=f"{row.work.key[:32]}-{which}")
    return _from_zip(files["zip"]["path"], which)


def _from_zip(path: str, name: str) -> HttpResponse:
    """One file out of a ZIP, as a download; it is stored there as it is."""
    try:
        with on_disk(path) as held, zipfile.ZipFile(held) as archive:
            entry, size = archive.open(name), archive.getinfo(name).file_size
    except (KeyError, FileNotFoundError) as none:
        raise Http404("There is no such file.") from none
    answer = FileResponse(entry, content_type=_TYPES[name.rpartition(".")[2]])
    answer.headers["Content-Length"] = str(size)
    answer.headers["Content-Disposition"] = attachment(name)
    answer.headers["X-Content-Type-Options"] = "nosniff"
    patch_cache_control(answer, private=True, no_store=True)
    return answer  # type: ignore[return-value]  # what a view returns, also when it streams


def _row(member: Member, shot: str, tag: str) -> SetOverlay:
    """A set that this member may have: one of a version, or of the draft to whoever may read that."""
    rows = SetOverlay.objects.select_related("work")
    row = get_object_or_404(rows, key=tag, shot__key=shot, shot__campaign=member.campaign_id)
    if row.version_id is None:
        access.need(member, May.READ_DRAFT)
    return row


def _shot(member: Member, key: str) -> Shot:
    found = get_object_or_404(Shot.objects.select_related("capture_plan"), key=key, campaign=member.campaign_id)
    found.campaign = member.campaign
    return found


def _context(member: Member, shot: Shot) -> dict[str, Any]:
    context = overlay_showing.page(member.campaign, shot)
    overlay_source.need_drawn(member, context["source"])
    return context
