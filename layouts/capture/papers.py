"""The capture plans as a paper to take to set, drawn from the brief's document: frames, crops in pixels, what is not
served and what would serve it."""

import re
from collections.abc import Mapping
from typing import Any

from layouts.capture.levers import spare
from layouts.capture.paper_drawing import figure
from layouts.capture.words import ASSUMED
from layouts.imaging.framing.geometry import Box, Framing
from layouts.imaging.framing.lens import distance_for, focal_for
from layouts.templatetags.capture_section import capture_notes, capture_says
from portal.brief.documents import Brief
from portal.models import Campaign
from portal.papers.sheet import Column, Part, Sheet
from portal.papers.stamping import stamp
from portal.people.languages import name_of
from portal.site.sentences import joined

PAPERS = {"a4": "A4", "letter": "Letter"}
DRAWN = ("campaign", "shots", "formats", "capture")
_COLUMNS = (
    Column("Placement", width=20),
    Column("Crop, px", "number"),
    Column("At left, top", "number"),
    Column("Ordered, px", "number"),
    Column("ppi at full size", "number"),
    Column("ppi for the eye", "number"),
    Column("ppi of artwork", "number"),
    Column("Ordered ppi", "number"),
    Column("Verdict", below=True),
)
_UNSERVED = (Column("Placement", width=20), Column("What would serve it", width=60))
CAUTION = (
    "What is above a set is rigged and tethered by who is trained for it, and local rules hold: no turn of a camera is "
    "worth reaching over hot food, lamps or a ladder."
)

Data = Mapping[str, Any]


def sheet(campaign: Campaign, brief: Brief, shot: str | None = None) -> Sheet:
    """The accepted plans of the campaign or of one shot (by its id). Raises KeyError where none was accepted."""
    data, told = brief.document["capture"], brief.document["campaign"]
    formats = {one["id"]: one for one in brief.document["formats"]["formats"]}
    placements = {one["id"]: formats.get(one["format"], {}) for one in brief.document["formats"]["placements"]}
    plans = [plan for plan in data["plans"] if shot in (None, plan["id"])]
    if not plans:
        raise KeyError(shot)
    parts = [part for plan in plans for part in _parts(data, plan, placements)]
    of = f"Shot {plans[0]['number']}, {plans[0]['title']}" if shot else "All shots whose plan was accepted"
    return Sheet(
        campaign=told["title"],
        code=told["code"],
        title="Capture plan",
        subtitle=of,
        parts=tuple(parts),
        stamp=stamp(campaign, brief),
        cautions=(ASSUMED, CAUTION),
        notice="Everything in this campaign is invented." if told["invented"] else "",
    )


def file_name(sheet: Sheet, brief: Brief) -> str:
    """A plain name: "OAT-27 capture plan shot 1 v2.pdf"."""
    number = re.match(r"Shot (\d+),", sheet.subtitle)
    parts = [
        sheet.code,
        "capture plan",
        f"shot {number[1]}" if number else "",
        f"v{brief.number}" if brief.number else "draft",
    ]
    return re.sub(r"[^A-Za-z0-9 -]+", "-", " ".join(part for part in parts if part)).strip(" -") + ".pdf"


def _parts(data: Data, plan: Data, placements: Mapping[str, Data]) -> list[Part]:
    head = f"Shot {plan['number']}, {plan['title']}"
    crops = [row for row in data["crops"] if row["shot"] == plan["id"]]
    captures = [row for row in data["captures"] if row["shot"] == plan["id"]]
    notes = capture_notes({**data, "captures": [], "not_served": []}, plan)
    leads = [" ".join([capture_says(data, plan), *notes])]
    parts = []
    for one in captures:
        mine = [row for row in crops if row["capture"] == one["number"]]
        numbered = [(n, label, row) for n, (label, row) in enumerate(_crops(mine), start=1)]
        parts.append(
            Part(
                f"{head}: capture {one['number']} of {len(captures)}",
                _COLUMNS,
                tuple(_line(n, label, row, placements.get(row["id"], {}), plan) for n, label, row in numbered),
                note="\n".join([*leads, _framed(one, plan)]),
                figure=figure(one, numbered, plan["margin"]),
            )
        )
        leads = []
    missing = [row for row in data["not_served"] if row["shot"] == plan["id"]]
    if missing:
        rows = tuple((row["label"], _would_serve(row, plan)) for row in missing)
        parts.append(Part(f"{head}: served by no single capture", _UNSERVED, rows, note="\n".join(leads)))
    return parts


def _crops(rows: list[Data]) -> list[tuple[str, Data]]:
    """The crops of a capture, each with its name; a format's languages of one crop and one need are one."""
    found: dict[tuple[Any, ...], list[Data]] = {}
    for row in rows:
        found.setdefault((row["format"], *row["exact"], *row["asks"]["need"]), []).append(row)
    return [
        (same[0]["label"] if len(same) == 1 else f"{same[0]['format']}, {_languages(same)}", same[0])
        for same in found.values()
    ]


def _languages(rows: list[Data]) -> str:
    return joined([name_of(row["language"]) for row in rows])


def _line(number: int, label: str, row: Data, format: Data, plan: Data) -> tuple[str, ...]:
    need = row["asks"]["need"]
    return (
        f"{number}  {label}",
        f"{row['width']} × {row['height']}",
        f"{row['x']}, {row['y']}",
        f"{need[0]:.0f} × {need[1]:.0f}",
        *(_ppi(row[name]) for name in ("ppi_full", "ppi_eye", "ppi_artwork")),
        _ppi(_ordered(row, format)),
        _verdict(row, plan),
    )


def _ppi(value: float | None) -> str:
    return "" if value is None else f"{value:.1f}" if value < 100 else f"{value:.0f}"


def _ordered(row: Data, format: Data) -> float | None:
    """Ppi of the artwork as it was ordered: its pixels over its size at its scale; None for screens."""
    if row["ppi_artwork"] is None or not format.get("width_mm"):
        return None
    need, k = row["asks"]["need"], float(format.get("artwork_scale") or 1)
    return min(need[0] / float(format["width_mm"]), need[1] / float(format["height_mm"])) * 25.4 * k


def _verdict(row: Data, plan: Data) -> str:
    value = row["spare"]
    if value < 1 - 1e-9:
        says = f"{spare(value)}, of {plan['enlargement']:g} allowed"
    else:
        says = f"enough, {spare(value)}" if value >= 1.05 else f"enough, with little left: {spare(value)}"
    if row["ppi_full"] and row["ppi_eye"]:
        share = row["ppi_full"] / row["ppi_eye"]
        says += f"; {share:.1f} times" if share >= 1 else f"; {100 * share:.0f} % of"
        says += " what an eye sees from where it is seen"
    return says[0].upper() + says[1:] + "."


def _framed(one: Data, plan: Data) -> str:
    x, y, wide, high = one["hero"]
    says = (
        f"{one['orientation'].capitalize()}, {one['width']} × {one['height']} px; the hero is {wide:.0f} × {high:.0f} "
        f"px, {x:.0f} from the left and {y:.0f} from the top. It can be straightened by {one['straightens_deg']:.1f}°."
    )
    return f"{says} {_lens(one, plan)}".strip()


def _lens(one: Data, plan: Data) -> str:
    """Focal length and distance of this framing, where the lens's numbers were written down."""
    if not (plan["sensor_mm"] and plan["hero_mm"] and (plan["distance_mm"] or plan["focal_mm"])):
        return (
            "Focal length and distance are not given: the sensor's width, the hero's height or the distance is missing."
        )
    left, top, width, height = one["framing"]
    framing = Framing(
        one["orientation"] == "landscape",
        one["width"],
        one["height"],
        one["px_per_hero_height"],
        Box(left, top, left + width, top + height),
    )
    long, short = plan["camera"]
    sensor = (plan["sensor_mm"], plan["sensor_mm"] * short / long)
    if plan["distance_mm"]:
        found = focal_for(framing, sensor, plan["hero_mm"], plan["distance_mm"])
    else:
        found = distance_for(framing, sensor, plan["hero_mm"], plan["focal_mm"])
    wide, high = found.framing_mm
    return (
        f"With {found.focal_mm:.0f} mm from {found.distance_mm / 1000:.2f} m the frame takes in {wide:.0f} × "
        f"{high:.0f} mm at the hero."
    )


def _would_serve(row: Data, plan: Data) -> str:
    columns, rows = row["tiles"]
    need, given = row["asks"]["need"], row["spare"] * plan["enlargement"]
    long, short = plan["camera"]
    return "\n".join(
        [
            f"Alone it gets {100 * row['spare']:.1f} % of its pixels.",
            f"Stitched: {columns * rows} {row['orientation']} tiles, {columns} across and {rows} down, each "
            f"overlapping the next by {100 * row['overlap']:g} %.",
            f"A ground plate: the hero in a capture by itself has {spare(row['hero_spare'])}; the ground is enlarged "
            f"{row['ground_enlarged']:.2f} times.",
            f"A smaller artwork: {need[0] * given:.0f} × {need[1] * given:.0f} px.",
            f"A larger camera: {long / given:.0f} × {short / given:.0f} px.",
        ]
    )
