"""Words for the brief's section "capture", from its data alone."""

from collections.abc import Mapping
from typing import Any

from django import template

from layouts.capture.levers import spare
from portal.people.languages import name_of
from portal.site.sentences import count, joined, number, sentence
from portal.templatetags.ui import THIN, measure

register = template.Library()
COLUMNS = (
    "Placement",
    ("Capture", "num"),
    ("Crop", "num"),
    ("From the left", "num"),
    ("From the top", "num"),
    ("At full size", "num"),
    ("To spare", "num"),
)


def _of(data: Mapping[str, Any], name: str, plan: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    return [row for row in data[name] if row["shot"] == plan["id"]]


def _name(row: Mapping[str, Any], plan: Mapping[str, Any]) -> str:
    return f"{row['format']}, {name_of(row['language'])}" if plan.get("languages") else str(row["format"])


@register.simple_tag
def capture_says(data: Mapping[str, Any], plan: Mapping[str, Any]) -> str:
    """How many captures serve how many placements, with what camera, and who accepted it."""
    captures, crops, missing = (_of(data, name, plan) for name in ("captures", "crops", "not_served"))
    total = len(crops) + len(missing)
    takes = f"{count(len(captures), 'capture')} {'serves' if len(captures) == 1 else 'serve'}"
    worst = min((one["spare"] for one in captures), default=None)
    tight = f"; the tightest: {spare(worst)}" if worst is not None else ""
    long, short = plan["camera"]
    return " ".join(
        [
            sentence(f"{takes} {number(len(crops))} of {count(total, 'placement')}{tight}"),
            f"Camera {long} × {short}{THIN}px, margin {100 * plan['margin']:g}{THIN}%, enlarged at most "
            f"{plan['enlargement']:g} times, the hero {plan['hero_aspect']:.3f} : 1.",
            sentence(f"accepted by {plan['accepted_by']}"),
        ]
    )


@register.simple_tag
def capture_columns() -> tuple[Any, ...]:
    """The heads of the table of crops."""
    return COLUMNS


@register.simple_tag
def capture_rows(data: Mapping[str, Any], plan: Mapping[str, Any]) -> list[tuple[Any, ...]]:
    """The crops as rows for `data_table`."""
    return [
        (
            _name(row, plan),
            row["capture"],
            measure((row["width"], row["height"]), "px"),
            measure(row["x"], "px"),
            measure(row["y"], "px"),
            "" if row["ppi_full"] is None else measure(row["ppi_full"], "ppi", 1),
            spare(row["spare"]),
        )
        for row in _of(data, "crops", plan)
    ]


@register.simple_tag
def capture_notes(data: Mapping[str, Any], plan: Mapping[str, Any]) -> list[str]:
    """Each capture's hero, what no capture serves and what would, what was left out and allowed."""
    says = [_capture(row) for row in _of(data, "captures", plan)]
    for row in _of(data, "not_served", plan):
        columns, rows = row["tiles"]
        tiles = count(columns * rows, "stitched tile").capitalize()
        says.append(
            f"{_name(row, plan)} is served by no single capture: alone it gets {100 * row['spare']:.1f}{THIN}% of its "
            f"pixels. {tiles}, {columns} across and {rows} down, overlapping by {100 * row['overlap']:g}{THIN}%, would "
            "serve it."
        )
    says += [
        f"In {one['label']} the hero may be down to {100 * one['down_to']:g}{THIN}% of its zone: {one['name']} agreed."
        for one in plan.get("tolerances", [])
    ]
    lens = [
        f"{words} {plan[name]:g}{THIN}mm"
        for name, words in (
            ("sensor_mm", "sensor"),
            ("hero_mm", "hero's height"),
            ("distance_mm", "distance"),
            ("focal_mm", "focal length"),
        )
        if plan.get(name)
    ]
    return [*says, *plan["left_out"], *([sentence(joined(lens))] if lens else [])]


def _capture(row: Mapping[str, Any]) -> str:
    x, y, wide, high = row["hero"]
    return (
        f"Capture {row['number']}, {row['orientation']} {row['width']} × {row['height']}{THIN}px: the hero is "
        f"{wide:.0f} × {high:.0f}{THIN}px, {x:.0f} from the left and {y:.0f} from the top; it can be straightened by "
        f"{row['straightens_deg']:.1f}°."
    )
