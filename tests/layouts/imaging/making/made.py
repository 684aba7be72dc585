"""What a drawn layout file holds, and the manner it was drawn in."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from layouts.imaging.geometry import Rect

Colour = tuple[int, int, int]


@dataclass(frozen=True)
class Line:
    """One line of type: the box of its ink, and the height of its capitals (of an x, where it has none)."""

    ink: Rect
    letters: float


@dataclass
class Made:
    """A file and its truth, in canvas pixels.

    `sharp`: the window's edges fall on whole pixels and are not blurred. `wanted`: codes that must be found;
    `may`: codes that may be, as what was drawn leaves it open.
    """

    path: Path
    kind: str
    window: Rect
    blocks: list[Rect] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    sharp: bool = True
    wanted: frozenset[str] = frozenset()
    may: frozenset[str] = frozenset({"no-profile"})
    order: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Manner:
    """How a hand draws: everything here is a range or a choice, in shares of the window's shorter side where a size.

    A second manner with other values shows whether the code learnt the first by heart.
    """

    fonts: tuple[str, ...]
    texts: tuple[str, ...]
    brand: tuple[Colour, ...]
    headline: tuple[float, float] = (0.10, 0.22)
    leading: tuple[float, float] = (1.0, 1.2)
    margin: tuple[float, float] = (0.04, 0.2)
    hatch: tuple[int, int] = (12, 40)
    half: tuple[int, int] = (90, 200)
    shadow: tuple[float, float] = (0.35, 0.7)
    blur: tuple[float, float] = (0.06, 0.25)
    stroke: tuple[int, int] = (1, 6)
    sizes: tuple[int, int] = (800, 3000)


def between(rng: np.random.Generator, ends: tuple[float, float]) -> float:
    return float(rng.uniform(*ends))


def one_of(rng: np.random.Generator, these: Any) -> Any:
    return these[int(rng.integers(len(these)))]
