"""Answers that htmx and closed briefs need."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from portal.brief.draft import BriefClosed


class sign_in_again:
    """Send htmx to the sign-in page as a whole page; show why a brief is closed."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        location = response.headers.get("Location", "")
        if (
            getattr(request, "htmx", False)
            and response.status_code == 302
            and location.startswith(reverse("account_login"))
        ):
            # Followed by the browser, the sign-in page would land inside a table.
            return HttpResponse(status=204, headers={"HX-Redirect": location})
        return response

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        if isinstance(exception, BriefClosed):
            return render(request, "portal/closed.html", {"says": str(exception)}, status=409)
        return None
