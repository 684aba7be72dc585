"""What was sent when it could not be taken, shown again so that it is not lost: signed out meanwhile, an old page."""

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from portal.brief import both_forms, once

# Not repeated: the new page has its own word against forgery.
_TOKEN = "csrfmiddlewaretoken"  # noqa: S105  the name of a field
# Sent along, and nothing that somebody typed.
_UNSAID = {_TOKEN, both_forms.READ, once.FIELD, "from", "back", "next", "set", "seen"}
ACCOUNT = "/account/"  # passwords, codes and keys
SIGNED_OUT = "signed-out"
OLD_PAGE = "old-page"


@dataclass(frozen=True)
class Sent:
    """A form as it was sent. `fields`: every (name, value); `said`: (label, value) of what people typed or chose."""

    fields: list[tuple[str, str]]
    said: list[tuple[str, str]]
    files: list[str]


def sent(request: HttpRequest) -> Sent | None:
    """The form of this request; None where there is none, or where it held a password or a code."""
    if request.method != "POST":
        return None
    names = [name for name in request.POST if name != _TOKEN]
    if request.path.startswith(ACCOUNT) or any("password" in name for name in names):
        return None
    fields = [(name, str(value)) for name in names for value in request.POST.getlist(name)]
    said = [(_label(name), value) for name, value in fields if name not in _UNSAID and value.strip()]
    files = [str(file.name) for name in request.FILES for file in request.FILES.getlist(name)]
    return Sent(fields, said, files)


def again(request: HttpRequest, why: str) -> HttpResponse:
    """A page with what was sent and a button that sends it again; `why` is SIGNED_OUT or OLD_PAGE."""
    whole = bool(getattr(request, "htmx", False))
    context: dict[str, Any] = {"sent": sent(request), "why": why}
    response = render(request, "portal/sent.html", context, status=422 if whole else 403)
    if whole:  # of what is refused htmx swaps 422 alone, and this page takes the window's place
        response.headers["HX-Retarget"] = "body"
        response.headers["HX-Reswap"] = "innerHTML"
    return response


def untrusted(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Django's answer to a form without a valid word against forgery: signed in again since, or another site's form.

    Only what our own pages sent is offered to be sent again: the browser says where a form comes from.
    """
    if request.headers.get("Origin") == f"{request.scheme}://{request.get_host()}":
        return again(request, OLD_PAGE)
    return render(request, "portal/sent.html", {"sent": None, "why": "foreign"}, status=403)


def _label(name: str) -> str:
    words = name.rpartition("-")[2].replace("_", " ").strip()
    return words[:1].upper() + words[1:]
