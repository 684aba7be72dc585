"""The section "layouts": for each placement the file that lies over its picture, and what was found in it."""

from collections.abc import Collection
from typing import Any

from layouts.formats.section import placement_name
from layouts.overlays import readiness
from layouts.overlays.models import Layout
from layouts.overlays.queries import window_of
from portal.brief import fields, sections
from portal.brief.fields import Field, Parent, Row, Thing, Whole, Words
from portal.brief.sections import Picture, Section
from portal.models import Campaign, Work
from portal.people.languages import name_of
from portal.sealing import words


def _name(row: Row, whole: Whole) -> str:
    placement = whole.row("formats", row["id"], "placements")
    if placement:
        return placement_name(placement, whole)
    return f"shot {row['number']}, {row['format']}, {name_of(row['language'])}"


def _window(window: Any, _: Row) -> str:
    if not window:
        return "none"
    return f"{window['width']} × {window['height']} px, {window['x']} from the left and {window['y']} from the top"


def _faults(faults: Any, _: Row) -> str:
    return "; ".join(fault["says"].rstrip(".") for fault in faults) or "none"


def _computed(old: Row, new: Row) -> Collection[str]:
    """What inspection finds of the same file: a portal that has learnt more may find it otherwise."""
    by_hand = old.get("window_corrected") or new.get("window_corrected")
    return ("clear", "type_zones", "faults") if by_hand else ("clear", "type_zones", "faults", "window")


_IN_FILE = ("clear", "type_zones", "window", "window_corrected")
TELLS = Words(
    {
        "": Thing(
            "layout",
            _name,
            {
                "sha256": fields.seen("layout"),
                "window": Field("window", _window, {"type": ["object", "null"]}, covers=("window_corrected",)),
                "clear": Field(
                    "clear",
                    lambda share, _: "not known" if share is None else f"{100 * share:.1f} %",
                    {"type": ["number", "null"]},
                ),
                "type_zones": fields.number("zones of type"),
                "faults": Field("faults", _faults, {"type": "array", "items": {"type": "object"}}),
                "number": fields.number("number of the shot", least=1),
                "format": fields.text("name of the format"),
                "language": fields.text("language"),
            },
            follows=("number", "format", "language"),
            # Another file has other type in another place: that goes without saying.
            derived=lambda old, new: _IN_FILE if old.get("sha256") != new.get("sha256") else (),
            computed=_computed,
            parents=lambda row: [Parent("formats", "placements", row["id"])],
            about=("sha256",),
        )
    }
)


def pictures(campaign: Campaign, wanted: Collection[str]) -> dict[str, Picture]:
    """Copies of these layouts' whole canvas, for pages; those that are made, of this campaign's files."""
    rows = Layout.objects.filter(
        placement__shot__campaign=campaign, file__sha256__in=wanted, work__state=Work.State.DONE
    ).select_related("file", "work")
    found = {row.file.sha256: row.work.result.get("seen") for row in rows}
    return {
        sha256: Picture(seen["path"], seen["type"], seen["width"], seen["height"])
        for sha256, seen in found.items()
        if seen
    }


def assemble(campaign: Campaign) -> list[dict[str, Any]]:
    """The current layouts of the wanted placements, each by its placement's key; two queries."""
    rows = (
        Layout.objects.filter(current=True, placement__wanted=True, placement__shot__campaign=campaign)
        .select_related("placement__shot", "placement__format", "file", "work")
        .order_by(
            "placement__shot__number", "placement__format__position", "placement__format_id", "placement__language"
        )
    )
    return [_entry(row) for row in rows]


def _entry(row: Layout) -> dict[str, Any]:
    placement, found = row.placement, row.work.result
    return {
        "id": placement.key,
        "number": placement.shot.number,
        "format": placement.format.name,
        "language": placement.language,
        "file": row.name,
        "sha256": row.file.sha256,
        "type": row.file.type,
        "width": row.file.width,
        "height": row.file.height,
        "revision": row.revision,
        "window": window_of(row),
        "window_corrected": row.window is not None,
        "clear": found.get("alpha", {}).get("clear"),
        "type_zones": len(found.get("type_zones", [])),
        "faults": [{"code": fault["code"], "says": fault["says"]} for fault in found.get("faults", [])],
    }


def register() -> None:
    sections.register(
        Section(
            "layouts",
            "Layouts",
            35,
            assemble,
            "layouts/overlays/section.html",
            readiness.ready,
            kinds=readiness.KINDS,
            words=TELLS,
            pictures=pictures,
        )
    )
    words.register(
        {
            "layout.sent": "{who} sent revision {revision} for {subject}: {name}",
            "layout.asked": "{who} sent {name}; it is asked about: {says}",
            "layout.refused": "{who} sent {name}, which was refused: {says}",
            "layout.aside": "{who} sent {name} again: {says}",
            "layout.put-aside": "{who} put {name} aside",
            "layout.stands-again": "{who} let revision {of} of {subject} stand again, as revision {revision}",
            "layout.window-corrected": "{who} corrected the window of {subject}, revision {revision}",
            "layout.tried-again": "{who} had revision {revision} of {subject} tried again",
        }
    )
