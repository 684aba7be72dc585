"""Pages of the contact sheet: of the campaign or one shot, on screen and as a PDF for the wall."""

from typing import Any

from django import forms
from django.core.paginator import Page, Paginator
from django.http import Http404, HttpResponse
from django.urls import reverse
from django.utils.http import content_disposition_header, urlencode
from django.views.decorators.cache import never_cache

from layouts.overlays.queries import standing
from layouts.previews import sheet_papers, sheets, staging, words
from layouts.previews.queries import Seen, seen
from layouts.previews.street_pages import next_words
from layouts.previews.waiting import show_or_wait
from portal import access
from portal.access import May
from portal.brief import documents
from portal.models import Member
from portal.pages import page
from portal.people.languages import name_of
from shots.models import Shot

SHOTS_A_PAGE = 6
TEMPLATE = "layouts/previews/sheet.html"


class EyeForm(forms.Form):
    """How far the eye is from the screen."""

    eye = forms.FloatField(
        label="From my eye to the screen", min_value=sheets.EYE_RANGE_CM[0], max_value=sheets.EYE_RANGE_CM[1]
    )


@page(May.READ_DRAFT)
@never_cache
def sheet(request: Any) -> HttpResponse:
    """`?shot=` one shot's; `?as=seen` each as it looks from its distance, `&eye=` cm; `?language=`; `?page=`."""
    member = request.member
    shot = _shot(member, request.GET.get("shot", ""))
    language = staging.pick_language(member.campaign, request.GET.get("language", ""))
    as_seen = request.GET.get("as") == "seen"
    form = EyeForm(request.GET if "eye" in request.GET else {"eye": sheets.EYE_CM})
    eye = form.cleaned_data["eye"] if form.is_valid() else sheets.EYE_CM
    every = [shot] if shot else member.campaign.shots.all()
    shots = Paginator(every, SHOTS_A_PAGE).get_page(request.GET.get("page"))
    keep = {"shot": shot.key if shot else "", "as": "seen" if as_seen else "", "eye": f"{eye:g}" if as_seen else ""}
    context = _spreads(member, shots, language, keep, eye if as_seen else None)
    context |= {"shot": shot, "form": form, "as_seen": as_seen, "samples": sheets.samples(eye)}
    return show_or_wait(request, TEMPLATE, context, "shots", f"#sheet-{shots.number}")


def _spreads(member: Member, shots: Page, language: str, keep: dict[str, str], eye: float | None) -> dict[str, Any]:
    campaign = member.campaign
    rows = seen(campaign, shots=[shot.pk for shot in shots], language=language)
    faulty, scales = sheets.must_fix(rows), sheets.scales(campaign.formats.all())
    address = reverse("layouts:sheet", args=[campaign.key])

    def to(**changed: str) -> str:
        asked = {name: value for name, value in (keep | {"language": language} | changed).items() if value}
        return f"{address}?{urlencode(asked)}"

    return {
        "spreads": [
            {
                "shot": shot,
                "groups": sheets.groups(
                    campaign, [row for row in rows if row.placement.shot_id == shot.pk], scales, faulty, eye
                ),
            }
            for shot in shots
        ],
        "number": shots.number,
        "says": sheets.says(rows, faulty) if keep["shot"] else _says(member, shots, rows),
        "bars": [("Posters", scales.bar("posters")), ("Screens", scales.bar("screens"))],
        "here": to(page=str(shots.number)),
        "next": to(page=str(shots.next_page_number())) if shots.has_next() else "",
        "next_words": next_words(shots),
        "at_scale": to(**{"as": "", "eye": ""}),
        "seen_so": to(**{"as": "seen"}),
        "languages": [
            {"name": name_of(tag), "current": tag == language, "url": to(language=tag)}
            for tag in campaign.languages
            if len(campaign.languages) > 1
        ],
        "kept": {name: value for name, value in {**keep, "language": language}.items() if value and name != "eye"},
        "papers": _papers(campaign.key, keep["shot"], language),
        "progress": words.progress(rows),
        "signature": staging.signature(rows),
    }


def _says(member: Member, shots: Page, rows: list[Seen]) -> str:
    """Where the campaign's layouts stand; where all its shots are on this page, also how they read."""
    stands = standing(member.campaign).says(mine=False)
    reads = "" if shots.has_other_pages() else sheets.reading(rows)
    return f"{stands} {reads}".strip()


def _papers(campaign: str, shot: str, language: str) -> list[tuple[str, str]]:
    address = reverse("layouts:sheet-file", args=[campaign])
    asked = {"shot": shot} if shot else {}
    return [
        (name, f"{address}?{urlencode(asked | {'language': language, 'paper': paper})}")
        for paper, name in sheet_papers.PAPERS.items()
    ]


# What a sheet shows of the brief.
DRAWN = ("campaign", "shots", "formats", "pictures", "layouts")


@page(May.READ_VERSIONS)
def sheet_file(request: Any) -> HttpResponse:
    """The contact sheet for the wall; `?shot=`, `?language=`, `?paper=a3` or `a4`."""
    campaign = request.member.campaign
    brief = documents.as_rows_stand(campaign, DRAWN)
    if brief.is_draft:
        access.need(request.member, May.READ_DRAFT)
    language = staging.pick_language(campaign, request.GET.get("language", ""))
    paper, shot = request.GET.get("paper", "a3"), request.GET.get("shot") or None
    try:
        data = sheet_papers.pdf(campaign, brief, language, paper, shot)
    except KeyError as none:
        raise Http404("There is no such contact sheet.") from none
    response = HttpResponse(data, content_type="application/pdf")
    name = sheet_papers.file_name(brief, language, paper, shot)
    response["Content-Disposition"] = content_disposition_header(True, name) or ""
    response["Cache-Control"] = "private, no-store"
    response["X-Content-Type-Options"] = "nosniff"
    return response


def _shot(member: Member, key: str) -> Shot | None:
    if not key:
        return None
    try:
        return Shot.objects.get(key=key, campaign=member.campaign)
    except Shot.DoesNotExist as none:
        raise Http404("There is no such shot.") from none
