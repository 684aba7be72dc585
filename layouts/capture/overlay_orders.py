"""Orders of set overlays: for each capture of a shot the plain data that its pictures are drawn from.

The same order is the same work: it names files by SHA-256, crops by their place in the scene, and the brief by its
stamp.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from layouts.capture import overlay_names
from layouts.capture.overlay_drawing import sheet_of
from layouts.capture.overlay_source import Source
from layouts.imaging.framing.geometry import Box, Framing
from layouts.overlays.models import Layout
from portal.brief.documents import Brief
from portal.models import Campaign, Work
from portal.papers.stamping import stamp
from portal.people.languages import name_of
from portal.site.sentences import joined, sentence

KIND = "layouts.set-overlays"
RECIPE = 1
SIZES = (500, 12_000)
LONG_SIDE = 3000
DIMMED = 60
# Pixels that one piece of work may draw: of its 180 s, 930 Mpx with the layouts' files took 20 s on two busy cores.
MOST_PIXELS = 3_000_000_000
# A mask takes so much of the time that a picture takes.
_MASK = 0.15

Data = dict[str, Any]
# What a page compares: the brief's stamp moves with any edit anywhere, the pictures do not.
_STAMPED = ("stamp", "digest", "check", "pack")


@dataclass(frozen=True)
class Options:
    """How the pictures are asked for: longer side in px, the hero's corners marked or not, per cent dimmed."""

    size: int = LONG_SIDE
    hero: bool = True
    dimmed: int = DIMMED


class TooMuch(ValueError):
    """More than one piece of work may draw; the text is a sentence."""


def orders(campaign: Campaign, source: Source, brief: Brief | None, options: Options) -> list[Data]:
    """The order of each capture, in their order; `brief` None leaves the stamp empty, to compare with. Two queries.

    Raises TooMuch.
    """
    if source.plan is None:
        return []
    works = _works(source)
    made = [
        _order(campaign, source, brief, options, works, one, framing)
        for one, framing in zip(source.plan["captures"], source.framings, strict=True)
    ]
    for order in made:
        _within_limits(order)
    return made


def same(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Whether two orders draw the same pictures, whatever stamp they carry."""
    return {**one, **dict.fromkeys(_STAMPED)} == {**other, **dict.fromkeys(_STAMPED)}


def _works(source: Source) -> dict[tuple[str, str], Layout]:
    """The layouts' rows by placement and SHA-256: a version's layout may have been replaced since."""
    wanted = {(key, row["sha256"]) for key, row in source.layouts.items()}
    rows = Layout.objects.filter(
        placement__key__in=[key for key, _ in wanted], file__sha256__in=[sha for _, sha in wanted]
    ).select_related("work", "file", "placement")
    return {(row.placement.key, row.file.sha256): row for row in rows.order_by("revision")}


def _order(
    campaign: Campaign,
    source: Source,
    brief: Brief | None,
    options: Options,
    works: Mapping[tuple[str, str], Layout],
    capture: Mapping[str, Any],
    framing: Framing,
) -> Data:
    assert source.plan is not None  # noqa: S101  for the type checker: orders() has looked
    shot, number = source.shot, capture["number"]
    names = overlay_names.Names(overlay_names.begins(shot.number, number))
    crops = [row for row in source.plan["crops"] if row["capture"] == number]
    groups = _groups(crops, framing, len(campaign.languages), names)
    frame = {
        "landscape": framing.landscape,
        "width": framing.width,
        "height": framing.height,
        "density": framing.density,
        "box": _edges(framing.box),
    }
    return {
        "code": campaign.code,
        "campaign": campaign.title,
        "shot": {"number": shot.number, "title": shot.title},
        "capture": number,
        "of": len(source.plan["captures"]),
        **_stamp(campaign, brief, shot.number, number),
        "frame": frame,
        "hero_aspect": source.hero_aspect,
        "size": options.size,
        "hero": options.hero,
        "dimmed": options.dimmed,
        "index": names.new("index", "txt"),
        "all": names.new("all-crops", "png"),
        "groups": groups,
        "crops": [_crop(row, groups, source, works, framing, names) for row in crops],
        "notes": _notes(source),
    }


def _stamp(campaign: Campaign, brief: Brief | None, shot: int, capture: int) -> Data:
    if brief is None:
        return dict.fromkeys(_STAMPED, "")
    which = "draft" if brief.number is None else f"v{brief.number}"
    begins = overlay_names.begins(shot, capture)
    return {
        "stamp": brief.stamp,
        "digest": brief.digest,
        "check": stamp(campaign, brief).address,
        "pack": f"{overlay_names.plain(campaign.code, 'campaign')}-{begins}-{which}-{brief.digest[:8]}.zip",
    }


def _groups(
    crops: Sequence[Mapping[str, Any]], framing: Framing, languages: int, names: overlay_names.Names
) -> list[Data]:
    """Crops that are one in the frame, as a format's in several languages: one outline, one mask."""
    found: dict[tuple[Any, ...], list[Mapping[str, Any]]] = {}
    for row in crops:
        found.setdefault((row["format"], *row["exact"]), []).append(row)
    groups = []
    for number, rows in enumerate(found.values(), start=1):
        one = rows[0]
        some = len(rows) < languages
        tags = [row["language"] for row in rows]
        name = f"{one['format']}, {joined([name_of(tag) for tag in tags])}" if some else one["format"]
        label = f"{number}  {one['format']}{'  ' + ' '.join(tags) if some else ''}"
        what = "-".join(
            overlay_names.plain(part, f"crop-{number}") for part in [one["format"], *(tags if some else [])]
        )
        groups.append(
            {
                "name": name,
                "label": label,
                "mask": names.new(f"{what}-mask", "png"),
                "box": _box(one, framing),
                "pixels": _pixels(one),
                "spare": one["spare"],
                "ids": [row["id"] for row in rows],
            }
        )
    return groups


def _crop(
    row: Mapping[str, Any],
    groups: Sequence[Data],
    source: Source,
    works: Mapping[tuple[str, str], Layout],
    framing: Framing,
    names: overlay_names.Names,
) -> Data:
    at = next(number for number, group in enumerate(groups) if row["id"] in group["ids"])
    layout = source.layouts.get(row["id"])
    held = works.get((row["id"], layout["sha256"])) if layout else None
    there = held is not None and held.work.state == Work.State.DONE and bool(layout and layout["window"])
    what = f"{overlay_names.plain(row['format'], f'crop-{at + 1}')}-{overlay_names.plain(row['language'], 'language')}"
    tongue = name_of(row["language"])
    says = f"{tongue}, layout revision {layout['revision']}" if layout and there else f"{tongue}, {_missing(layout)}"
    return {
        "name": f"{row['format']}, {tongue}",
        "file": names.new(what, "png"),
        "group": at,
        "box": _box(row, framing),
        "pixels": _pixels(row),
        "layout": layout["sha256"] if layout and there else None,
        "prepare": held.work.key if held and there else None,
        "window": layout["window"] if layout and there else None,
        "says": says,
    }


def _missing(layout: Data | None) -> str:
    if layout is None:
        return "no layout has come: the crop is clear"
    return "its layout could not be read: the crop is clear"


def _box(row: Mapping[str, Any], framing: Framing) -> list[float]:
    """A crop's place in the scene, from its place in the frame."""
    x, y, wide, high = row["exact"]
    left, top = framing.box.left + x / framing.density, framing.box.top + y / framing.density
    return _edges(Box(left, top, left + wide / framing.density, top + high / framing.density))


def _edges(box: Box) -> list[float]:
    return [box.left, box.top, box.right, box.bottom]


def _pixels(row: Mapping[str, Any]) -> list[int]:
    return [row[side] for side in ("x", "y", "width", "height")]


def _notes(source: Source) -> list[str]:
    assert source.plan is not None  # noqa: S101  for the type checker
    missing = [row["label"] for row in source.plan["not_served"]]
    notes = [source.says] if source.says else []
    if missing:
        verb = (
            "is served by no single frame, so it has"
            if len(missing) == 1
            else "are served by no single frame: they have"
        )
        notes.append(sentence(f"{joined(missing)} {verb} no picture here"))
    return notes


def _within_limits(order: Data) -> None:
    on = sheet_of(order)
    pictures = 1 + len(order["crops"]) + _MASK * len(order["groups"])
    wanted = pictures * on.width * on.height
    if wanted > MOST_PIXELS:
        most = int(order["size"] * (MOST_PIXELS / wanted) ** 0.5 / 100) * 100
        raise TooMuch(
            f"Capture {order['capture']} has {len(order['crops'])} placements: at {order['size']} px that is more than "
            f"one piece of work may draw. Ask for {most} px or less."
        )
