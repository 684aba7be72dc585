"""One door and one way to answer, shared by every page of a campaign."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_http_methods

from portal import access
from portal.people.models import Member


class CampaignRequest(HttpRequest):
    """A request that has come through the door: `member` is set, its campaign loaded."""

    member: Member
    htmx: Any


View = Callable[..., HttpResponse]


def page(act: access.May, *methods: str, sends: access.May | None = None) -> Callable[[View], View]:
    """Open a campaign's page to those who may `act`; an outsider gets 404, a member without the right 403.

    `sends` is the capability that a form asks for besides, where more people may read the page than may send it.
    The address carries the campaign's key as `campaign`; the view finds `request.member`.
    """

    def wrap(view: View) -> View:
        @require_http_methods(methods or ("GET", "HEAD"))
        @login_required
        @wraps(view)
        def door(request: Any, campaign: str, **kwargs: Any) -> HttpResponse:
            people = Member.objects.active().select_related("campaign", "user")
            request.member = get_object_or_404(people, campaign__key=campaign, user=request.user)
            # One object a request: what the door loaded is what every query and template sees.
            request.member.user = request.user
            access.need(request.member, act)
            if sends and request.method == "POST":
                access.need(request.member, sends)
            return view(request, **kwargs)

        door.act = act  # type: ignore[attr-defined]
        return door

    return wrap


def wants_part(request: Any) -> bool:
    """Whether htmx asks for a fragment (and not for a whole page in its stead)."""
    return bool(request.htmx and not (request.htmx.boosted or request.htmx.history_restore_request))


def show(
    request: Any, template: str, context: dict[str, Any], *, fragment: str = "", status: int = 200
) -> HttpResponse:
    """Answer with the whole page or, to htmx, with one named part (`partialdef`) of the same template."""
    name = f"{template}#{fragment}" if fragment and wants_part(request) else template
    response = render(request, name, context, status=status)
    patch_vary_headers(response, ["HX-Request"])
    return response
