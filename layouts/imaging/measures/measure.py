"""What is measured of a placement: contrast and busyness of each type zone, and how much of the hero is covered.

Measured on the pixels of the preview: what the layout and the picture are at the size at which they are judged.
"""

from __future__ import annotations

import base64
import statistics
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from layouts.imaging.geometry import Rect, Zone, check_zone
from layouts.imaging.inspecting.zones import TypeZone
from layouts.imaging.measures.contrast import Legibility, measure_zone

Pixels = NDArray[np.uint8]
# Cells along the longer side of the map of what a layout covers: a hundredth of it, so that the edge of a hero zone is
# right to far less than what is tolerated.
_CELLS = 96


@dataclass(frozen=True)
class Coverage:
    """How much of each cell of the window type and graphics cover, 0 to 255; kept small, so that a page can tell the
    overlap with a hero zone that has moved without rendering anything."""

    cells: Pixels

    def overlap(self, hero: Zone) -> float:
        """The share of a hero zone (fractions of the window) that is covered, 0 to 1.

        What is half clear covers by half. Parts of the zone outside the window are covered by nothing.
        """
        x0, y0, x1, y1 = hero
        down, across = _shares(y0, y1, self.cells.shape[0]), _shares(x0, x1, self.cells.shape[1])
        return min(1.0, float(down @ self.cells @ across) / 255)

    @property
    def share(self) -> float:
        """The share of the whole window that is covered, 0 to 1."""
        return float(self.cells.sum(dtype=np.int64) / (255 * self.cells.size))

    def packed(self) -> dict[str, Any]:
        """As plain data, a few hundred characters."""
        cells = base64.b64encode(zlib.compress(self.cells.tobytes(), 9)).decode("ascii")
        return {"rows": self.cells.shape[0], "columns": self.cells.shape[1], "cells": cells}

    @classmethod
    def unpacked(cls, kept: dict[str, Any]) -> Coverage:
        """Back from `packed`."""
        flat = np.frombuffer(zlib.decompress(base64.b64decode(kept["cells"])), np.uint8)
        return cls(flat.reshape(kept["rows"], kept["columns"]))


def _shares(low: float, high: float, cells: int) -> NDArray[np.float64]:
    """How much of the span from `low` to `high` (fractions) lies in each cell: 1 in all where it lies inside."""
    edges = np.minimum(np.maximum(_edges(cells), low), high)
    return np.asarray((edges[1:] - edges[:-1]) / (high - low))


@lru_cache(maxsize=256)
def _edges(cells: int) -> NDArray[np.float64]:
    return np.linspace(0, 1, cells + 1)


@dataclass(frozen=True)
class Measured:
    """What was measured of a layout over a backdrop: zone by zone, in the order they were given, and the coverage."""

    zones: tuple[Legibility, ...]
    coverage: Coverage


def measure(composed: Pixels, layer: Pixels, zones: Sequence[TypeZone]) -> Measured:
    """Measure type zones (in pixels of the layer) over a backdrop.

    `composed` is uint8 sRGB (h, w, 3); `layer` the layout alone, premultiplied (h, w, 4). Cheap: see
    `tests/bench/measuring.py`.
    """
    height, width = layer.shape[:2]
    found = []
    for zone in zones:
        cut = zone.box.meet(Rect(0, 0, width, height))
        if cut.area < 1:
            found.append(Legibility(None, None))
        else:
            found.append(measure_zone(composed, layer, cut, letter_of(zone), zone.lines))
    return Measured(tuple(found), cover(layer))


def letter_of(zone: TypeZone) -> float:
    """Height of a zone's lines, or the shorter side of a graphic, which has none."""
    if zone.lines:
        return statistics.median(height for _, height in zone.lines)
    return min(zone.box.width, zone.box.height)


def cover(layer: Pixels) -> Coverage:
    """The coverage of a layer (h, w, 4)."""
    height, width = layer.shape[:2]
    longer = max(height, width)
    size = (max(1, round(_CELLS * width / longer)), max(1, round(_CELLS * height / longer)))
    alpha = cv2.extractChannel(layer, 3).astype(np.float32)
    cells = cv2.resize(alpha, size, interpolation=cv2.INTER_AREA)
    return Coverage(np.asarray(np.round(cells), np.uint8))


def hero_overlap(layer: Pixels, hero: Zone) -> float:
    """The share of the hero zone (fractions of the window, inside it) that a layer covers, 0 to 1, to the pixel."""
    check_zone(hero)
    return Coverage(np.ascontiguousarray(layer[..., 3])).overlap(hero)
