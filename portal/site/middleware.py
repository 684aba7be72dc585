"""Answers that htmx and closed briefs need, and what is worth squeezing."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware
from django.shortcuts import render
from django.urls import reverse

from portal.brief.draft import BriefClosed
from portal.site.sent import ACCOUNT, SIGNED_OUT, again, sent

_TEXT = ("text/", "application/json", "application/javascript")


class SqueezeText(GZipMiddleware):
    """Compress pages and fragments; pictures are compressed already, and their ETag must stay as it is."""

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        if not response.headers.get("Content-Type", "").startswith(_TEXT):
            return response
        return super().process_response(request, response)


def _is_person(request: HttpRequest) -> bool:
    """Whether a page is shown to somebody, and not an answer read by a script of ours."""
    return bool(getattr(request, "htmx", False)) or "text/html" in request.headers.get("Accept", "")


class SignInAgain:
    """Keep what was sent while signed out; send htmx to the sign-in page as a whole page; say why a brief is closed."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        location = response.headers.get("Location", "")
        signs_in = response.status_code == 302 and location.startswith(reverse("account_login"))
        if signs_in and request.method == "POST" and not request.path.startswith(ACCOUNT) and _is_person(request):
            return again(request, SIGNED_OUT)
        if response.status_code == 405 and request.method == "GET":
            told = render(request, "405.html", status=405)
            told.headers["Allow"] = response.headers["Allow"]
            return told
        if signs_in and getattr(request, "htmx", False):
            # Followed by the browser, the sign-in page would land inside a table.
            return HttpResponse(status=204, headers={"HX-Redirect": location})
        return response

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        if isinstance(exception, BriefClosed):
            return render(request, "portal/closed.html", {"says": str(exception), "sent": sent(request)}, status=409)
        return None
