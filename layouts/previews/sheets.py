"""The contact sheet: all wanted placements at their true relative size, or as large as each looks from afar."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models.fields.json import KeyTransform
from django.urls import reverse

from layouts.formats.models import Format
from layouts.imaging.measures import sight
from layouts.overlays.models import Layout
from layouts.previews import staging, verdict_words, verdicts, words
from layouts.previews.queries import Seen
from portal.models import Campaign
from portal.site import drawing
from portal.site.sentences import Clause, count, told
from portal.templatetags.ui import measure

# The largest poster's share of the sheet, in em; CSS says what an em is.
_WIDEST, _TALLEST = 36.0, 16.0
# Screens are smaller and have a scale of their own: the largest takes so much.
_WIDEST_SCREEN, _TALLEST_SCREEN = 12.0, 9.0
EYE_CM, EYE_RANGE_CM = sight.EYE_CM, sight.EYE_RANGE_CM
MM_PER_EM = 10.0  # as seen from its distance, one em is a centimetre on this screen
_PX_PER_MM = 96 / 25.4  # CSS Values and Units Level 4, 6.2: absolute lengths


@dataclass(frozen=True)
class Scales:
    """Em per mm of posters and of screens: one for the whole campaign, so that its pages can be compared."""

    posters: float
    screens: float

    def bar(self, which: str) -> dict[str, Any]:
        """A length drawn at a scale: {says, em}."""
        mm, scale = (1000, self.posters) if which == "posters" else (500, self.screens)
        return {"says": measure(mm / 1000, "m"), "em": drawing.em(mm * scale)}


def scales(formats: Iterable[Format]) -> Scales:
    """The scales at which the largest poster and the largest screen of these formats just have their share."""
    sizes: dict[bool, list[tuple[float, float]]] = {True: [(1000.0, 1000.0)], False: [(500.0, 500.0)]}
    for format in formats:
        wide, high, _ = drawing.size_mm(_size_of(format))
        sizes[format.kind == Format.Kind.POSTER].append((wide, high))
    return Scales(_fit(sizes[True], _WIDEST, _TALLEST), _fit(sizes[False], _WIDEST_SCREEN, _TALLEST_SCREEN))


def _fit(sizes: Sequence[tuple[float, float]], widest: float, tallest: float) -> float:
    return min(widest / max(wide for wide, _ in sizes), tallest / max(high for _, high in sizes))


def groups(
    campaign: Campaign, rows: Sequence[Seen], at: Scales, faulty: dict[int, int], eye_cm: float | None
) -> list[dict[str, Any]]:
    """A shot's placements in groups with one scale each: {title, items}; `eye_cm`: as seen from there, in one group.

    `faulty`: of `must_fix`, for all that stands on the page.
    """
    if eye_cm:
        items = [_item(campaign, row, faulty, eye_cm) for row in rows]
        return [{"title": "", "items": items}] if items else []
    found = []
    for title, kind in (("Posters", Format.Kind.POSTER), ("Screens", Format.Kind.SCREEN)):
        mine = [row for row in rows if row.placement.format.kind == kind]
        scale = at.posters if kind == Format.Kind.POSTER else at.screens
        if mine:
            found.append({"title": title, "items": [_item(campaign, row, faulty) | _drawn(row, scale) for row in mine]})
    return found


def must_fix(rows: Sequence[Seen]) -> dict[int, int]:
    """How many faults must be mended in each current layout of these placements, by its primary key; one query."""
    keys = [row.layout.pk for row in rows if row.layout]
    found = Layout.objects.filter(pk__in=keys).annotate(faults=KeyTransform("must_fix", "work__result"))
    return {key: faults or 0 for key, faults in found.values_list("pk", "faults")}


def state(row: Seen, faulty: dict[int, int]) -> tuple[str, bool]:
    """Where a placement stands, in a few words, and whether that is wrong."""
    if row.mockup is None:
        return "no mockup yet", False
    if row.layout is None:
        return "layout owed", False
    revision = f"revision {row.layout.revision}"
    if row.layout_state == "failed":
        return f"{revision} could not be read", True
    if faulty.get(row.layout.pk):
        return f"{revision}, {count(faulty[row.layout.pk], 'fault')} to mend", True
    told_apart = {"making": "being made", "redoing": "being made anew", "failed": "preview failed"}
    if row.state in told_apart:
        return f"{revision}, {told_apart[row.state]}", row.state == "failed"
    return f"{revision}, being read" if row.layout_state == "preparing" else revision, False


def verdict(row: Seen) -> tuple[str, bool]:
    """How its type reads, in a few words, and whether that is amiss; empty before anything was measured."""
    found = verdicts.of(row)
    if found is None:
        return "", False
    short = verdict_words.short(found)
    return short or ("reads well" if found.zones else ""), bool(short)


def says(rows: Sequence[Seen], faulty: dict[int, int]) -> str:
    """Where a shot's placements stand, in a sentence."""
    if not rows:
        return "No placement is wanted here yet."
    owed = sum(row.layout is None for row in rows)
    found = [
        Clause(owed, "layout", "is still owed", "are still owed"),
        Clause(sum(map(bool, faulty.values())), "layout", "must be mended", "must be mended"),
        _amiss(rows),
    ]
    return told(found) or "Every layout is in, and reads well over its picture."


def reading(rows: Sequence[Seen]) -> str:
    """How many of these placements do not read as they should, in a sentence; empty where all do."""
    return told([_amiss(rows)])


def _amiss(rows: Sequence[Seen]) -> Clause:
    amiss = sum(verdict(row)[1] for row in rows)
    return Clause(amiss, "placement", "is hard to read or lies on the hero", "are hard to read or lie on the hero")


def _item(campaign: Campaign, row: Seen, faulty: dict[int, int], eye_cm: float | None = None) -> dict[str, Any]:
    words_of, wrong = state(row, faulty)
    reads, badly = verdict(row)
    format = row.placement.format
    return {
        "name": str(format),
        "size": measure((format.width_mm, format.height_mm), "mm") if format.width_mm else _pixels(format),
        "state": words_of,
        "wrong": wrong,
        "verdict": words.verdict(row) if eye_cm else reads,
        "badly": badly,
        "url": reverse("layouts:stage", args=[campaign.key, row.placement.key]),
        "small": staging.address(campaign, row, "small"),
        "large": staging.address(campaign, row, "composed"),
    } | (_as_seen(row, eye_cm) if eye_cm else {})


def _pixels(format: Format) -> str:
    return measure((format.width_px, format.height_px), "px")


def _drawn(row: Seen, scale: float) -> dict[str, Any]:
    wide, high, known = drawing.size_mm(_size_of(row.placement.format))
    return {"em_width": drawing.em(wide * scale), "em_height": drawing.em(high * scale), "known": known}


def _as_seen(row: Seen, eye_cm: float) -> dict[str, Any]:
    """A placement as large on this screen as it looks from its viewing distance, and what an eye tells apart there."""
    format = row.placement.format
    if not (format.width_mm and format.height_mm and format.distance_m):
        lacks = "size" if not format.width_mm else "viewing distance"
        return {"lacks": f"Its {lacks} is not known, so it cannot be shown as it looks from there."}
    here = [sight.as_seen(mm, format.distance_m, 10 * eye_cm) for mm in (format.width_mm, format.height_mm)]
    return {
        "em_width": drawing.em(here[0] / MM_PER_EM),
        "em_height": drawing.em(here[1] / MM_PER_EM),
        "px_width": round(here[0] * _PX_PER_MM),
        "from": measure(format.distance_m, "m"),
        "here": measure((round(here[0]), round(here[1])), "mm"),
        "letters": _letters(row, format.distance_m),
    }


def _letters(row: Seen, distance_m: float) -> str:
    """One minute of arc on this poster, and how high its smallest line stands beside that."""
    said = f"One minute of arc is {sight.minute_at(distance_m):.1f}\u202fmm on it"
    found = verdicts.of(row)
    lines = [mm for zone in found.zones for mm in zone.lines_mm] if found else []
    if not lines:
        return f"{said}."
    high = sight.minutes_of(min(lines), distance_m)
    short = " That is less than normal sight reads." if high < sight.LEAST_LETTER else ""
    return f"{said}; its smallest line, {min(lines):.0f}\u202fmm, is {high:.0f} minutes high.{short}"


def samples(eye_cm: float) -> list[dict[str, Any]]:
    """Letters to look at on this screen: the least that normal sight reads, common practice, and twice that."""
    high = (
        (sight.LEAST_LETTER, "the least that normal sight reads"),
        (round(sight.PRACTICE_LETTER), "common practice for outdoor signs, at its limit"),
        (round(2 * sight.PRACTICE_LETTER), "twice that"),
    )
    return [
        {"minutes": minutes, "says": text, "em": drawing.em(10 * eye_cm * sight.MINUTE * minutes / MM_PER_EM)}
        for minutes, text in high
    ]


def _size_of(format: Format) -> dict[str, Any]:
    return {
        "width_mm": format.width_mm,
        "height_mm": format.height_mm,
        "width_px": format.width_px,
        "height_px": format.height_px,
    }
