"""What would change a shot's plan, each change with its answer, in words and with the address that tries it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from django.core.cache import cache

from layouts.capture.asking import RECIPE, Asked, Row, digest_of
from layouts.imaging.framing.lens import straightening_of_margin
from layouts.imaging.framing.levers import Lever, levers
from layouts.imaging.framing.problem import Pair, Placement
from portal.record.canonical import canonical, digest
from portal.site.sentences import count, joined, number
from portal.templatetags.ui import THIN

# Pixels of cameras that are used for posters, by their megapixels; of several makers each, as their sheets give them
# (from memory).
CAMERAS: dict[str, Pair] = {
    "24 megapixels": (6000.0, 4000.0),
    "45 megapixels": (8256.0, 5504.0),
    "61 megapixels": (9504.0, 6336.0),
    "100 megapixels": (11648.0, 8736.0),
    "150 megapixels": (14204.0, 10652.0),
}
MARGINS = (0.0, 0.02, 0.03, 0.05)
# Two cameras nearer than this are the same.
_SAME_CAMERA = 0.01
KEPT_FOR = 7 * 24 * 3600  # seconds


@dataclass(frozen=True)
class Answer:
    """One change: what it is, what the plan would then be, and how that compares. `tries` goes into an address."""

    what: str
    captures: str
    missing: str
    tightest: str
    against: str
    tries: dict[str, str] | None


def answers(asked: Asked) -> list[Answer]:
    """The changes that can be made to this plan, each computed by itself; from the cache where that was done before."""
    if asked.problem is None or not asked.placements:
        return []
    groups = grouped(asked.placements.values())
    off = grouped(asked.off)
    problem = replace(asked.problem, placements=tuple(rows[0].asks for rows in groups))
    added = tuple(rows[0].asks for rows in off)
    cameras = _others(asked.problem.camera)
    aspects = [asked.mockup_aspect] if asked.mockup_aspect else []
    key = digest(canonical([digest_of(problem), [str(one.id) for one in added], sorted(cameras), aspects]))
    name = f"capture-levers-{RECIPE}-{key}-{digest(canonical([_plain(one) for one in added]))}"
    found: list[Lever] | None = cache.get(name)
    if found is None:
        found = levers(problem, cameras=cameras, hero_aspects=aspects, margins=MARGINS, added=added)
        cache.set(name, found, KEPT_FOR)
    names = {str(rows[0].asks.id): rows for rows in (*groups, *off)}
    now = found[0]
    return [_answer(one, now, asked, names, cameras) for one in found[1:]]


def grouped(rows: Iterable[Row]) -> list[list[Row]]:
    """Rows that ask the same, one format in several languages, stand together; in order of the first."""
    found: dict[tuple[Any, ...], list[Row]] = {}
    for row in rows:
        found.setdefault((row.format.pk, row.asks.zone, row.asks.hero_down_to), []).append(row)
    return list(found.values())


def name_of(rows: list[Row]) -> str:
    """Rows that stand together, by format; with the language where it is only one of several."""
    return rows[0].format.name if len(rows) > 1 else rows[0].label


def _plain(one: Placement) -> list[Any]:
    return [one.aspect, list(one.zone), list(one.need)]


def _others(camera: Pair) -> dict[str, Pair]:
    """Other cameras than this one, by name."""
    mine = (max(camera), min(camera))
    return {
        name: sides
        for name, sides in CAMERAS.items()
        if any(abs(a - b) > _SAME_CAMERA * b for a, b in zip(sides, mine, strict=True))
    }


def _answer(
    one: Lever, now: Lever, asked: Asked, names: Mapping[str, list[Row]], cameras: Mapping[str, Pair]
) -> Answer:
    what, tries = _change(one, asked, names, cameras)
    if one.captures is None:
        return Answer(what, "too many to settle", "", "", "", tries)
    missing = joined([name_of(names[str(key)]) for key in one.not_served if str(key) in names]) or "nothing"
    return Answer(what, count(one.captures, "capture"), missing, spare(one.worst_spare), _against(one, now), tries)


def _against(one: Lever, now: Lever) -> str:
    if one.better is None:
        return f"instead of {number(now.captures or 0)}" if one.captures != now.captures else "as many as now"
    return {1: "better", 0: "the same", -1: "worse"}[one.better]


def spare(value: float | None) -> str:
    """What the tightest has: "8.8 % to spare", or how far it is enlarged."""
    if value is None:
        return "none"
    if value < 1 - 1e-9:
        return f"enlarged {1 / value:.2f} times"
    return f"{100 * (value - 1):.1f}\u202f% to spare"


def _change(
    one: Lever, asked: Asked, names: Mapping[str, list[Row]], cameras: Mapping[str, Pair]
) -> tuple[str, dict[str, str] | None]:
    """What is changed, in words, and the setting that does it."""
    value: Any = one.value
    problem = asked.problem
    match one.kind:
        case "camera":
            wide, high = cameras[value]
            return f"A camera of {value}, {wide:.0f} × {high:.0f}{THIN}px", {"camera": f"{wide:.0f}x{high:.0f}"}
        case "enlargement":
            return f"Enlarged up to {value:g} times", {"enlargement": f"{value:g}"}
        case "artwork ppi":
            return f"Artwork at the next lower ppi: {value}, where the printer agrees", None
        case "margin":
            turn = straightening_of_margin(problem.long / problem.short, value) if problem else 0.0
            return f"A margin of {100 * value:g}\u202f%, which straightens {turn:.1f}°", {"margin": f"{100 * value:g}"}
        case "hero aspect":
            return f"The hero {value:.2f} : 1, as its zone on the mockup", {"hero": ""}
        case "without":
            rows = names[str(value)]
            return f"Without {name_of(rows)}", {"without": rows[0].format.key} if _whole(rows, asked) else None
        case "with":
            rows = names[str(value)]
            dropped = rows[0].placement.key in asked.settings.dropped
            return f"With {name_of(rows)}", {"with": rows[0].format.key} if dropped else None
    return f"The hero down to {100 * value:g}\u202f% of its zone, where the designer agrees", {"down": f"{value:g}"}


def _whole(rows: list[Row], asked: Asked) -> bool:
    """Whether these are all that is planned of their format: a format is left out whole."""
    return len(rows) == sum(row.format.pk == rows[0].format.pk for row in asked.placements.values())
