"""The plan that was accepted, as plain data that the brief keeps, and what is read back from it.

{"plan": {...}, "captures": [...], "crops": [...], "not_served": [...]}, each row with an id: the shot's key, the shot's
key and the capture's number, the placement's key. Pixels are camera pixels; framings are in hero heights from the
hero's centre, y down; spares are pixels given over pixels needed.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from layouts.capture.asking import Asked, Row
from layouts.imaging.framing import report
from layouts.imaging.framing.geometry import Box, Framing
from layouts.imaging.framing.plan import Plan
from layouts.imaging.framing.problem import Placement, Problem

# What a placement asked, kept beside its crop: equal again, and what was accepted still serves it.
ASKS = ("aspect", "zone", "need", "hero_down_to")
# Relative; far above rounding, far below a pixel of any artwork.
SAME = 1e-6


def as_data(asked: Asked, plan: Plan) -> dict[str, Any]:
    """What is kept of a plan; rounded to a thousandth of a pixel, so that the same plan is the same data."""
    data = report.as_data(plan)
    problem, shot = plan.problem, asked.shot.key
    several = len({row.seen.placement.language for row in asked.placements.values()}) > 1
    return {
        "plan": {
            "id": shot,
            "camera": [round(problem.long), round(problem.short)],
            "hero_aspect": round(problem.hero_aspect, 6),
            "margin": problem.margin,
            "enlargement": problem.enlargement,
            "left_out": [says for _, says in asked.left_out],
            "languages": several,
        },
        "captures": [_capture(shot, number, one) for number, one in enumerate(data["captures"], start=1)],
        "crops": [
            _crop(shot, number, crop, asked.placements[crop["id"]])
            for number, one in enumerate(data["captures"], start=1)
            for crop in one["crops"]
        ],
        "not_served": [_not_served(shot, one, asked.placements[one["id"]]) for one in data["not_served"]],
    }


def _capture(shot: str, number: int, one: Mapping[str, Any]) -> dict[str, Any]:
    framing, hero = one["framing"], one["hero"]
    return {
        "id": f"{shot}-{number}",
        "shot": shot,
        "number": number,
        "orientation": one["orientation"],
        "width": round(one["width"]),
        "height": round(one["height"]),
        "spare": round(one["spare"], 6),
        "px_per_hero_height": round(one["px_per_hero_height"], 6),
        "framing": [round(framing[side], 8) for side in ("left", "top", "width", "height")],
        "hero": [round(hero[side], 3) for side in ("x", "y", "width", "height")],
        "straightens_deg": round(one["straightens_deg"], 2),
    }


def _crop(shot: str, number: int, crop: Mapping[str, Any], row: Row) -> dict[str, Any]:
    x, y, width, height = crop["pixels"]
    return {
        **_named(shot, row),
        "capture": number,
        "x": x,
        "y": y,
        "width": width,
        "height": height,
        "exact": [round(crop[side], 3) for side in ("x", "y", "width", "height")],
        "spare": round(crop["spare"], 6),
        "ppi_full": _ppi(crop["ppi_full"]),
        "ppi_artwork": _ppi(crop["ppi_artwork"]),
        "ppi_eye": _ppi(crop["ppi_eye"]),
        "asks": asks_of(row.asks),
    }


def _not_served(shot: str, one: Mapping[str, Any], row: Row) -> dict[str, Any]:
    return {
        **_named(shot, row),
        "spare": round(one["spare_alone"], 6),
        "tiles": one["tiles"],
        "orientation": one["orientation"],
        "overlap": one["overlap"],
        "hero_spare": round(one["ground_plate"]["hero_spare"], 4),
        "ground_enlarged": round(one["ground_plate"]["ground_enlarged"], 4),
        "asks": asks_of(row.asks),
    }


def _named(shot: str, row: Row) -> dict[str, Any]:
    placement = row.placement
    return {
        "id": placement.key,
        "shot": shot,
        "format": placement.format.name,
        "language": placement.language,
        "label": row.label,
    }


def _ppi(value: float | None) -> float | None:
    return None if value is None else round(value, 2)


def asks_of(asks: Placement) -> dict[str, Any]:
    """What a placement asks, as plain data."""
    return {
        "aspect": round(asks.aspect, 8),
        "zone": [round(edge, 8) for edge in asks.zone],
        "need": list(asks.need),
        "hero_down_to": asks.hero_down_to,
    }


def same(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Whether a placement asks what it asked."""
    return all(_near(one[name], other[name]) for name in ASKS)


def _near(one: Any, other: Any) -> bool:
    if one is None or other is None:
        return one is other
    if isinstance(one, list):
        return len(one) == len(other) and all(_near(a, b) for a, b in zip(one, other, strict=True))
    return abs(float(one) - float(other)) <= SAME * max(1.0, abs(float(one)))


def framings(data: Mapping[str, Any]) -> list[Framing]:
    """The captures' framings, in their order, to a thousandth of a pixel."""
    found = []
    for one in data["captures"]:
        left, top, width, height = one["framing"]
        box = Box(left, top, left + width, top + height)
        landscape = one["orientation"] == "landscape"
        found.append(Framing(landscape, one["width"], one["height"], one["px_per_hero_height"], box))
    return found


def problem_for(data: Mapping[str, Any], placement: Placement, hero_aspect: float) -> Problem:
    """A placement as it asks now, on the camera and with the margin and enlargement that were accepted."""
    plan = data["plan"]
    long, short = plan["camera"]
    return Problem((long, short), hero_aspect, (placement,), plan["margin"], plan["enlargement"])
