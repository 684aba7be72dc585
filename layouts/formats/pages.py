"""The page of formats: what is ordered, the catalogue, and the grid of placements."""

from collections.abc import Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from layouts.formats import actions, catalogue, queries
from layouts.formats.forms import FORMS, form_of
from layouts.formats.models import Format, Placement
from portal import access
from portal.access import May
from portal.brief import once
from portal.brief.both import TouchedMeanwhile
from portal.brief.both_forms import carrying, length_of, sent
from portal.brief.draft import ANY, closed_because
from portal.pages import page, show, wants_part

FORMATS = "layouts/formats/formats.html"
BY_HAND = "layouts/formats/by_hand.html"
FORMAT = "layouts/formats/format.html"
REMOVE = "layouts/formats/remove.html"
# Stands for a key in an address that is built once and used for every cell.
PLACE = "KEY"


@page(May.READ_DRAFT)
def formats(request: Any) -> HttpResponse:
    return _formats(request)


def _formats(
    request: Any, *, error: str = "", ticked: tuple[str, ...] = (), told: Sequence[str] = (), status: int = 200
) -> HttpResponse:
    """The page; `told`: what others decided in the grid while it was chosen from."""
    campaign = request.member.campaign
    grid = queries.grid(campaign)
    closed = closed_because(campaign)
    may = access.may(request.member, May.EDIT_SHOTS)
    may_edit = may and not closed_because(campaign, "formats")
    may_choose = may and not closed_because(campaign, "formats", ANY)
    context = {
        "grid": grid,
        "stage": reverse("layouts:stage", args=[campaign.key, PLACE]).partition(PLACE)[::2],
        "closed": closed,
        "may_edit": may_edit,
        "may_choose": may_choose,
        "choosing": may_choose and ("choose" in request.GET or bool(told)),
        "told": told,
        "groups": catalogue.groups() if may_edit else [],
        "ordered": {format.name for format in grid.formats},
        "error": error,
        "ticked": ticked,
    }
    return show(request, FORMATS, context, fragment="grid", status=status)


@page(May.EDIT_SHOTS, "POST")
def add_formats(request: Any) -> HttpResponse:
    ids = tuple(request.POST.getlist("format"))
    if not ids:
        return _formats(request, error="Tick the sizes that were ordered, then add them.", status=422)
    try:
        actions.add_formats(request.member, formats=catalogue.chosen(ids), once=once.digest_of(request))
    except KeyError:
        return _formats(request, error="One of those sizes is not in the catalogue.", ticked=ids, status=422)
    except ValidationError as wrong:
        return _formats(request, error=" ".join(wrong.messages), ticked=ids, status=422)
    return redirect("layouts:formats", request.member.campaign.key)


@page(May.EDIT_SHOTS, "GET", "HEAD", "POST")
def by_hand(request: Any, kind: str) -> HttpResponse:
    if kind not in FORMS:
        raise Http404("There are posters and screens.")
    form = FORMS[kind](request.POST if request.method == "POST" else None, initial={"ppi": 300})
    if request.method == "POST" and form.is_valid():
        try:
            actions.add_formats(request.member, formats=[form.fields_of()], once=once.digest_of(request))
            return redirect("layouts:formats", request.member.campaign.key)
        except ValidationError as wrong:
            form.add_error(None, wrong)
    context = {"form": form, "kind": kind, "closed": closed_because(request.member.campaign, "formats")}
    return show(request, BY_HAND, context, status=422 if form.errors else 200)


@page(May.EDIT_SHOTS, "GET", "HEAD", "POST")
def format(request: Any, format: str) -> HttpResponse:
    row = _format(request, format)
    if request.method == "POST":
        done, form = sent(
            request.POST,
            lambda data: form_of(_format(request, format), data),
            lambda form, read: actions.edit_format(request.member, format, read=read, **form.fields_of()),
        )
        if done:
            return redirect("layouts:formats", request.member.campaign.key)
    else:
        form = carrying(form_of(row), {name: getattr(row, name) for name in actions.FIELDS})
    context = {"form": form, "format": row, "closed": closed_because(request.member.campaign, "formats")}
    return show(request, FORMAT, context, status=422 if form.errors else 200)


@page(May.EDIT_SHOTS, "POST")
def move_format(request: Any, format: str) -> HttpResponse:
    try:
        actions.move_format(request.member, format, up=request.POST.get("way") != "down", once=once.digest_of(request))
    except Format.DoesNotExist as none:
        raise Http404 from none
    return redirect("layouts:formats", request.member.campaign.key)


@page(May.EDIT_SHOTS, "GET", "HEAD", "POST")
def remove_format(request: Any, format: str) -> HttpResponse:
    campaign = request.member.campaign
    if request.method == "POST" and once.removed(campaign, format):
        return redirect("layouts:formats", campaign.key)
    row = _format(request, format)
    context = {
        "format": row,
        "goes": queries.what_goes(row),
        "title": f"Remove {row.name}?",
        "closed": closed_because(request.member.campaign, "formats"),
    }
    if request.method != "POST":
        return show(request, REMOVE, context)
    try:
        confirmed = request.POST.get("confirmed") == "yes"
        actions.remove_format(request.member, row.key, confirmed=confirmed, read=length_of(request.POST))
    except TouchedMeanwhile as touched:
        campaign.refresh_from_db(fields=["log_length"])
        return show(request, REMOVE, context | {"told": touched.told}, status=422)
    except ValidationError as wrong:
        return show(request, REMOVE, context | {"error": " ".join(wrong.messages)}, status=422)
    return redirect("layouts:formats", request.member.campaign.key)


@page(May.EDIT_SHOTS, "POST")
def wanted(request: Any) -> HttpResponse:
    """Switch a cell, a row or a column: one button of the grid names what and which way."""
    post, campaign = request.POST, request.member.campaign
    on = "on" in post
    what = post.get("on") or post.get("off") or ""
    kind, _, key = what.partition(":")
    if kind == "row":
        placements = queries.of_row(campaign, key)
    elif kind == "column":
        placements = queries.of_column(campaign, *key.partition("/")[::2])
    else:
        kind, placements = "cell", [what]
    try:
        actions.set_wanted(request.member, placements=placements, wanted=on, read=length_of(post))
    except TouchedMeanwhile as touched:
        campaign.refresh_from_db(fields=["log_length"])
        return _formats(request, told=touched.told, status=422)
    except Placement.DoesNotExist as none:
        raise Http404 from none
    if not wants_part(request):
        return redirect(f"{request.path.removesuffix('wanted/')}?choose")
    if kind == "cell":
        return _button(request, what, on)
    context = {"grid": queries.grid(campaign), "choosing": True, "may_edit": True}
    return render(request, f"{FORMATS}#grid", context)


def _button(request: Any, key: str, on: bool) -> HttpResponse:
    """The one button that changed, in place of itself: the grid around it can be large."""
    placement = Placement.objects.select_related("shot", "format").get(key=key)
    answer = render(request, "layouts/formats/choice.html", {"placement": placement, "on": on})
    answer["HX-Retarget"] = f"#p{key}"
    answer["HX-Reswap"] = "outerHTML"
    return answer


def _format(request: Any, key: str) -> Format:
    return get_object_or_404(Format, key=key, campaign=request.member.campaign)
