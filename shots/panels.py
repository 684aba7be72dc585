"""Panels of a shot's page that are read and edited in place: texts, light, camera."""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from typing import Any

from django.db import models
from django.http import HttpResponse
from django.urls import reverse

from portal.access import May, may
from portal.brief.both import Read
from portal.brief.both_forms import carrying, sent
from portal.brief.draft import closed_because
from portal.pages import CampaignRequest, show, wants_part
from shots.answers import SeeOther, ask, need_open, or_404
from shots.rows import plainly
from shots.shot.models import Shot
from shots.shot.queries import one

_TEMPLATE = "shots/panel.html"


@dataclass(frozen=True)
class Kind:
    """What a panel is made of: `row_of` finds (or makes, unsaved) the row that holds a shot's `fields`."""

    id: str
    title: str
    act: May
    form: Any  # a ModelForm's class
    fields: tuple[str, ...]
    row_of: Callable[[Shot], models.Model]
    # What to write there, for whoever may and for whoever waits.
    empty: str
    cautions: tuple[str, ...] = ()
    # Fields that are read together, such as a width and a height: from the row to a line each.
    joined: Callable[[Any], list[tuple[str, Any]]] = field(default=lambda _: [])
    hidden: tuple[str, ...] = ()

    @property
    def section(self) -> str:
        """Its section of the brief."""
        return "shots" if self.id == "edit" else self.id


def panel(request: CampaignRequest, kind: Kind, shot: Shot) -> dict[str, Any]:
    """What the template shows: the fields that have something in them, and where they are edited."""
    row = kind.row_of(shot)
    told = [(_label(row, name), getattr(row, name)) for name in kind.fields if name not in kind.hidden]
    told[1:1] = kind.joined(row)
    return {
        "kind": kind,
        "shot": shot,
        "lines": [(label, value) for label, value in told if value not in ("", None)],
        "edit": reverse(f"shots:{kind.id}", args=[request.member.campaign.key, shot.key]),
        "editable": may(request.member, kind.act)
        and not closed_because(request.member.campaign, kind.section, shot.key),
    }


def _label(row: models.Model, name: str) -> str:
    field = row._meta.get_field(name)
    assert isinstance(field, models.Field)  # noqa: S101  for the type checker: fields of panels are plain ones
    return str(field.verbose_name)


def edit(request: CampaignRequest, kind: Kind, key: str, act: Callable[..., Any]) -> HttpResponse:
    """Show and take the form of a panel; answers with its shot's page or, to htmx, with the panel."""
    need_open(request, kind.section, key)
    with or_404():
        shot = one(request.member.campaign, key)
        if wants_part(request) and "as_it_was" in request.GET:
            return _read(request, kind, shot)
        if request.method == "POST":
            done, form = sent(request.POST, partial(_form, request, kind, key), partial(_write, request, act, key))
        else:
            row = kind.row_of(shot)
            done, form = None, carrying(kind.form(instance=row), plainly(row, kind.form._meta.fields))
        if done:
            shot = one(request.member.campaign, key)
            if wants_part(request):
                response = _read(request, kind, shot)
                response.headers["HX-Trigger"] = "brief-changed"
                return response
            return SeeOther(reverse("shots:shot", args=[request.member.campaign.key, key]) + f"#{kind.id}")
    if wants_part(request) and not form.is_bound:
        next(iter(form.fields.values())).widget.attrs["autofocus"] = True
    context = {"form": form, "kind": kind, "shot": shot, "url": request.path}
    return ask(request, _TEMPLATE, context, refused=request.method == "POST")


def _form(request: CampaignRequest, kind: Kind, key: str, data: Any) -> Any:
    """The form of a panel as it now stands."""
    return kind.form(data, instance=kind.row_of(one(request.member.campaign, key)))


def _write(request: CampaignRequest, act: Callable[..., Any], key: str, form: Any, *, read: Read) -> Any:
    return act(request.member, key, read=read, **form.cleaned_data)


def _read(request: CampaignRequest, kind: Kind, shot: Shot) -> HttpResponse:
    """The panel in place of its form; the focus comes back to the way to change it."""
    return show(request, _TEMPLATE, {"panel": panel(request, kind, shot), "focus": True}, fragment="read")
