"""Pages that wait for the worker: they ask again for as long as something is open, and change when it has."""

from typing import Any

from django.http import HttpResponse

from portal.pages import show, wants_part


def show_or_wait(request: Any, template: str, context: dict[str, Any], fragment: str, target: str) -> HttpResponse:
    """The page or its fragment, with `poll` in the context: where its line of progress asks again.

    `context` has `here` (the fragment's address), `progress` (`open`, `sentence`, `done`, `total`) and `signature` of
    what is shown. Asked again with nothing changed, only the line of progress is answered, so that nobody loses their
    place; when something has, the whole fragment goes to `target`.
    """
    here, signature = context["here"], context["signature"]
    poll = f"{here}{'&' if '?' in here else '?'}seen={signature}"
    context["poll"] = poll if context["progress"]["open"] else ""
    asks_again = wants_part(request) and "seen" in request.GET
    if asks_again and context["poll"] and request.GET["seen"] == signature:
        return show(request, "layouts/previews/waiting.html", context)
    answer = show(request, template, context, fragment=fragment)
    if asks_again:
        answer.headers["HX-Retarget"] = target
        answer.headers["HX-Reswap"] = "outerHTML"
    return answer
