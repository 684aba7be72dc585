"""What a capture plan is asked: one shot, its placements, one camera. What cannot be planned is refused at the door:
a flipped zone or a negative need would otherwise yield a confident plan."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

Pair = tuple[float, float]
Zone = tuple[float, float, float, float]

ASPECT = (0.02, 50.0)
NEED = (1.0, 1e6)
SIDE = (16.0, 1e6)
MARGIN = (0.0, 0.25)
ENLARGEMENT = (1.0, 4.0)
SMALLEST_ZONE = 0.01
DEFAULT_MARGIN = 0.03
# Artwork whose shape differs from its window's by more is worth a word.
SAME_SHAPE = 0.01


class Unplannable(ValueError):
    """The input cannot be planned; the text is one sentence that names the placement and the value."""


class TooLarge(Unplannable):
    """The problem is past the size that can be settled exactly."""


@dataclass(frozen=True, slots=True)
class Placement:
    """A layout's window: what the capture must give it.

    aspect          width / height of the window, 0.02 to 50
    zone            the hero's zone, x0, y0, x1, y1 in fractions of the window, y down
    need            pixels of the window that the artwork needs, width and height, 1 to 1e6
    anchor          where the hero stands in the free room of its zone, 0 left or top to 1 right or bottom
    mm              the window at full size, if known
    artwork_scale   k, where the artwork is made at 1 : k, if known
    distance_m      from where it is seen, if known
    hero_down_to    None: the hero fills its zone. Else the designer agrees that it may shrink to this share of it,
                    0.5 to 1, and stand anywhere in it.
    """

    id: str | int
    aspect: float
    zone: Zone
    need: Pair
    anchor: Pair = (0.5, 0.5)
    mm: Pair | None = None
    artwork_scale: float | None = None
    distance_m: float | None = None
    hero_down_to: float | None = None


@dataclass(frozen=True, slots=True)
class Problem:
    """Placements of one shot on one camera. Raises Unplannable.

    camera        pixels, width and height; their order is of no account
    hero_aspect   width / height of the hero, 0.02 to 50: one number per shot
    margin        share of the framing kept free on each side, 0 to 0.25
    enlargement   how far a capture may be enlarged for the artwork, 1 to 4
    """

    camera: Pair
    hero_aspect: float
    placements: tuple[Placement, ...]
    margin: float = DEFAULT_MARGIN
    enlargement: float = 1.0

    def __post_init__(self) -> None:
        for name, side in zip(("width", "height"), self.camera, strict=True):
            _check(f"The camera's {name}", side, SIDE, "px")
        _check("The hero's aspect", self.hero_aspect, ASPECT)
        _check("The margin", self.margin, MARGIN, "of the framing on each side")
        _check("The enlargement", self.enlargement, ENLARGEMENT)
        seen: set[str] = set()
        for placement in self.placements:
            if str(placement.id) in seen:
                raise Unplannable(f"Two placements are called “{placement.id}”; each needs a name of its own.")
            seen.add(str(placement.id))
            _check_placement(placement)

    @property
    def long(self) -> float:
        """The longer side of the camera's picture, px."""
        return max(self.camera)

    @property
    def short(self) -> float:
        """The shorter side of the camera's picture, px."""
        return min(self.camera)

    @property
    def usable(self) -> float:
        """Share of each side of the framing that the margin leaves."""
        return 1 - 2 * self.margin

    def cautions(self) -> list[str]:
        """Sentences about input that can be planned, but looks like a slip."""
        says = []
        for p in self.placements:
            made = p.need[0] / p.need[1]
            if abs(made - p.aspect) > SAME_SHAPE * p.aspect:
                says.append(
                    f"Placement “{p.id}”: {p.need[0]:g} × {p.need[1]:g} px is {made:.4g} : 1, but its window is "
                    f"{p.aspect:.4g} : 1; the plan gives it the pixels of the tighter side."
                )
        return says


def is_number(value: object) -> bool:
    """A finite number, and neither true nor false nor text."""
    if type(value) is float:  # nearly always, and asked of 1,440 placements at each reading of readiness
        return math.isfinite(value)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    try:
        return math.isfinite(value)
    except OverflowError:
        return False


def _check(what: str, value: object, between: Pair, unit: str = "", *, of: Placement | None = None) -> None:
    low, high = between
    if not is_number(value) or not low <= value <= high:  # type: ignore[operator]
        needs = f"a number from {low:g} to {high:g}{' ' + unit if unit else ''}"
        whose = f"Placement “{of.id}”: " if of else ""
        raise Unplannable(f"{whose}{what} must be {needs}, and not {shown(value)}.")


def shown(value: object) -> str:
    """A value as it came, short enough for a sentence."""
    text = f"“{value}”" if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "…"


def _check_placement(p: Placement) -> None:
    _check("its aspect", p.aspect, ASPECT, of=p)
    _check_zone(p)
    for names, pair, between, unit in (
        (("its needed width", "its needed height"), p.need, NEED, "px"),
        (("its anchor across", "its anchor down"), p.anchor, (0.0, 1.0), ""),
        (("its width", "its height"), p.mm, (1.0, 1e6), "mm"),
    ):
        for name, value in zip(names, pair or (), strict=False):
            _check(name, value, between, unit, of=p)
    if p.artwork_scale is not None:
        _check("its artwork scale", p.artwork_scale, (0.01, 1000.0), of=p)
    if p.distance_m is not None:
        _check("its viewing distance", p.distance_m, (0.1, 10_000.0), "m", of=p)
    if p.hero_down_to is not None:
        _check("its share that the hero may shrink to", p.hero_down_to, (0.5, 1.0), "of its zone", of=p)


def _check_zone(p: Placement) -> None:
    for value in p.zone:
        _check("each edge of its hero zone", value, (0.0, 1.0), "of the window", of=p)
    x0, y0, x1, y1 = p.zone
    for low, high, way in ((x0, x1, "across"), (y0, y1, "down")):
        if high < low:
            raise Unplannable(
                f"Placement “{p.id}”: its hero zone runs from {low:g} to {high:g} {way}; the first must be the smaller."
            )
        if high - low < SMALLEST_ZONE:
            raise Unplannable(
                f"Placement “{p.id}”: its hero zone runs from {low:g} to {high:g} {way}; it must be at least "
                f"{SMALLEST_ZONE:g} of the window."
            )


def numbers(values: Iterable[float]) -> tuple[float, ...]:
    """Numbers as floats, so that whole ones compute as others do."""
    return tuple(float(value) for value in values)
