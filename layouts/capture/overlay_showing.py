"""What the page of set overlays shows: each capture with its pictures, how far they are, and whether they still fit."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Any

from django.urls import reverse

from layouts.capture import overlay_actions, overlay_orders, overlay_source
from layouts.capture.overlay_models import SetOverlay
from layouts.capture.overlay_orders import Options
from layouts.capture.overlay_source import Source
from layouts.pictures import queries as mockups
from layouts.pictures.models import Mockup
from portal.models import Campaign, Work
from portal.site.sentences import Clause, count, joined, part, sentence, told
from shots.models import Shot

AGAIN = "Since these were drawn, the plan, a layout or the version that holds has changed. Have them drawn again."
_MAKING = "The pictures of {what} are being drawn."


def page(campaign: Campaign, shot: Shot) -> dict[str, Any]:
    """The page's context."""
    found = overlay_source.source(campaign, shot)
    rows = overlay_actions.newest(shot)
    open_ones = [row for row in rows if row.work.open]
    mockup = Mockup.objects.select_related("file", "work").filter(shot=shot, current=True).first() if rows else None
    captures = found.plan["captures"] if found.plan else []
    here = reverse("layouts:set-overlays", args=[campaign.key, shot.key])
    return {
        "shot": shot,
        "source": found,
        "says": _says(found, rows),
        "planned": [_planned(one, found) for one in captures],
        "not_served": _not_served(found),
        "made": [_made(campaign, shot, row, mockup) for row in rows],
        "asked": rows[0] if rows else None,
        "inputs": rows[0].work.inputs if rows else None,
        "old": bool(rows) and not open_ones and not _fits(campaign, found, rows),
        "again": AGAIN,
        "here": here,
        "progress": {
            "open": bool(open_ones),
            "sentence": _MAKING.format(what=joined([f"capture {row.capture}" for row in open_ones])),
            "done": len(rows) - len(open_ones),
            "total": len(rows),
        },
        "signature": hashlib.sha256("".join(f"{row.key}{row.work.state}" for row in rows).encode()).hexdigest()[:12],
    }


def may_have(row: SetOverlay) -> bool:
    """Whether the pictures are there."""
    return row.work.state == Work.State.DONE


def _says(found: Source, rows: Sequence[SetOverlay]) -> str:
    if found.plan is None:
        return found.why
    planned = len(found.plan["captures"])
    if not planned:
        return "No single frame serves any placement of this shot, so there is nothing to lay over live view."
    takes = f"{count(planned, 'frame')} {'serves' if planned == 1 else 'serve'} this shot."
    if not rows:
        return f"{sentence(takes)} Its pictures for live view have not been asked for yet."
    done, failed = sum(may_have(row) for row in rows), sum(row.work.state == Work.State.FAILED for row in rows)
    if failed:
        return told([Clause(failed, "capture", "could not be drawn", "could not be drawn")])
    stands = part(done, len(rows), "capture", "ready for live view")
    return f"{sentence(takes)} {stands}"


def _planned(one: dict[str, Any], found: Source) -> str:
    """A capture in a sentence."""
    assert found.plan is not None  # noqa: S101  for the type checker
    names = dict.fromkeys(row["format"] for row in found.plan["crops"] if row["capture"] == one["number"])
    return f"Capture {one['number']}, {one['orientation']}: {joined(list(names))}"


def _not_served(found: Source) -> str:
    missing = [row["label"] for row in found.plan["not_served"]] if found.plan else []
    if not missing:
        return ""
    verb = "is" if len(missing) == 1 else "are"
    return sentence(f"{joined(missing)} {verb} served by no single frame, and in none of these pictures")


def _made(campaign: Campaign, shot: Shot, row: SetOverlay, mockup: Mockup | None) -> dict[str, Any]:
    inputs, done = row.work.inputs, may_have(row)
    look = {**row.work.result["files"]["look"], "url": ""} if done else None

    def address(which: str) -> str:
        return reverse("layouts:set-overlay", args=[campaign.key, shot.key, row.key, which])

    named = {inputs["all"]: "all crops, outlined, numbered and named", inputs["index"]: "what each file is, as text"}
    named |= {crop["file"]: f"{crop['name']}: {crop['says'].partition(', ')[2]}" for crop in inputs["crops"]}
    named |= {group["mask"]: f"{group['name']}: mask" for group in inputs["groups"]}
    return {
        "row": row,
        "inputs": inputs,
        "done": done,
        "failed": row.work.state == Work.State.FAILED,
        "says": row.work.says,
        "look": look and {**look, "url": address("look")},
        "mockup": _under(campaign, inputs, look["width"], mockup) if look and mockup else None,
        "zip": {**row.work.result["files"]["zip"], "url": address("zip")} if done else None,
        "files": [
            {
                "name": one["name"],
                "what": named.get(one["name"], ""),
                "bytes": one["bytes"],
                "url": address(one["name"]),
            }
            for one in row.work.result.get("entries", [])
        ],
    }


def _under(campaign: Campaign, inputs: dict[str, Any], width: int, mockup: Mockup) -> dict[str, str] | None:
    """Where the mockup lies in a picture of the frame `width` px wide, so that its hero is the frame's."""
    copies = mockups.copies(mockup)
    if not mockup.hero or not copies:
        return None
    left, top, _, _ = inputs["frame"]["box"]
    unit = inputs["frame"]["density"] * width / inputs["frame"]["width"]  # px of the picture to a hero height
    x0, y0, x1, y1 = mockup.hero
    wide, high = inputs["hero_aspect"] * unit / (x1 - x0), unit / (y1 - y0)
    x, y = (-inputs["hero_aspect"] / 2 - left) * unit - x0 * wide, (-0.5 - top) * unit - y0 * high
    url = reverse("layouts:mockup-image", args=[campaign.key, mockup.key, copies[-1]["width"]])
    return {"url": url, **{side: f"{at:.1f}" for side, at in (("x", x), ("y", y), ("width", wide), ("height", high))}}


def _fits(campaign: Campaign, found: Source, rows: Sequence[SetOverlay]) -> bool:
    """Whether the same orders would be given today, and from the same version."""
    inputs = rows[0].work.inputs
    options = Options(inputs["size"], inputs["hero"], inputs["dimmed"])
    if {row.version_id for row in rows} != {found.version.pk if found.version else None}:
        return False
    try:
        orders = overlay_orders.orders(campaign, found, None, options)
    except overlay_orders.TooMuch:
        return False
    return len(orders) == len(rows) and all(
        overlay_orders.same(order, row.work.inputs) for order, row in zip(orders, rows, strict=True)
    )
