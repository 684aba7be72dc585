"""What the page for a format that came on the day shows: the answer drawn and in words, and where the zone is drawn."""

from __future__ import annotations

from typing import Any
from urllib.parse import quote, urlencode

from django.urls import reverse

from layouts.capture import day_answers, day_layouts, day_words
from layouts.capture.day_answers import Answer
from layouts.capture.day_forms import EDGES, DayForm, filled
from layouts.imaging.framing.overlay import hero_box
from portal import access
from portal.access import May
from portal.models import Campaign, Member
from shots.models import Shot

INCOMPLETE = {
    "poster": "Give its width and height in millimetres, the scale of its artwork and the artwork's ppi.",
    "screen": "Give its width and height in pixels.",
}
OTHER_FORMAT = "The layout that was dropped is for another format. Drop the one for this format."
GONE = "The layout that was dropped is not known here any more. Drop it again."
# The window that a zone is drawn on, px on the page.
_LONG = 960
_NEEDED = {"poster": ("width", "height", "ppi"), "screen": ("width", "height")}


def page(member: Member, shot: Shot, form: DayForm) -> dict[str, Any]:
    """The page's context."""
    campaign = member.campaign
    address = reverse("layouts:on-the-day", args=[campaign.key, shot.key])
    source = day_answers.source_of(campaign, shot)
    context: dict[str, Any] = {
        "shot": shot,
        "source": source,
        "form": form,
        "address": address,
        "here": address,
        "incomplete": "",
        "says": "",
        "signature": "",
        "progress": {"open": False, "sentence": day_words.WAITS, "done": None, "total": None},
    }
    if source.plan is None or not source.framings:
        return context | {"says": source.why or "No single frame serves any placement of this shot yet."}
    if not form.is_bound:
        return context
    if (kind := form.by_hand) and any(not form[name].value() for name in _NEEDED[kind]):
        asked = DayForm(campaign, initial={name: form[name].value() for name in form.fields})
        return context | {"incomplete": INCOMPLETE[kind], "form": asked}
    if not form.is_valid():
        return context
    return context | _answered(member, shot, source, form, address)


def _answered(member: Member, shot: Shot, source: Any, form: DayForm, address: str) -> dict[str, Any]:
    campaign, mockup = member.campaign, day_answers.mockup_of(shot)
    token = form.cleaned_data.get("layout", "")
    dropped = day_layouts.dropped(shot, token, form.format) if token else None
    zone = form.drawn
    found = day_answers.answer(source, form.format, zone, mockup, dropped)
    if isinstance(found, str):
        return {"says": found}
    data = {name: form[name].value() or "" for name in form.fields}
    data |= filled(day_answers.usual_zone(shot, form.format, mockup))
    if zone:
        data |= {edge: f"{form.cleaned_data[edge]:g}" for edge in EDGES}
    data["layout"] = token if dropped and dropped.fits else ""
    shown = DayForm(campaign, data)
    for edge in EDGES:
        shown.fields[edge].required = True  # all four are filled in
    query = urlencode({name: value for name, value in data.items() if value != ""})
    wide, high = _size(found)
    return {
        "form": shown,
        "answer": found,
        "lead": day_words.lead(found),
        "why_not": day_words.why_not(found),
        "ways": day_words.ways(found),
        "rests_on": day_words.rests_on(found),
        "figures": day_words.figures(found),
        "columns": day_words.COLUMNS,
        "table": day_words.table(found),
        "drawing": _drawing(found),
        "zone_picture": _zone_picture(campaign, shot, found),
        "zone_width": wide,
        "zone_height": high,
        "layout_says": (OTHER_FORMAT if dropped else GONE) if token and not (dropped and dropped.fits) else "",
        "drop_url": f"{address}?{query}",
        "here": f"{address}?{query}",
        "raise_url": _raise(member, found),
        "progress": {
            "open": bool(dropped and dropped.fits and dropped.work.open),
            "sentence": day_words.WAITS,
            "done": None,
            "total": None,
        },
        "signature": dropped.work.state if dropped else "",
    }


def _size(found: Answer) -> tuple[int, int]:
    aspect = found.placement.aspect
    if aspect >= 1:
        return _LONG, max(1, round(_LONG / aspect))
    return max(1, round(_LONG * aspect)), _LONG


def _zone_picture(campaign: Campaign, shot: Shot, found: Answer) -> str:
    """The layout's window where one was dropped and inspected, else a plain rectangle of the format's shape."""
    if found.dropped and found.dropped.fits and found.dropped.done:
        return reverse("layouts:on-the-day-layout", args=[campaign.key, shot.key, found.dropped.token])
    wide, high = _size(found)
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}" height="{high}" viewBox="0 0 {wide} {high}">'
        f'<rect width="{wide}" height="{high}" fill="#808080"/></svg>'
    )
    return f"data:image/svg+xml,{quote(svg)}"


def _drawing(found: Answer) -> dict[str, Any] | None:
    """The best frame with the crop in it, in fractions of the frame's width; the crop may reach out."""
    if found.best is None:
        return None
    framing = found.source.framings[found.best.frame]
    crop = framing.pixels(found.box)
    hero = framing.pixels(hero_box(found.problem.hero_aspect))
    left, top = min(0.0, crop[0]), min(0.0, crop[1])
    right, bottom = max(framing.width, crop[0] + crop[2]), max(framing.height, crop[1] + crop[3])
    edge = 0.01 * max(right - left, bottom - top)
    return {
        "view": f"{left - edge:.1f} {top - edge:.1f} {right - left + 2 * edge:.1f} {bottom - top + 2 * edge:.1f}",
        "width": round(right - left + 2 * edge),
        "height": round(bottom - top + 2 * edge),
        "frame": _rect((0.0, 0.0, framing.width, framing.height)),
        "crop": _rect(crop),
        "hero": _rect(hero),
        "number": found.best.frame + 1,
        "alt": f"The frame of capture {found.best.frame + 1} with the crop of {found.format.name} and the hero in it",
    }


def _rect(pixels: tuple[float, float, float, float]) -> dict[str, str]:
    return {side: f"{value:.1f}" for side, value in zip(("x", "y", "width", "height"), pixels, strict=True)}


def _raise(member: Member, found: Answer) -> str:
    """Where a change is raised for this, with its words; empty where there is no lock, or the reader may raise none."""
    campaign = member.campaign
    if campaign.locked_version_id is None or not access.may(member, May.RAISE_CHANGE):
        return ""
    shot = found.source.shot.key
    places = [("open", "formats/"), ("open", f"layouts/{shot}"), ("open", f"capture/{shot}")]
    words = day_words.change(found)
    return f"{reverse('portal:raise-change', args=[campaign.key])}?{urlencode([*words.items(), *places])}"
