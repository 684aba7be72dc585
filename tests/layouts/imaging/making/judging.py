"""Findings held against the truth of a drawn file."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from layouts.imaging.geometry import Rect
from layouts.imaging.inspecting.inspect import Inspection, inspect_layout
from tests.layouts.imaging.making.made import Made

SURE = 0.7  # from here on a person would not look
IOU = 0.9


@dataclass(frozen=True)
class Judged:
    """What was right and wrong with one file. `off`: the window's worst edge, in pixels."""

    seed: int
    off: float
    sharp: bool
    exact: bool
    sure: float
    zones: int
    zones_right: int
    extra: int
    lines: int
    lines_right: int
    missed: frozenset[str]
    false_must: frozenset[str]
    false_look: frozenset[str]
    complaint: str


@dataclass
class Tally:
    """Sums over many files."""

    files: int = 0
    sharp: int = 0
    exact: int = 0
    worst: float = 0
    zones: int = 0
    zones_right: int = 0
    extra: int = 0
    lines: int = 0
    lines_right: int = 0
    missed: int = 0
    false_must: int = 0
    false_look: int = 0
    wrong_and_sure: int = 0
    sure_right: list[float] = field(default_factory=list)
    sure_wrong: list[float] = field(default_factory=list)

    def take(self, one: Judged) -> None:
        self.files += 1
        self.sharp += one.sharp
        self.exact += one.sharp and one.exact
        self.worst = max(self.worst, one.off)
        for name in ("zones", "zones_right", "extra", "lines", "lines_right"):
            setattr(self, name, getattr(self, name) + getattr(one, name))
        for name in ("missed", "false_must", "false_look"):
            setattr(self, name, getattr(self, name) + len(getattr(one, name)))
        (self.sure_right if one.exact else self.sure_wrong).append(one.sure)
        self.wrong_and_sure += not one.exact and one.sure >= SURE


def inspected(made: Made) -> Inspection:
    """The file inspected as its order says; beside an older file, with that one's pixels known."""
    order: dict[str, Any] = {key: value for key, value in made.order.items() if key != "older_file"}
    if "older_file" in made.order:
        order["older"] = [("revision 1", inspect_layout(made.order["older_file"]).pixels)]
    return inspect_layout(made.path, **order)


def judge(made: Made) -> Judged:
    found = inspected(made)
    # A line's middle is a matter of half a pixel; a soft edge of the pixel that it runs through.
    slack = 0 if made.sharp and made.kind != "keyline only" else 1.01
    off = apart(found.window.rect, made.window)
    exact = off <= slack
    zones = [zone.box for zone in found.zones]
    right = sum(any(iou(box, other) >= IOU for other in zones) for box in made.blocks)
    extra = sum(all(iou(box, other) < 0.5 for other in made.blocks) for box in zones) if made.blocks else 0
    lines = [line for zone in found.zones for line in zone.of_type]
    read = sum(any(_is_line(line, true) for line in lines) for true in made.lines)
    codes = {fault.code: fault.level for fault in found.faults}
    open_to = made.wanted | made.may
    if made.wanted & {"flattened-ground", "no-alpha", "nothing-solid"}:
        zones_of = lines_of = 0  # nothing is judged but the fault
        right = extra = read = 0
    else:
        zones_of, lines_of = len(made.blocks), len(made.lines)
    false = {code for code in codes if code not in open_to}
    must = frozenset(code for code in false if codes[code] == "must-fix")
    missed = made.wanted - codes.keys()
    window = (
        f"window {_told(found.window.rect)} {found.window.kind} {found.window.sure:.2f}, drawn {_told(made.window)}"
    )
    said = [
        "" if exact else window,
        f"zones {right} of {zones_of}, {extra} extra" if right < zones_of or extra else "",
        f"lines {read} of {lines_of}" if read < lines_of else "",
        f"missed {', '.join(missed)}" if missed else "", f"false {', '.join(sorted(false))}" if false else "",
    ]  # fmt: skip
    return Judged(
        seed=int(made.path.stem.rpartition("-")[2]), off=off, sharp=made.sharp, exact=exact, sure=found.window.sure,
        zones=zones_of, zones_right=right, extra=extra, lines=lines_of, lines_right=read, missed=missed,
        false_must=must, false_look=frozenset(false) - must, complaint="; ".join(part for part in said if part),
    )  # fmt: skip


def _is_line(line: Any, true: Any) -> bool:
    """The line was found there, and its letters' height to a tenth or a pixel and a half."""
    overlap = min(line.ink.bottom, true.ink.bottom) - max(line.ink.y, true.ink.y)
    return bool(overlap > 0.6 * true.ink.height and abs(line.height - true.letters) <= max(1.5, 0.1 * true.letters))


def apart(one: Rect, other: Rect) -> float:
    """The greatest distance between two rectangles' edges."""
    edges = ("x", "y", "right", "bottom")
    return max(abs(getattr(one, edge) - getattr(other, edge)) for edge in edges)


def iou(one: Rect, other: Rect) -> float:
    """Intersection over union, 0 to 1."""
    shared = one.meet(other).area
    return shared / (one.area + other.area - shared)


def _told(rect: Rect) -> str:
    return f"{rect.x:g},{rect.y:g} {rect.width:g}x{rect.height:g}"
