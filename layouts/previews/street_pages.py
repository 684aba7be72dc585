"""The campaign's pictures, shot by shot: each shot's mockup and its placements on the street."""

from typing import Any

from django.core.paginator import Page, Paginator
from django.http import HttpResponse
from django.urls import reverse
from django.views.decorators.cache import never_cache

from layouts.pictures import queries as mockups
from layouts.previews import staging, words
from layouts.previews.queries import seen
from layouts.previews.waiting import show_or_wait
from portal.access import May
from portal.brief.draft import ANY, closed_because
from portal.models import Member
from portal.pages import page
from portal.site.sentences import count, part

# Shots that come at once; those behind them come as they are scrolled to, or by a link.
SHOTS_A_PAGE = 6


@page(May.READ_DRAFT)
@never_cache
def street(request: Any) -> HttpResponse:
    """All shots: a fragment on the campaign's page, a page of its own without JavaScript."""
    member = request.member
    chosen = staging.pick_language(member.campaign, request.GET.get("language", ""))
    shots = Paginator(member.campaign.shots.all(), SHOTS_A_PAGE).get_page(request.GET.get("page"))
    context = _spreads(member, shots, chosen)
    return show_or_wait(request, "layouts/previews/street.html", context, "shots", f"#pictures-{shots.number}")


def _spreads(member: Member, shots: Page, language: str) -> dict[str, Any]:
    campaign = member.campaign
    rows = seen(campaign, shots=[shot.pk for shot in shots])
    now = mockups.current(list(shots))
    spreads = []
    for shot in shots:
        mine = [row for row in rows if row.placement.shot_id == shot.pk]
        mockup = now.get(shot.pk)
        spreads.append(
            {
                "shot": shot,
                "now": mockup,
                "copies": mockups.copies(mockup) if mockup else [],
                "street_label": f"Placements of shot {shot.number}, at one scale",
                "captions": words.captions(mine, campaign.languages),
                "street": staging.street_items(campaign, [row for row in mine if row.placement.language == language]),
            }
        )
    progress = words.progress(rows, [mockup for mockup in now.values() if mockup.work.open])
    address = reverse("layouts:street", args=[campaign.key])
    here = f"{address}?language={language}"
    return {
        "spreads": spreads,
        "number": shots.number,
        "languages": staging.languages(campaign, language, address),
        "here": f"{here}&page={shots.number}",
        "next": f"{here}&page={shots.next_page_number()}" if shots.has_next() else "",
        "next_words": next_words(shots),
        "progress": progress,
        "signature": staging.signature(rows, now.values()),
        "lead_words": part(len(now), len(shots), "mockup", "in") if shots else "There are no shots yet.",
        "closed": closed_because(campaign, "pictures", ANY),
    }


def next_words(shots: Page) -> str:
    """What the link to the shots behind these says."""
    left = shots.paginator.count - shots.end_index()
    return f"The next {count(min(left, SHOTS_A_PAGE), 'shot')} of {shots.paginator.count}"
