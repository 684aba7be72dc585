"""The section "capture": of each shot the plan that was accepted, its captures with crops, and what is not served."""

from typing import Any

from layouts.capture import rows as reading
from layouts.capture.readiness import KINDS, ready
from layouts.formats.section import placement_name
from portal.brief import fields, sections
from portal.brief.fields import Field, Parent, Row, Thing, Whole, Words
from portal.brief.sections import Section
from portal.models import Campaign
from portal.people.languages import name_of
from portal.sealing import words

TEMPLATE = "layouts/capture/section.html"
LISTS = ("captures", "crops", "not_served")
_OBJECT = {"type": "object"}
_NUMBERS = {"type": "array", "items": {"type": "number"}}


def _placement(row: Row, whole: Whole) -> str:
    found = whole.row("formats", row["id"], "placements")
    if found:
        return placement_name(found, whole)
    return f"{whole.shot(row['shot'])}, {row['format']}, {name_of(row['language'])}"


def _px(row: Row) -> str:
    return f"{row['width']} × {row['height']} px"


def _crop(_: Any, row: Row) -> str:
    return f"{_px(row)} in capture {row['capture']}, {row['x']} from the left and {row['y']} from the top"


def _framing(_: Any, row: Row) -> str:
    x, y, wide, high = row["hero"]
    return f"{row['orientation']} {_px(row)}, the hero {wide:.0f} × {high:.0f} px at {x:.0f}, {y:.0f}"


def _spare(value: Any, _: Row) -> str:
    return f"{100 * value:.1f} % of the pixels needed"


def _pair(unit: str) -> Any:
    return lambda value, _: " × ".join(f"{side:g}" for side in value) + f" {unit}"


def _per_cent(value: Any, _: Row) -> str:
    return f"{100 * value:g} %"


def _agreed(value: Any, _: Row) -> str:
    if not value:
        return "none"
    return "; ".join(f"{one['label']} down to {100 * one['down_to']:g} % ({one['name']})" for one in value)


def _parents(row: Row) -> list[Parent]:
    return [Parent("formats", "placements", row["id"]), Parent("shots", "", row["shot"])]


def _with(leads: str, *others: str) -> Any:
    """What goes without saying where `leads` is told: it puts the others into words, or they follow from it."""
    return lambda old, new: others if old.get(leads) != new.get(leads) else ()


_PPI = {
    "ppi_full": fields.number("ppi at full size"),
    "ppi_artwork": fields.number("ppi of the artwork"),
    "ppi_eye": fields.number("ppi that the eye needs"),
}
_NAMED = {
    "shot": Field("shot"),
    "format": fields.text("name of the format"),
    "language": fields.text("language"),
    "label": fields.text("name among its shot's"),
}
TELLS = Words(
    {
        "plans": Thing(
            "capture plan",
            lambda row, whole: whole.shot(row["id"]),
            {
                "number": fields.number("number of the shot", least=1),
                "title": fields.text("title of the shot"),
                "camera": Field("camera", _pair("px"), _NUMBERS),
                "languages": fields.yes_no("in several languages"),
                "hero_aspect": fields.number("hero's width over its height"),
                "margin": Field("margin", _per_cent, {"type": "number"}),
                "enlargement": fields.number("enlargement", least=1),
                "left_out": fields.several("left out"),
                "tolerances": Field("hero smaller than its zone", _agreed, {"type": "array", "items": _OBJECT}),
                "sensor_mm": fields.number("width of the sensor", "mm"),
                "hero_mm": fields.number("height of the hero", "mm"),
                "distance_mm": fields.number("distance", "mm"),
                "focal_mm": fields.number("focal length", "mm"),
                "accepted_by": fields.text("accepted by"),
                "accepted_at": fields.day("accepted on"),
            },
            follows=("number", "title", "languages"),
            derived=lambda old, new: ("accepted_by",) if old.get("accepted_at") != new.get("accepted_at") else (),
            parents=lambda row: [Parent("shots", "", row["id"])],
            about=("camera",),
        ),
        "captures": Thing(
            "capture",
            lambda row, whole: f"{whole.shot(row['shot'])}, capture {row['number']}",
            {
                "shot": Field("shot"),
                "number": fields.number("number", least=1),
                "framing": Field("framing", _framing, _NUMBERS),
                "orientation": fields.text("way up"),
                "width": fields.number("width", "px", least=1),
                "height": fields.number("height", "px", least=1),
                "px_per_hero_height": fields.number("hero's height", "px"),
                "hero": Field("hero at", _pair("px"), _NUMBERS),
                "straightens_deg": fields.number("can be straightened by degrees"),
                "spare": Field("spare", _spare, {"type": "number"}),
            },
            derived=_with("framing", "orientation", "width", "height", "px_per_hero_height", "hero", "straightens_deg"),
            parents=lambda row: [Parent("shots", "", row["shot"])],
            about=("framing",),
        ),
        "crops": Thing(
            "",  # a crop comes and goes with its capture, and is not counted
            _placement,
            {
                **_NAMED,
                "exact": Field("crop", _crop, _NUMBERS),
                "capture": fields.number("capture", least=1),
                "x": fields.number("from the left", "px"),
                "y": fields.number("from the top", "px"),
                "width": fields.number("width", "px", least=1),
                "height": fields.number("height", "px", least=1),
                "spare": Field("spare", _spare, {"type": "number"}),
                **_PPI,
                "asks": Field("what it asks", schema=_OBJECT),
            },
            follows=("format", "language", "label", "asks"),
            derived=_with("exact", "capture", "x", "y", "width", "height", "spare", *_PPI),
            parents=_parents,
            about=("exact",),
        ),
        "not_served": Thing(
            "placement that no single capture serves",
            _placement,
            {
                **_NAMED,
                "spare": Field("alone", _spare, {"type": "number"}),
                "tiles": Field("stitched", _pair("tiles"), _NUMBERS),
                "orientation": fields.text("way up"),
                "overlap": fields.number("overlap"),
                "hero_spare": Field("hero shot alone over a ground plate", _spare, {"type": "number"}),
                "ground_enlarged": fields.number("ground enlarged"),
                "asks": Field("what it asks", schema=_OBJECT),
            },
            follows=("format", "language", "label", "asks"),
            derived=_with("tiles", "orientation", "overlap"),
            parents=_parents,
            about=("spare", "tiles"),
        ),
    }
)


def assemble(campaign: Campaign) -> dict[str, Any]:
    """The accepted plans in order of their shots; one query beside those that the document makes anyhow."""
    found: dict[str, list[dict[str, Any]]] = {"plans": [], **{name: [] for name in LISTS}}
    for rows in reading.accepted(campaign):
        row = rows.plan
        if not row.accepted:
            continue
        labels = {one["id"]: one["label"] for name in ("crops", "not_served") for one in row.accepted[name]}
        found["plans"].append(
            {
                **row.accepted["plan"],
                "number": rows.shot.number,
                "title": rows.shot.title,
                "tolerances": [
                    {"placement": key, "label": labels[key], "down_to": agreed["down_to"], "name": agreed["name"]}
                    for key, agreed in sorted(row.tolerances.items())
                    if key in labels
                ],
                "sensor_mm": row.sensor_mm,
                "hero_mm": row.hero_mm,
                "distance_mm": row.distance_mm,
                "focal_mm": row.focal_mm,
                "accepted_by": str(row.accepted_by),
                "accepted_at": row.accepted_at.isoformat() if row.accepted_at else None,
            }
        )
        for name in LISTS:
            found[name] += row.accepted[name]
    return found


def register() -> None:
    sections.register(Section("capture", "Capture plan", 72, assemble, TEMPLATE, ready, kinds=KINDS, words=TELLS))
    words.register(
        {
            "capture.accepted": "{who} accepted the capture plan of shot {number}: {captures:capture}, "
            "{served:placement} served",
            "capture.settled": "{who} set the capture plan of {subject}: {changes}",
            "capture.tolerance": "{who} let the hero be down to {down_to} of its zone in {subject}",
        }
    )
