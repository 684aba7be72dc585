"""A problem from plain data, as a command or a page sends it; each slip gets a sentence that says where."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from layouts.imaging.framing.problem import DEFAULT_MARGIN, Placement, Problem, Unplannable, is_number, shown

_PROBLEM = ("camera", "hero_aspect", "margin", "enlargement", "placements")
_PLACEMENT = (
    "id", "aspect", "zone", "need", "anchor", "mm", "artwork_scale", "distance_m", "hero_down_to",
)  # fmt: skip


def read_problem(data: Any) -> tuple[Problem, list[str]]:
    """The problem, and a caution for each key that is not known: a misspelt one would be left out of account unseen.

    Keys are those of `Problem` and `Placement`; camera is {"width", "height"}. Margin, enlargement, anchor and what is
    not known of a placement may be left out or null. Raises Unplannable.
    """
    whole = _mapping(data, "The input")
    for key in ("camera", "hero_aspect", "placements"):
        if whole.get(key) is None:
            raise Unplannable(f"The input has no “{key}”.")
    camera = _mapping(whole["camera"], "“camera”")
    sides = (_number(camera.get("width"), "The camera's width"), _number(camera.get("height"), "The camera's height"))
    if not isinstance(whole["placements"], list):
        raise Unplannable(f"“placements” must be a list, and not {shown(whole['placements'])}.")
    cautions = _unknown(whole, _PROBLEM, "the input") + _unknown(camera, ("width", "height"), "“camera”")
    placements = []
    for at, row in enumerate(whole["placements"], start=1):
        placement, says = _placement(row, at)
        placements.append(placement)
        cautions += says
    problem = Problem(
        camera=sides,
        hero_aspect=_number(whole["hero_aspect"], "The hero's aspect"),
        placements=tuple(placements),
        margin=_or(whole.get("margin"), DEFAULT_MARGIN, "The margin"),
        enlargement=_or(whole.get("enlargement"), 1.0, "The enlargement"),
    )
    return problem, cautions + problem.cautions()


def _placement(row: Any, at: int) -> tuple[Placement, list[str]]:
    row = _mapping(row, f"Placement {at}")
    name = row.get("id")
    if isinstance(name, bool) or not isinstance(name, str | int) or name == "":
        raise Unplannable(f"Placement {at} needs an “id”, text or a whole number, and not {shown(name)}.")
    where = f"Placement “{name}”: its"
    x0, y0, x1, y1 = _numbers(row.get("zone"), 4, f"{where} hero zone", "[x0, y0, x1, y1]")
    need = _numbers(row.get("need"), 2, f"{where} needed pixels", "[width, height]")
    anchor, mm = row.get("anchor"), row.get("mm")
    placement = Placement(
        id=name,
        aspect=_number(row.get("aspect"), f"{where} aspect"),
        zone=(x0, y0, x1, y1),
        need=(need[0], need[1]),
        anchor=(0.5, 0.5) if anchor is None else _pair(anchor, f"{where} anchor", "[across, down]"),
        mm=None if mm is None else _pair(mm, f"{where} size in mm", "[width, height]"),
        artwork_scale=_maybe(row.get("artwork_scale"), f"{where} artwork scale"),
        distance_m=_maybe(row.get("distance_m"), f"{where} viewing distance"),
        hero_down_to=_maybe(row.get("hero_down_to"), f"{where} share that the hero may shrink to"),
    )
    return placement, _unknown(row, _PLACEMENT, f"placement “{name}”")


def _mapping(value: Any, what: str) -> Mapping[str, Any]:
    if not isinstance(value, Mapping):
        raise Unplannable(f"{what} must be an object with named values, and not {shown(value)}.")
    return value


def _number(value: Any, what: str) -> float:
    if value is None:
        raise Unplannable(f"{what} is missing.")
    if not is_number(value):
        raise Unplannable(f"{what} must be a number, and not {shown(value)}.")
    return float(value)


def _or(value: Any, default: float, what: str) -> float:
    return default if value is None else _number(value, what)


def _maybe(value: Any, what: str) -> float | None:
    return None if value is None else _number(value, what)


def _numbers(value: Any, count: int, what: str, shape: str) -> list[float]:
    if not isinstance(value, list | tuple) or len(value) != count or not all(is_number(v) for v in value):
        raise Unplannable(f"{what} must be {count} numbers, {shape}, and not {shown(value)}.")
    return [float(v) for v in value]


def _pair(value: Any, what: str, shape: str) -> tuple[float, float]:
    first, second = _numbers(value, 2, what, shape)
    return first, second


def _unknown(row: Mapping[str, Any], known: tuple[str, ...], where: str) -> list[str]:
    return [
        f"{shown(str(key))} in {where} is not known and was left out of account." for key in row if key not in known
    ]
