"""Inspect a layout from its pixels: transparency, window, type zones, faults."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from layouts.imaging.decoding.files import FileFacts
from layouts.imaging.decoding.prepare import Prepared, prepare_layout
from layouts.imaging.geometry import Rect
from layouts.imaging.inspecting.faults import MUST_FIX, Fault, Identity, Order, find_faults
from layouts.imaging.inspecting.letters import Line
from layouts.imaging.inspecting.window import Window, find_window
from layouts.imaging.inspecting.zones import TypeZone, find_zones
from layouts.imaging.surveying.survey import Survey

# Letters of 25 mm are legible at 10 m: common practice for outdoor signs, no source; a caution, never a verdict.
# It is the most that can be read at all. Comfortable is 25 mm for each 3 to 4 m, equally without a source.
LEGIBLE_M_PER_MM = 10 / 25
COMFORTABLE_M_PER_MM = 3.5 / 25
READING_CAUTION = (
    "25 mm of letter height for each 10 m is common practice for outdoor signs, and the most at which letters can be "
    "made out; for comfort reckon with 25 mm for each 3 to 4 m. It is a guide, not a verdict."
)


@dataclass(frozen=True)
class Inspection:
    """All that was found. `mm_per_px`: millimetres on the poster for one pixel of the canvas, None where unknown."""

    facts: FileFacts
    sha256: str
    survey: Survey
    window: Window
    zones: tuple[TypeZone, ...]
    faults: tuple[Fault, ...]
    mm_per_px: float | None

    @property
    def must_fix(self) -> bool:
        return any(fault.level == MUST_FIX for fault in self.faults)

    @property
    def pixels(self) -> str | None:
        """A digest of what the file shows, whatever its bytes and name are; None where it is not known.

        Of the pixels and of the profile that gives them their colours. Ink (CMYK) is not taken in.
        """
        if not self.survey.pixels or self.facts.cmyk:
            return None
        profile = self.facts.profile_bytes or b""
        return hashlib.sha256(self.survey.pixels.encode() + hashlib.sha256(profile).digest()).hexdigest()

    def as_json(self) -> dict[str, Any]:
        """Plain data, for a page or a command: pixels of the canvas, shares 0 to 1, unknown is None."""
        facts, survey = self.facts, self.survey
        return {
            "file": {
                "sha256": self.sha256, "bytes": facts.bytes, "type": facts.type, "width": facts.width,
                "height": facts.height, "mode": facts.mode, "profile": facts.profile_name,
            },
            "pixels": self.pixels,
            "alpha": {
                "present": facts.has_alpha, "clear": round(survey.clear, 6), "solid": round(survey.solid, 6),
                "half": round(survey.half, 6),
            },
            "window": {**_box(self.window.rect), "kind": self.window.kind, "sure": round(self.window.sure, 2)},
            "type_zones": [self._zone(zone) for zone in self.zones],
            "faults": [{"code": fault.code, "level": fault.level, "says": fault.says} for fault in self.faults],
        }  # fmt: skip

    def _zone(self, zone: TypeZone) -> dict[str, Any]:
        return {**_box(zone.box), "lines": [self._line(line) for line in zone.of_type]}

    def _line(self, line: Line) -> dict[str, Any]:
        mm = None if self.mm_per_px is None else line.height * self.mm_per_px
        return {
            "y": round(line.y), "height": round(line.height), "mm": None if mm is None else round(mm, 1),
            "reads_to_m": None if mm is None else round(mm * LEGIBLE_M_PER_MM, 1),
            "comfortable_to_m": None if mm is None else round(mm * COMFORTABLE_M_PER_MM, 1),
            "letters": "even" if line.even else "tall", "ink": _box(line.ink),
        }  # fmt: skip


def inspect_layout(
    layout: str | Path | Prepared,
    *,
    aspect: float | None = None,
    px: tuple[int, int] | None = None,
    mm: tuple[float, float] | None = None,
    called: str = "what was ordered",
    name: str = "",
    sha256: str = "",
    older: Sequence[tuple[str, str]] = (),
    language: str = "",
    languages: Sequence[tuple[str, str]] = (),
    window: Rect | None = None,
) -> Inspection:
    """Inspect a layout file, or what was prepared from it.

    Parameters
    ----------
    aspect, px, mm
        What was ordered: width / height, artwork pixels, millimetres on the poster. A missing aspect is taken from `px`
        or `mm`; with none of them, shape and size are not judged.
    called : str
        The format's name as it is said in a sentence: "the roadside poster".
    name : str
        The file's name as sent, to be held against the order.
    sha256 : str
        Of the file, if known; else it is computed where a path is given.
    older : sequence of (str, str)
        What each other file is called ("revision 2") and its SHA-256, or its `pixels`.
    language, languages : str, sequence of (str, str)
        The tag of the language that this layout is for ("cy"), and all that are ordered, each with what it is called
        ("Welsh"): the file's name may say another.
    window : Rect, optional
        The window as the designer corrected it, in canvas pixels: then it is not searched for.

    Raises
    ------
    Refused
        The file cannot be used; its sentence says why.
    """
    ready = layout if isinstance(layout, Prepared) else prepare_layout(layout)
    if not sha256 and not isinstance(layout, Prepared):
        with open(layout, "rb") as file:
            sha256 = hashlib.file_digest(file, "sha256").hexdigest()
    size = px or mm
    order = Order(aspect or (size[0] / size[1] if size else None), px, called, language, tuple(languages))
    found = find_window(ready, order.aspect, px)
    if window is not None:
        found = replace(found, rect=window.within(ready.canvas.width, ready.canvas.height), sure=1.0)
    # The edge of a surround may be soft by a pixel, and is so on a reduced layer.
    rim = max(2 * found.stroke, 2 / min(1, ready.across) if found.kind == "surround" else 0)
    zones = find_zones(ready.layer, found.rect, ready.across, ready.down, rim, ready.survey.masks, found.corner)
    scale = mm[1] / found.rect.height if mm else None
    made = Inspection(ready.facts, sha256, ready.survey, found, tuple(zones), (), scale)
    known = Identity(name, sha256, made.pixels or "", tuple(older))
    return replace(made, faults=tuple(find_faults(ready, found, order, known)))


def _box(rect: Rect) -> dict[str, int]:
    return {"x": round(rect.x), "y": round(rect.y), "width": round(rect.width), "height": round(rect.height)}
