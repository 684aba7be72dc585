"""How type stands out from the ground beside it, letter by letter, and how busy that ground is.

The type's own pixels are the solid core of its strokes, by their own colours. The ground is what is seen beside them
once the layout lies over the picture: shadows and glows round type are ground, and so is a panel that type stands on.
Ratios are those of WCAG 2.2, "contrast ratio", over its "relative luminance".
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from layouts.imaging.geometry import Rect
from layouts.imaging.measures.luminance import lightness, luminance
from layouts.imaging.measures.strokes import Strokes, find_strokes

Pixels = NDArray[np.uint8]
Values = NDArray[np.float32]

# A tile is a line's height and as wide: one letter. Reading goes letter by letter, so that is what can be lost.
_LEAST_TILE = 8  # px
# Of the edge within a tile, the part that may be worse than the tile's figure: a letter is still told from three
# quarters of its outline. Our own choice; on a flat ground it changes nothing.
_LOST = 0.25
# A tile with fewer pixels of edge than this share of the usual one holds the end of a serif, not a letter.
_SLIVER = 0.2
# A letter this high, px, is as good as a larger one: larger type is measured reduced, which spares time.
_ENOUGH = 48
_THICK = 7  # px over which a stroke's own colour is told
_UNSEEN = 0.5  # spread of L* that nobody sees: rounding, and what is left of edges on a flat ground
_MOST_SPREAD = 50.0  # standard deviation of L* where half of a tile is black and half white: there is none greater


@dataclass(frozen=True)
class Contrast:
    """WCAG ratios, 1 to 21, over the tiles of a zone: of the worst, of the 5th in a hundred, of the middle one."""

    worst: float
    p5: float
    median: float


@dataclass(frozen=True)
class Legibility:
    """What was measured of one zone; None where nothing in it could be measured.

    `busy`, 0 to 1: the spread (standard deviation) of the ground's lightness L* within a letter's tile, as a share of
    the greatest there can be, half black and half white; the mean of all tiles. 0 is flat. Our own measure: the
    luminance part of what makes a ground cluttered, at the size at which letters are told apart.
    """

    contrast: Contrast | None
    busy: float | None

    def as_json(self) -> dict[str, Any]:
        """Plain data: {contrast: {worst, p5, median}, busy}, each None where it is not known."""
        ratios = self.contrast and [self.contrast.worst, self.contrast.p5, self.contrast.median]
        rounded = [round(ratio, 4) for ratio in ratios] if ratios else [None, None, None]
        return {
            "contrast": dict(zip(("worst", "p5", "median"), rounded, strict=True)),
            "busy": None if self.busy is None else round(self.busy, 4),
        }


def measure_zone(
    composed: Pixels, layer: Pixels, box: Rect, letter: float, lines: Sequence[tuple[float, float]] = ()
) -> Legibility:
    """Contrast and busyness of one type zone.

    Parameters
    ----------
    composed : ndarray, shape (h, w, 3), uint8
        The layout laid over the backdrop, sRGB.
    layer : ndarray, shape (h, w, 4), uint8
        The layout alone, premultiplied.
    box : Rect
        The zone, in pixels of both.
    letter : float
        Height of its lines, in pixels: that of a graphic where there are none.
    lines : sequence of (float, float)
        Top and height of each line, where they are known: then no letter is judged together with one below it.
    """
    letter = max(2.0, letter)
    pad = int(np.ceil(min(letter, 64))) + 8
    height, width = layer.shape[:2]
    grown = Rect(box.x - pad, box.y - pad, box.width + 2 * pad, box.height + 2 * pad).within(width, height)
    rows, columns = _slices(grown)
    inner = Rect(box.x - columns.start, box.y - rows.start, box.width, box.height)
    shrink = max(1, int(letter // _ENOUGH))
    bands = [((top - rows.start) / shrink, high / shrink) for top, high in sorted(lines)]
    return _measure(
        _shrunk(composed[rows, columns], shrink), _shrunk(layer[rows, columns], shrink), inner.scaled(1 / shrink),
        letter / shrink, bands, reduced=shrink > 1,
    )  # fmt: skip


def _measure(
    seen: Pixels, layer: Pixels, box: Rect, letter: float, lines: Sequence[tuple[float, float]], *, reduced: bool
) -> Legibility:
    inside = np.zeros(layer.shape[:2], bool)
    within = box.meet(Rect(0, 0, layer.shape[1], layer.shape[0]))
    if within.area <= 0:  # a sliver at an edge that reducing has taken away
        return Legibility(None, None)
    inner = _slices(within)
    inside[inner] = True
    strokes = find_strokes(layer, inside, letter, reduced=reduced)
    if strokes is None:
        return Legibility(None, None)
    light = luminance(seen)
    tiles = _tiles(inside.shape, inner, letter, lines)
    return Legibility(_contrast(light, strokes, tiles), _busy(light, strokes.ground & (inside | strokes.ring), tiles))


def _shrunk(pixels: Pixels, by: int) -> Pixels:
    if by == 1:
        return np.ascontiguousarray(pixels)
    high, wide = max(1, pixels.shape[0] // by), max(1, pixels.shape[1] // by)
    whole = pixels[: high * by, : wide * by]
    return np.asarray(cv2.resize(whole, (wide, high), interpolation=cv2.INTER_AREA), np.uint8)


def _slices(rect: Rect) -> tuple[slice, slice]:
    left, top = int(rect.x), int(rect.y)
    return (slice(top, max(top + 1, int(np.ceil(rect.bottom)))), slice(left, max(left + 1, int(np.ceil(rect.right)))))


def _tiles(
    shape: tuple[int, ...], inner: tuple[slice, slice], letter: float, lines: Sequence[tuple[float, float]]
) -> NDArray[np.int32]:
    """Which tile each pixel lies in: squares from the zone's corner on, or, where lines are known, along each line."""
    rows, columns = np.arange(shape[0]), np.arange(shape[1]) - inner[1].start
    if lines:
        between = [(top + high + after) / 2 for (top, high), (after, _) in pairwise(lines)]
        down = np.searchsorted(between, rows)
        sides = np.array([max(high, _LEAST_TILE) for _, high in lines])[down]
    else:
        sides = np.full(shape[0], max(letter, _LEAST_TILE))
        down = (rows - inner[0].start) // sides
    across = columns[None, :] // sides[:, None]
    return np.asarray(
        (down - down.min())[:, None] * (across.max() - across.min() + 1) + across - across.min(), np.int32
    )


def _contrast(light: Values, strokes: Strokes, tiles: NDArray[np.int32]) -> Contrast | None:
    """Each pixel of ground beside the type against the type nearest to it, then tile by tile."""
    ring, seeds = strokes.ring, strokes.seeds
    if not (ring.any() and seeds.any()):
        return None
    own = np.where(strokes.weight > 0, strokes.own_light(light), 0)
    of_type = _box(own * strokes.weight, _THICK)[seeds] / _box(strokes.weight, _THICK)[seeds]
    _, nearest = cv2.distanceTransformWithLabels(
        (~seeds).astype(np.uint8), cv2.DIST_L2, 5, labelType=cv2.DIST_LABEL_PIXEL
    )
    by_label = np.zeros(int(nearest.max()) + 1, np.float32)
    by_label[nearest[seeds]] = of_type
    beside = by_label[nearest[ring]]
    ground = strokes.ground.astype(np.float32)
    of_ground = _box(light * ground, strokes.grain)[ring] / _box(ground, strokes.grain)[ring]
    ratio = (np.maximum(beside, of_ground) + 0.05) / (np.minimum(beside, of_ground) + 0.05)
    local = _by_tile(np.clip(ratio, 1, 21), tiles[ring])
    worst, p5, median = (float(value) for value in np.percentile(local, (0, 5, 50)))
    return Contrast(worst, p5, median)


def _box(values: Values, size: int) -> Values:
    border = cv2.BORDER_CONSTANT
    return np.asarray(cv2.boxFilter(values, cv2.CV_32F, (size, size), normalize=False, borderType=border), np.float32)


def _by_tile(ratio: Values, tile: NDArray[np.int32]) -> Values:
    """The ratio that all but `_LOST` of the edge in a tile reaches, for each tile with enough of an edge."""
    order = np.lexsort((ratio, tile))
    _, first, counts = np.unique(tile[order], return_index=True, return_counts=True)
    whole = counts >= _SLIVER * np.median(counts)
    at = first + (_LOST * (counts - 1)).astype(np.int64)
    return np.asarray(ratio[order][at[whole]])


def _busy(light: Values, ground: NDArray[np.bool_], tiles: NDArray[np.int32]) -> float | None:
    if not ground.any():
        return None
    value, tile = lightness(light[ground]).astype(np.float64), tiles[ground]
    counts = np.bincount(tile)
    some = counts > 0
    mean = np.bincount(tile, value)[some] / counts[some]
    spread = np.sqrt(np.maximum(0, np.bincount(tile, value * value)[some] / counts[some] - mean**2))
    spread[spread < _UNSEEN] = 0
    return float(min(1.0, np.average(spread, weights=counts[some]) / _MOST_SPREAD))
