"""What a layout's page shows of its file: the window, the blocks of type and how far they read, facts and marks."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.html import format_html

from layouts.formats.models import Format
from layouts.imaging.inspecting.inspect import READING_CAUTION
from layouts.overlays import looking, preparing
from layouts.overlays.models import Layout
from layouts.overlays.queries import Line
from portal.models import Work
from portal.site import drawing
from portal.site.sentences import count, sentence
from portal.templatetags.ui import measure

KINDS = {"canvas": "the whole canvas", "surround": "what the surround leaves", "keyline": "what the keyline bounds"}
# How sure the finding of a window is, from 0 to 1, in words: the first that it reaches.
SURE = (
    (0.9, "That is sure."),
    (0.7, "That is likely right; look at its edges."),
    (0.4, "That is doubtful: look at its edges, and set it right where it is not."),
    (0.0, "That is no more than a guess: set it by hand."),
)
GUIDE = f"Heights are those of the capitals, without what hangs below the line. {READING_CAUTION}"
# A block's number stands above it, or inside where less than this share of the picture's height is above.
_ROOM = 0.09
# What is written at the window on the picture, for the faults that are the window's.
AT_WINDOW = {
    "wrong-shape": "not the ordered shape",
    "too-few-pixels": "too few pixels",
    "window-off-centre": "off centre",
}


@dataclass(frozen=True)
class Seen:
    """The copy of the whole file that is looked at, and what is marked on it; boxes are SVG per cents."""

    width: int
    height: int
    copy: dict[str, Any]
    window: dict[str, int]
    # As it was found; None where that is no longer known.
    found: dict[str, int] | None
    corrected: bool
    says: str
    box: dict[str, Any]
    outside: list[dict[str, Any]]
    zones: list[dict[str, Any]]
    wrong: str
    format: Format
    tiles: dict[str, Any]

    @property
    def beside(self) -> str:
        """Whether what is said stands beside the picture: "tall", "middle" where the screen is very wide, or ""."""
        share = self.width / self.height
        return "tall" if share < 1.15 else "middle" if share < 2.6 else ""

    @property
    def aspect(self) -> float:
        return self.format.aspect

    @property
    def more(self) -> bool:
        """Whether the file has more pixels than the copy."""
        return self.width > int(self.copy["width"])

    @property
    def side(self) -> int:
        return looking.TILE_SIDE


def seen(line: Line) -> Seen | None:
    """What is seen of a placement's file; None before it has been inspected."""
    layout = line.layout
    if layout is None or layout.work.state != Work.State.DONE or line.window is None:
        return None
    result, window = layout.work.result, line.window
    wide, high = result["file"]["width"], result["file"]["height"]
    found = _found(layout)
    where = found and {side: found[side] for side in ("x", "y", "width", "height")}
    return Seen(
        width=wide,
        height=high,
        copy=result["seen"],
        window=window,
        found=where,
        corrected=layout.window is not None,
        says=_window_words(layout, found),
        box=_box(window, wide, high),
        outside=_outside(window, wide, high),
        zones=[
            {"number": number, **_box(zone, wide, high), "inside": zone["y"] < _ROOM * high}
            for number, zone in enumerate(result["type_zones"], start=1)
        ],
        wrong=", ".join(AT_WINDOW[fault["code"]] for fault in line.faults if fault["code"] in AT_WINDOW),
        format=line.placement.format,
        tiles=looking.tiles(layout.file),
    )


def found_window(layout: Layout) -> dict[str, int] | None:
    """The window as it was found, {x, y, width, height} in px of the file; None where that is not known."""
    found = _found(layout) if layout.work.state == Work.State.DONE else None
    return {side: found[side] for side in ("x", "y", "width", "height")} if found else None


def facts(line: Line) -> list[tuple[str, Any]]:
    """Label and value of what is known of a placement's file, for `figures`."""
    if line.layout is None:
        return []
    file, found = line.layout.file, line.layout.work.result
    rows: list[tuple[str, Any]] = [
        ("File", f"{file.type.upper()}, {file.bytes / 1_000_000:.1f} MB"),
        ("Canvas", measure((file.width, file.height), "px")),
    ]
    if line.layout.work.state != Work.State.DONE:
        return rows
    window, alpha = line.window or {}, found["alpha"]
    sure = "corrected" if line.layout.window else f"found as {KINDS[found['window']['kind']]}"
    rows += [
        ("Window", format_html("{}, {}", measure((window["width"], window["height"]), "px"), sure)),
        ("Clear", measure(100 * alpha["clear"], "%", 1)),
        ("Solid", measure(100 * alpha["solid"], "%", 1)),
        ("Profile", found["file"]["profile"] or "none, read as sRGB"),
        ("Type", type_words(found["type_zones"])),
    ]
    return rows


def type_words(zones: Sequence[dict[str, Any]]) -> str:
    """How much type there is, and how far its smallest line reads."""
    lines = [line for zone in zones for line in zone["lines"]]
    said = f"{count(len(zones), 'block')} of type or graphics".capitalize()
    far = [line["reads_to_m"] for line in lines if line["reads_to_m"]]
    return f"{said}; the smallest line reads from about {min(far):.0f} m" if far else said


def type_rows(line: Line) -> list[tuple[Any, ...]]:
    """Line by line: its block's number on the picture, height in px and mm, how far it reads at most and with comfort,
    and what that lacks."""
    if line.layout is None or line.layout.work.state != Work.State.DONE:
        return []
    from_m = line.placement.format.distance_m
    rows = []
    for number, zone in enumerate(line.layout.work.result["type_zones"], start=1):
        for place, row in enumerate(zone["lines"] or [{"height": None, "mm": None, "reads_to_m": None}]):
            rows.append(
                (
                    str(number) if place == 0 else format_html('<span class="visually-hidden">{}</span>', number),
                    measure(row["height"], "px") if row["height"] else "graphics, no lines",
                    measure(row["mm"], "mm", 0) if row["mm"] else "",
                    measure(row["reads_to_m"], "m", 0) if row["reads_to_m"] else "",
                    measure(row["comfortable_to_m"], "m", 0) if row.get("comfortable_to_m") else "",
                    _short(row["reads_to_m"], from_m),
                )
            )
    return rows


def _short(reads: float | None, distance: float | None) -> str:
    """What is said where a line does not reach to where its poster is seen from."""
    if not reads or not distance or reads >= distance:
        return ""
    return f"short of the {distance:g} m that it is seen from"


def _found(layout: Layout) -> dict[str, Any] | None:
    """The window as it was found, with kind and sure: of this inspection, or of the one before it was corrected."""
    if layout.window is None:
        window: dict[str, Any] | None = layout.work.result.get("window")
        return window
    asked = preparing.inputs(layout.file, layout.name, layout.placement.format, None)
    same = {f"inputs__{name}": asked[name] for name in ("sha256", "name", "called", "window")}
    earlier = Work.objects.filter(kind=preparing.KIND, state=Work.State.DONE, **same).order_by("-pk").first()
    return earlier.result.get("window") if earlier else None


def _window_words(layout: Layout, found: dict[str, Any] | None) -> str:
    """Where the window comes from and how sure that is, in a sentence or two."""
    if layout.window:
        was = f"; {KINDS[found['kind']]} was found before" if found else ""
        return sentence(f"The window was set by hand{was}")
    if not found:
        return ""
    sure = next(words for least, words in SURE if found["sure"] >= least)
    return f"The window was found as {KINDS[found['kind']]}. {sure}"


def _box(area: dict[str, Any], wide: int, high: int) -> dict[str, Any]:
    right, bottom = area["x"] + area["width"], area["y"] + area["height"]
    return drawing.box(area["x"] / wide, area["y"] / high, right / wide, bottom / high)


def _outside(window: dict[str, int], wide: int, high: int) -> list[dict[str, Any]]:
    """The parts of the canvas above, below, left and right of the window; those that have no area are left out."""
    x, y, right, bottom = window["x"], window["y"], window["x"] + window["width"], window["y"] + window["height"]
    parts = ((0, 0, wide, y), (0, bottom, wide, high), (0, y, x, bottom), (right, y, wide, bottom))
    return [drawing.box(x0 / wide, y0 / high, x1 / wide, y1 / high) for x0, y0, x1, y1 in parts if x1 > x0 and y1 > y0]
