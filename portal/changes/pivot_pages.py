"""The page on which a change is recorded on set, what its script asks, its worker, and the photos of such changes."""

import secrets
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache

from portal.access import May
from portal.brief.draft import BriefClosed
from portal.changes import actions, pivot_actions, pivot_queries
from portal.changes.models import Change
from portal.changes.pivot_forms import PivotForm
from portal.files import pictures
from portal.files.sending import send
from portal.pages import CampaignRequest, page

PIVOT = "portal/changes/pivot.html"


@page(May.RAISE_CHANGE, "GET", "HEAD", "POST")
@never_cache
def pivot(request: CampaignRequest) -> HttpResponse:
    """The form, in one screen of a telephone; its script sends the same form and reads the answer as JSON."""
    here = pivot_queries.on_set(request.member)
    if request.method != "POST":
        return _show(request, PivotForm(request.member, here, initial=_first(request, here)))
    # What came before is answered as it was then, whatever has happened since.
    if recorded := _recorded(request):
        return _done(request, recorded)
    form = PivotForm(request.member, here, request.POST, request.FILES)
    try:
        # Before the form is looked at: without a locked version there are no shots to choose from either.
        if says := _not_locked(request):
            raise BriefClosed(says)
        if not form.is_valid():
            return _refused(request, form)
        change = pivot_actions.record(request.member, **form.told)
    except BriefClosed as closed:
        if _by_script(request):
            return JsonResponse({"says": str(closed)}, status=409)
        raise
    except ValidationError as refusal:
        _put(form, refusal)
        return _refused(request, form)
    return _done(request, change)


@page(May.RAISE_CHANGE)
@never_cache
def ready(request: CampaignRequest) -> HttpResponse:
    """Who is signed in, and a fresh token for the form: asked by the script before it sends what has waited."""
    return JsonResponse({"account": request.member.key, "token": get_token(request)})


@page(May.RAISE_CHANGE)
@never_cache
def worker(request: CampaignRequest) -> HttpResponse:
    """The page's service worker; from this address it reaches no further than the page itself."""
    words = {"static_url": settings.STATIC_URL}
    return render(request, "portal/changes/pivot_worker.js", words, content_type="text/javascript; charset=utf-8")


@page(May.READ_DRAFT)
def photo(request: CampaignRequest, change: str) -> HttpResponse:
    """The copy of a change's photo that the worker made."""
    found = _with_photo(request, change)
    work = pictures.copies([found.photo]).get(found.photo.sha256)
    copy = pictures.copy_in(work)
    if not work or not copy:
        raise Http404("The copy of this photo is not there yet.")
    return send(request, copy["path"], type=copy["type"], etag=work.key[:32])


@page(May.READ_DRAFT)
def original(request: CampaignRequest, change: str) -> HttpResponse:
    """A change's photo as it came."""
    found = _with_photo(request, change)
    stored = found.photo
    return send(request, stored.path, type=stored.type, name=f"change {found.number}", etag=stored.sha256)


def _with_photo(request: CampaignRequest, change: str) -> Any:
    rows = Change.objects.select_related("photo").filter(campaign=request.member.campaign_id, photo__isnull=False)
    return get_object_or_404(rows, key=change)


def _recorded(request: CampaignRequest) -> Change | None:
    token = request.POST.get("sent_as", "")
    return Change.objects.filter(campaign=request.member.campaign_id, raised_by=request.member, sent_as=token).first()


def _not_locked(request: CampaignRequest) -> str:
    campaign = request.member.campaign
    return "" if campaign.locked_version_id else actions.not_locked(campaign)


def _by_script(request: CampaignRequest) -> bool:
    return not request.accepts("text/html")


def _first(request: CampaignRequest, here: pivot_queries.OnSet) -> dict[str, Any]:
    shot = here.shots[0][0] if len(here.shots) == 1 else ""
    return {
        "present": [request.member.key],
        "about": here.usual,
        "shot": shot,
        "sent_as": secrets.token_hex(16),
        "account": request.member.key,
    }


def _show(request: CampaignRequest, form: PivotForm, status: int = 200) -> HttpResponse:
    ground = request.COOKIES.get("ground", "")
    context = {
        "form": form,
        "where": [form["shot"], form["about"]],
        # Dark unless the reader has chosen: a bright telephone lights the set and the faces round it.
        "ground": ground if ground in ("light", "dark") else "dark",
        "not_locked": _not_locked(request),
        "account": request.member.key,
    }
    return render(request, PIVOT, context, status=status)


def _refused(request: CampaignRequest, form: PivotForm) -> HttpResponse:
    if not _by_script(request):
        return _show(request, form, status=422)
    says = [str(error) for errors in form.errors.values() for error in errors]
    return JsonResponse({"says": " ".join(says)}, status=422)


def _put(form: PivotForm, refusal: ValidationError) -> None:
    """A refusal of the act, beside its field where the form has that."""
    named = {"file": "photo", "guests": "others", "opens": "shot"}
    found = refusal.message_dict if hasattr(refusal, "error_dict") else {"": refusal.messages}
    for name, errors in found.items():
        field = named.get(name, name)
        form.add_error(field if field in form.fields else None, ValidationError(errors))


def _done(request: CampaignRequest, change: Change) -> HttpResponse:
    says = _says(change)
    campaign = request.member.campaign.key
    url = reverse("portal:change", args=[campaign, change.key])
    if _by_script(request):
        return JsonResponse({"says": says, "url": url, "number": change.number})
    messages.success(request, says)
    return redirect("portal:pivot", campaign)


def _says(change: Change) -> str:
    """ "Change 3 is recorded, and waits for Ida Moss to accept it." """
    if change.state == Change.State.ACCEPTED:
        return f"Change {change.number} is recorded and accepted."
    if change.state != Change.State.ASKED:
        return f"Change {change.number} is recorded; it was {change.state}."
    whom = change.agrees_name or "a signer"
    return f"Change {change.number} is recorded. It counts once {whom} has accepted it."
