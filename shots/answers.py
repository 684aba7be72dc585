"""How the room's pages answer: a form in a page or, to htmx, in place; then the page again or the part."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from django import forms
from django.core.exceptions import ObjectDoesNotExist, ValidationError
from django.http import Http404, HttpResponse, HttpResponseRedirect

from portal.brief.draft import BriefClosed, closed_because
from portal.pages import CampaignRequest, show, wants_part


class SeeOther(HttpResponseRedirect):
    """After an act: the browser asks for the page anew, with GET."""

    status_code = 303


def need_open(request: CampaignRequest, section: str, shot: str | None = "") -> None:
    """Raise BriefClosed, which becomes a page with the reason, unless this place of the brief can be edited."""
    if reason := closed_because(request.member.campaign, section, shot):
        raise BriefClosed(reason)


@contextmanager
def or_404() -> Iterator[None]:
    """A row that is not there, or is another campaign's, is a page that is not there."""
    try:
        yield
    except ObjectDoesNotExist as none:
        raise Http404 from none


def act_on(form: forms.BaseForm, act: Callable[..., Any], **more: Any) -> Any:
    """Call `act` with what the form holds; None when the form, or the act, refuses (the form then says why)."""
    if not form.is_valid():
        return None
    try:
        return act(**form.cleaned_data, **more)
    except ValidationError as refused:
        form.add_error(None, refused)
        return None


def ask(
    request: CampaignRequest, template: str, context: dict[str, Any], *, fragment: str = "asked", refused: bool = False
) -> HttpResponse:
    """Show a form: `inline` tells the template that it stands within another page."""
    status = 422 if refused else 200
    return show(request, template, context | {"inline": wants_part(request)}, fragment=fragment, status=status)
