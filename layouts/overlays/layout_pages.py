"""One placement's layout: its file, what was found in it, its window and its revisions; and the files themselves."""

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache

from layouts.formats.models import Placement
from layouts.formats.queries import words
from layouts.overlays import actions, looking, queries, seeing
from layouts.overlays.forms import WindowForm
from layouts.overlays.models import Incoming, Layout
from layouts.overlays.pages import NEWER, newer
from portal import access
from portal.access import May
from portal.brief import once
from portal.brief.both import Read
from portal.brief.both_forms import arrived, carrying, sent
from portal.brief.draft import closed_because
from portal.files.sending import send as send_file
from portal.models import StoredFile, Work
from portal.pages import page, show, wants_part
from portal.site.sentences import sentence

LAYOUT = "layouts/overlays/layout.html"


@page(May.READ_DRAFT)
def layout(request: Any, placement: str) -> HttpResponse:
    return _layout(request, placement)


def _layout(
    request: Any, placement: str, *, form: WindowForm | None = None, error: str = "", status: int = 200
) -> HttpResponse:
    campaign = request.member.campaign
    try:
        line = queries.line(campaign, placement)
    except Placement.DoesNotExist as none:
        raise Http404 from none
    closed = closed_because(campaign, "layouts", line.placement.shot.key)
    may_send = access.may(request.member, May.UPLOAD_LAYOUTS) and not closed
    context = {
        "line": line,
        "words": sentence(words(line.placement)).rstrip("."),
        "says": line.says,
        "came": next((row.says for row in queries.came_since(request.member, request.GET.get("came", ""))), ""),
        "facts": seeing.facts(line),
        "seen": (seen := seeing.seen(line)),
        "type_rows": seeing.type_rows(line),
        "type_guide": seeing.GUIDE,
        "may_place": may_send and seen is not None,
        "tiles": seen.tiles if seen else None,
        "revisions": list(queries.revisions(line.placement)),
        "form": form or carrying(WindowForm(initial=line.window), {"window": line.layout and line.layout.window}),
        "told": arrived(request, NEWER, [f"placement/{placement}"]),
        "form_open": form is not None,
        "error": error,
        "closed": closed,
        "may_send": may_send and line.placement.wanted,
    }
    return show(request, LAYOUT, context, fragment="now", status=status)


@page(May.UPLOAD_LAYOUTS, "POST")
def send(request: Any, placement: str) -> HttpResponse:
    """Take in a file for this placement."""
    files = request.FILES.getlist("files")
    if not files:
        return _layout(request, placement, error="No file was chosen.", status=422)
    try:
        taken = actions.receive_files(
            request.member, files=files[:1], placement=placement, once=once.digest_of(request)
        )
        came = taken[0]
    except Placement.DoesNotExist as none:
        raise Http404 from none
    if came.state == Incoming.State.REFUSED:
        return _layout(request, placement, error=f"{came.name} was refused. {came.says}", status=422)
    if came.state == Incoming.State.ASKED:
        return redirect(f"{reverse('layouts:layouts', args=[request.member.campaign.key])}?came={came.key}#q{came.key}")
    url = reverse("layouts:layout", args=[request.member.campaign.key, placement])
    return redirect(f"{url}?came={came.key}{newer(request, taken)}")


@page(May.UPLOAD_LAYOUTS, "POST")
def window(request: Any, layout: str) -> HttpResponse:
    """Correct the window, or go back to the one that was found."""
    row = _row(request, layout)
    found = "found" in request.POST

    def correct(form: WindowForm, *, read: Read) -> Layout:
        typed = None if found else form.window()
        # What was found needs no correcting: it may be found better one day.
        as_found = typed is not None and typed == seeing.found_window(row)
        return actions.correct_window(request.member, layout, window=None if as_found else typed, read=read)

    done, form = sent(request.POST, WindowForm, correct, unchecked=found)
    if done:
        return redirect("layouts:layout", request.member.campaign.key, row.placement.key)
    return _layout(request, row.placement.key, form=form, status=422)


@page(May.UPLOAD_LAYOUTS, "POST")
def current(request: Any, layout: str) -> HttpResponse:
    """Let an older revision stand again."""
    row = _row(request, layout)
    actions.make_current(request.member, layout, once=once.digest_of(request))
    return redirect("layouts:layout", request.member.campaign.key, row.placement.key)


@page(May.UPLOAD_LAYOUTS, "POST")
def again(request: Any, layout: str) -> HttpResponse:
    """Have a layout that could not be checked tried again."""
    row = _row(request, layout)
    actions.try_again(request.member, layout)
    return redirect("layouts:layout", request.member.campaign.key, row.placement.key)


@page(May.READ_DRAFT)
def original(request: Any, layout: str) -> HttpResponse:
    """The designer's file, byte for byte, under its own name."""
    row = _row(request, layout)
    return _original(request, row.file, row.name)


@page(May.UPLOAD_LAYOUTS)
def came(request: Any, incoming: str) -> HttpResponse:
    """A file that came and has no place, as it came."""
    row = _came(request, incoming)
    assert row.file is not None  # noqa: S101  for the type checker: excluded above
    return _original(request, row.file, row.name)


@page(May.READ_DRAFT)
def picture(request: Any, layout: str) -> HttpResponse:
    """The copy of the whole canvas that pages show."""
    row = _row(request, layout)
    if row.work.state != Work.State.DONE:
        raise Http404("It has not been made yet.")
    seen = row.work.result["seen"]
    return send_file(request, seen["path"], type=seen["type"], etag=row.work.key)


@page(May.READ_DRAFT, "GET", "HEAD", "POST", sends=May.UPLOAD_LAYOUTS)
@never_cache
def pixels(request: Any, layout: str) -> HttpResponse:
    """How the file's own pixels stand, for the magnified view; sending it has them made."""
    row = _row(request, layout)
    if request.method == "POST":
        looking.ask_tiles(request.member, layout)
        if not wants_part(request):
            return redirect("layouts:layout", request.member.campaign.key, row.placement.key)
    elif not wants_part(request):
        return redirect("layouts:layout", request.member.campaign.key, row.placement.key)
    tiles = looking.tiles(row.file)
    may_place = access.may(request.member, May.UPLOAD_LAYOUTS)
    context = {"layout": row, "tiles": tiles, "may_place": may_place, "side": looking.TILE_SIDE}
    return render(request, "layouts/overlays/pixels.html", context)


@page(May.READ_DRAFT)
def tile(request: Any, layout: str, column: int, line: int) -> HttpResponse:
    """One square of the file's own pixels."""
    row = _row(request, layout)
    try:
        found = looking.tile(row.file, column, line)
    except KeyError as none:
        raise Http404("There is no such part of this file.") from none
    return send_file(request, found["path"], type=found["type"], etag=f"{row.file.sha256[:16]}-{column}-{line}")


@page(May.UPLOAD_LAYOUTS)
@never_cache
def came_seen(request: Any, incoming: str) -> HttpResponse:
    """The small picture of a file that came; while it is being made, the line that waits for it."""
    row = _came(request, incoming)
    look = looking.looks([row.file]).get(row.file.sha256) if row.file else None
    return render(request, "layouts/overlays/came_seen.html", {"row": row, "look": look})


@page(May.UPLOAD_LAYOUTS)
def came_picture(request: Any, incoming: str) -> HttpResponse:
    """The picture itself."""
    row = _came(request, incoming)
    look = looking.looks([row.file]).get(row.file.sha256) if row.file else None
    if look is None or look.state != Work.State.DONE:
        raise Http404("It has not been made yet.")
    found = look.result["look"]
    return send_file(request, found["path"], type=found["type"], etag=look.key)


def _came(request: Any, incoming: str) -> Incoming:
    rows = Incoming.objects.select_related("file").filter(campaign=request.member.campaign).exclude(file=None)
    return get_object_or_404(rows, key=incoming)


def _original(request: Any, file: StoredFile, name: str) -> HttpResponse:
    return send_file(request, file.path, type=file.type, name=name, etag=file.sha256)


def _row(request: Any, key: str) -> Layout:
    rows = Layout.objects.select_related("placement__format", "file", "work")
    return get_object_or_404(rows, key=key, placement__shot__campaign=request.member.campaign)
