"""Pages of previews: the picture stage, its crop and full pixels, and the addresses of rendered pictures."""

from collections.abc import Callable
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.cache import never_cache

from layouts.formats.actions import set_crop
from layouts.formats.models import Placement
from layouts.pictures.forms import ZoneForm
from layouts.previews import actions, queries, staging
from layouts.previews.models import Preview
from layouts.previews.waiting import show_or_wait
from portal import access
from portal.access import May
from portal.brief.both_forms import carrying, sent
from portal.brief.draft import held
from portal.files.sending import send
from portal.models import Member
from portal.pages import page, show

STAGE = "layouts/previews/stage.html"


@page(May.READ_DRAFT)
@never_cache
def stage(request: Any, placement: str) -> HttpResponse:
    """One placement's picture, as wide as the page."""
    return show_or_wait(request, STAGE, _stage(request, placement), "stage", "#picture")


@page(May.EDIT_SHOTS, "POST")
def crop(request: Any, placement: str) -> HttpResponse:
    """Set the crop by its four edges, or have it computed round the hero zone again."""
    context = _stage(request, placement)
    computed = "computed" in request.POST
    done, form = sent(
        request.POST,
        ZoneForm,
        lambda form, read: set_crop(request.member, placement, crop=None if computed else list(form.zone), read=read),
        unchecked=computed,
    )
    if not done:
        return show(request, STAGE, context | {"form": form}, fragment="stage", status=422)
    return redirect("layouts:stage", request.member.campaign.key, placement)


@page(May.READ_DRAFT, "POST")
def again(request: Any, placement: str) -> HttpResponse:
    """Have a failed preview made again."""
    return _asked(actions.try_preview_again, request, placement)


@page(May.READ_DRAFT, "POST")
def detail(request: Any, placement: str) -> HttpResponse:
    """Have the full pixels of a crop made, for looking at it pixel for pixel."""
    return _asked(actions.ask_detail, request, placement)


@page(May.READ_DRAFT, "POST")
def proof(request: Any, placement: str) -> HttpResponse:
    """Have a placement shown as it will print."""
    return _asked(actions.ask_proof, request, placement)


@page(May.READ_VERSIONS)
def image(request: Any, placement: str, which: str, tag: str) -> HttpResponse:
    """A rendered picture. Its address carries what it is made of, so that a browser may keep it for good."""
    versions_only(request.member)
    try:
        work = queries.rendering(request.member.campaign, placement, tag)
        file = work.result["files"][which]
    except (Preview.DoesNotExist, KeyError) as none:
        raise Http404("This picture is no longer shown.") from none
    return send(request, file["path"], type=file["type"], etag=f"{tag}-{which}")


def versions_only(member: Member) -> None:
    """Whoever may not read the draft sees its pictures only once they are those of a version.

    While a version is out, or locked and no change has opened what is seen, they are the version's. Raises
    PermissionDenied.
    """
    campaign = member.campaign
    moves = {section for section, _ in held(campaign).places} & {"shots", "formats", "pictures", "layouts"}
    if not (campaign.open_version_id or (campaign.locked_version_id and not moves)):
        access.need(member, May.READ_DRAFT)


def _asked(act: Callable[[Member, str], object], request: Any, placement: str) -> HttpResponse:
    """Ask the worker for something by one act, and go back to the stage."""
    try:
        act(request.member, placement)
    except Preview.DoesNotExist as none:
        raise Http404 from none
    return redirect("layouts:stage", request.member.campaign.key, placement)


def _seen(member: Member, placement: str) -> queries.Seen:
    try:
        return queries.seen_one(member.campaign, placement)
    except Placement.DoesNotExist as none:
        raise Http404 from none


def _stage(request: Any, placement: str) -> dict[str, Any]:
    row = _seen(request.member, placement)
    read = {"crop": row.placement.crop, "mockup": row.mockup.revision if row.mockup else 0}
    form = carrying(ZoneForm(initial=ZoneForm.per_cent(row.crop)), read)
    return staging.stage(request.member, row) | {"form": form}
