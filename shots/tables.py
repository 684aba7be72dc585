"""Tables whose rows are added, edited and removed where they stand: hero food and props."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import models
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from portal.access import May, may
from portal.brief import once
from portal.brief.both import Read, TouchedMeanwhile
from portal.brief.both_forms import carrying, length_of, sent
from portal.brief.draft import ANY, closed_because
from portal.models import Campaign
from portal.pages import CampaignRequest, wants_part
from shots.answers import SeeOther, act_on, ask, need_open, or_404
from shots.shot.models import Shot
from shots.shot.queries import one

_ASK = "shots/row_form.html"


@dataclass(frozen=True)
class Table:
    """One kind of row. `find` lists a campaign's rows, `line` is a row as its template shows it."""

    id: str
    noun: str
    act: May
    form: type
    find: Callable[[Campaign], "models.QuerySet[Any]"]
    line: Callable[[Any], dict[str, Any]]
    line_of_data: Callable[[dict[str, Any], dict[str, Any]], dict[str, Any]]
    rights: Callable[[CampaignRequest, str], dict[str, Any]]
    # The fields of its form, as plain data.
    read: Callable[[Any], dict[str, Any]]
    add: Callable[..., Any]
    edit: Callable[..., Any]
    remove: Callable[..., None]

    @property
    def template(self) -> str:
        return f"shots/{self.id}/rows.html"

    @property
    def list(self) -> str:
        return f"shots/{self.id}/table.html"

    @property
    def fields(self) -> str:
        return f"shots/{self.id}/fields.html"


def editable(request: CampaignRequest, act: May, section: str, shot: str) -> bool:
    """Whether this member may `act` on a brief that is open."""
    return may(request.member, act) and not closed_because(request.member.campaign, section, shot)


def of_shot(request: CampaignRequest, table: Table, shot: Shot) -> dict[str, Any]:
    """What the table of one shot's page is drawn from."""
    place = {"id": shot.key, "number": shot.number, "title": shot.title}
    lines = [table.line(row) for row in table.find(request.member.campaign).filter(shot=shot)]
    return {"lines": lines, "shot": place} | table.rights(request, shot.key)


def add(request: CampaignRequest, table: Table, shot: str) -> HttpResponse:
    """Ask for a new row of a shot; answers with the row and a place for the next."""
    need_open(request, table.id, shot)
    with or_404():
        of = one(request.member.campaign, shot)
    if _as_it_was(request):
        context = {"shot_key": of.key, "place": _place(request), "focus": True}
        return render(request, f"{table.template}#next", context)
    form = table.form(request.POST or None)
    adding = partial(table.add, request.member, shot, once=once.digest_of(request))
    if request.method == "POST" and (made := act_on(form, adding)):
        row = table.find(request.member.campaign).get(pk=made.pk)
        return _done(request, table, row, {"and_next": of.key})
    return _ask(request, table, of, form, None)


def edit(request: CampaignRequest, table: Table, key: str) -> HttpResponse:
    """Ask for what should change in a row; answers with the row."""
    need_open(request, table.id, ANY)
    with or_404():
        row = table.find(request.member.campaign).get(key=key)
    need_open(request, table.id, row.shot.key)
    if _as_it_was(request):
        return _row(request, table, row)
    if request.method != "POST":
        return _ask(request, table, row.shot, carrying(table.form(instance=row), table.read(row)), key)
    with or_404():
        done, form = sent(request.POST, partial(_form, request, table, key), partial(_edit, request, table, key))
    if done:
        return _done(request, table, table.find(request.member.campaign).get(key=key))
    return _ask(request, table, row.shot, form, key)


def remove(request: CampaignRequest, table: Table, key: str) -> HttpResponse:
    """Ask whether a row should go, and again where others have changed it since; answers with nothing in its place."""
    need_open(request, table.id, ANY)
    told: list[str] = []
    if request.method == "POST" and (gone := once.removed(request.member.campaign, key)):
        return _gone(request, table, gone.payload["shot"])
    with or_404():
        row = table.find(request.member.campaign).get(key=key)
        need_open(request, table.id, row.shot.key)
        if _as_it_was(request):
            return _row(request, table, row)
        if request.method == "POST":
            try:
                table.remove(request.member, key, read=length_of(request.POST))
                return _removed(request, table, row)
            except TouchedMeanwhile as touched:
                told = touched.told
                request.member.campaign.refresh_from_db(fields=["log_length"])
    context = {"row": row, "told": told} | _asked(request, table, row.shot, key)
    return ask(request, "shots/row_remove.html", context, refused=bool(told))


def act(request: CampaignRequest, table: Table, key: str, act: Callable[..., Any], **what: Any) -> HttpResponse:
    """Do something with a row at the press of a button; a refusal is said in the row."""
    says = ""
    with or_404():
        try:
            act(request.member, key, **what)
        except ValidationError as refused:
            says = " ".join(refused.messages)
        row = table.find(request.member.campaign).get(key=key)
    if says and not wants_part(request):
        messages.error(request, says)
    return _done(request, table, row, {"refused": says}, status=422 if says else 200)


def _form(request: CampaignRequest, table: Table, key: str, data: Any) -> Any:
    """The form of a row as it now stands."""
    return table.form(data, instance=table.find(request.member.campaign).get(key=key))


def _edit(request: CampaignRequest, table: Table, key: str, form: Any, *, read: Read) -> Any:
    return table.edit(request.member, key, read=read, **form.cleaned_data)


def _done(
    request: CampaignRequest, table: Table, row: Any, more: dict[str, Any] | None = None, status: int = 200
) -> HttpResponse:
    if not wants_part(request):
        return SeeOther(_back(request, table, row.shot, row.key))
    response = _row(request, table, row, more, status)
    # What the page says of the whole follows.
    response.headers["HX-Trigger"] = "brief-changed"
    return response


def _row(
    request: CampaignRequest, table: Table, row: Any, more: dict[str, Any] | None = None, status: int = 200
) -> HttpResponse:
    """The row in place of the form that stood there; the focus comes back to where it was."""
    context = {"line": table.line(row), "place": _place(request), "focus": True}
    context |= table.rights(request, row.shot.key) | (more or {})
    return render(request, f"{table.template}#row", context, status=status)


def _removed(request: CampaignRequest, table: Table, row: Any) -> HttpResponse:
    if not wants_part(request):
        return SeeOther(_back(request, table, row.shot))
    response = render(request, "shots/row_removed.html", {"row": row})
    response.headers["HX-Trigger"] = "brief-changed"
    return response


def _gone(request: CampaignRequest, table: Table, shot: str) -> HttpResponse:
    """The answer to a second click: the row is gone, as was asked; its shot may be gone as well."""
    if wants_part(request):
        return HttpResponse()
    with or_404():
        return SeeOther(_back(request, table, one(request.member.campaign, shot)))


def _as_it_was(request: CampaignRequest) -> bool:
    """Whether a form in place is left, so that what stood there comes back."""
    return wants_part(request) and "as_it_was" in request.GET


def _ask(request: CampaignRequest, table: Table, shot: Shot, form: Any, key: str | None) -> HttpResponse:
    context = {"shot": shot, "form": form, "url": request.path} | _asked(request, table, shot, key)
    if wants_part(request) and not form.is_bound:
        next(iter(form.fields.values())).widget.attrs["autofocus"] = True
    return ask(request, _ASK, context, refused=request.method == "POST")


def _asked(request: CampaignRequest, table: Table, shot: Shot, key: str | None) -> dict[str, Any]:
    """Where a form stands, and the page and row to go back to."""
    back = _back(request, table, shot, key)
    return {
        "table": table,
        "key": key,
        "back": back,
        "row_id": f"{table.id}-{key}" if key else f"add-{table.id}-{shot.key}",
        "place": _place(request),
    }


def _place(request: CampaignRequest) -> str:
    """Where the row stands: on its shot's page, or on the page of lists, which tells the shot too."""
    asked = request.POST.get("from") or request.GET.get("from")
    return "lists" if asked == "lists" else "shot"


def _back(request: CampaignRequest, table: Table, shot: Shot, key: str | None = None) -> str:
    campaign = request.member.campaign.key
    at = f"#{table.id}-{key}" if key else f"#{table.id}"
    if _place(request) == "lists":
        # Rows are added where one shot is shown, and edited also where all are.
        one_shot = "" if key else f"?shot={shot.key}"
        return reverse("shots:lists", args=[campaign]) + one_shot + at
    return reverse("shots:shot", args=[campaign, shot.key]) + at
