"""Inspect a layout file by itself: `python manage.py inspect_layout FILE --mm 6000x3000 --px 7200x3600`."""

import math
import re
from pathlib import Path
from typing import Any

from django.core.management.base import CommandParser

from layouts.imaging.errors import Refused
from layouts.imaging.inspecting.fault import MUST_FIX
from layouts.imaging.inspecting.inspect import READING_CAUTION, inspect_layout
from layouts.imaging.inspecting.window import ASK, same_shape
from layouts.imaging.words import shape
from portal.management.report import ReportCommand, Unusable
from portal.site.sentences import count, joined

_KINDS = {
    "canvas": "the whole canvas is the poster",
    "surround": "a surround leaves it",
    "keyline": "a keyline bounds it",
}
_LETTERS = {"tall": "to the top of its capitals", "even": "all letters of one height"}


class Command(ReportCommand):
    help = (
        "Says what a layout file holds: transparency, the poster's own area (window), blocks of type with the height "
        "of each line, and what is wrong with it. With --mm, heights are also in millimetres on the poster, with the "
        "distance that a line reads to. Exit status 1: something must be fixed."
    )
    refusals = (Refused,)

    def takes(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", help="PNG, TIFF, WebP, JPEG, PDF or PSD")
        parser.add_argument("--aspect", metavar="W:H", help="the poster's shape, such as 2:1")
        parser.add_argument("--mm", metavar="WxH", help="the poster's size in millimetres, such as 6000x3000")
        parser.add_argument("--px", metavar="WxH", help="the artwork's size in pixels, such as 7200x3600")

    def compute(self, options: dict[str, Any]) -> dict[str, Any]:
        aspect = _pair(options, "aspect", "2:1", r"[:/]")
        mm = _pair(options, "mm", "6000x3000", r"[x×X]")
        px = _pair(options, "px", "7200x3600", r"[x×X]", whole=True)
        _agree({"--aspect": aspect, "--mm": mm, "--px": px})
        path = Path(options["file"])
        return inspect_layout(
            path,
            aspect=aspect[0] / aspect[1] if aspect else None,
            mm=mm,
            px=(int(px[0]), int(px[1])) if px else None,
            name=path.name,
        ).as_json()

    def words(self, result: dict[str, Any]) -> str:
        file, alpha, window = result["file"], result["alpha"], result["window"]
        profile = f"profile {file['profile']}" if file["profile"] else "no profile"
        sure = "sure" if window["sure"] >= ASK else "not sure: look"
        lines = [
            f"{file['type'].upper()}, {file['width']} x {file['height']} px, {file['mode']}, {profile}, "
            f"{file['bytes']} bytes",
            f"SHA-256 {file['sha256']}",
            f"Clear {100 * alpha['clear']:.1f} %, solid {100 * alpha['solid']:.1f} %, half-clear "
            f"{100 * alpha['half']:.1f} %" + ("" if alpha["present"] else "; no alpha channel"),
            f"Window {window['width']} x {window['height']} px from {window['x']}, {window['y']}: "
            f"{_KINDS[window['kind']]} ({sure}, {window['sure']:.2f})",
            *_zones(result["type_zones"]),
        ]
        faults = result["faults"]
        lines += [
            f"{'Must fix' if fault['level'] == MUST_FIX else 'Worth a look'}: {fault['says']}" for fault in faults
        ]
        return "\n".join(lines if faults else [*lines, "Nothing is wrong with it."])

    def must_fix(self, result: dict[str, Any]) -> bool:
        return any(fault["level"] == MUST_FIX for fault in result["faults"])


def _zones(zones: list[dict[str, Any]]) -> list[str]:
    lines = [f"{count(len(zones), 'block').capitalize()} of type or graphics"]
    for zone in zones:
        lines.append(f"  {zone['width']} x {zone['height']} px from {zone['x']}, {zone['y']}")
        for line in zone["lines"]:
            on_poster = "" if line["mm"] is None else f", {line['mm']:g} mm, reads to about {line['reads_to_m']:g} m"
            lines.append(f"    line {line['height']} px high at {line['y']}{on_poster} ({_LETTERS[line['letters']]})")
    if any(line["mm"] is not None for zone in zones for line in zone["lines"]):
        lines.append(READING_CAUTION)
    return lines


def _pair(
    options: dict[str, Any], name: str, example: str, between: str, *, whole: bool = False
) -> tuple[float, float] | None:
    """Two numbers above 0 of an argument; None where it was left out."""
    given = options[name]
    if given is None:
        return None
    number = r"\d{1,9}" if whole else r"\d{1,9}(?:\.\d{1,6})?"
    found = re.fullmatch(rf"\s*({number})\s*{between}\s*({number})\s*", given, re.ASCII)
    pair = (float(found[1]), float(found[2])) if found else (0.0, 0.0)
    if min(pair) <= 0 or not math.isfinite(pair[0] / pair[1]):
        kind = "whole numbers" if whole else "numbers"
        raise Unusable(f"--{name} takes two {kind} above 0, such as {example}; this is “{given}”.")
    return pair


def _agree(sizes: dict[str, tuple[float, float] | None]) -> None:
    given = {name: pair[0] / pair[1] for name, pair in sizes.items() if pair}
    first = next(iter(given.values()), 1.0)
    if not all(same_shape(aspect, first) for aspect in given.values()):
        told = joined([f"{name} is {shape(aspect)}" for name, aspect in given.items()])
        raise Unusable(f"{told}; one poster has one shape, so give sizes that agree.")
