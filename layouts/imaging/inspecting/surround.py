"""A surround: flat, half-clear or hatched, it touches the canvas edges and leaves a rectangle, the window."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from layouts.imaging.decoding.prepare import Prepared
from layouts.imaging.geometry import Rect

Mask = NDArray[np.uint8]
_NEAR = 5  # of 255: what rounding and averaging do to a flat colour, and half a step of counting colours
_STEP = 4  # of 255, in which colours are counted
_FAINT = 20  # alpha of a tint that nobody takes for a surround
_RIM = 0.9  # share of each canvas edge that a surround covers
_PIECE = 0.05  # pieces of the window smaller than this share of the largest are marks in the surround
_SMALLEST = 0.15  # share of the canvas
_WIDEST_CORNER = 0.25  # of the window's shorter side
_WIDEST_GAP = 0.06  # between the stripes of a hatch, of the canvas's shorter side


@dataclass(frozen=True)
class Left:
    """What a surround leaves: a rectangle in pixels of the layer. `bars`: the surround covers only two sides.

    `patterned`: hatched or half-clear, as artwork hardly ever is; `clear`: the share of the rectangle that is clear;
    `corner`: the radius of its corners, where all four are round, in pixels of the layer.
    """

    rect: Rect
    bars: bool
    patterned: bool
    clear: float
    corner: float


def find_left(prepared: Prepared) -> Left | None:
    """What is left inside the surround, or None where there is none."""
    layer = prepared.layer
    colours, most = _palette(layer)
    if not colours:
        return None
    mask = np.zeros(layer.shape[:2], np.uint8)
    for colour in colours:
        mask |= _same(layer, colour)
    gap = _gap(mask)
    if gap is None:
        return None
    outside = _from_the_rim(_closed(mask, gap))
    sides = [float(side.mean()) for side in (outside[0], outside[-1], outside[:, 0], outside[:, -1])]
    bars = min(sides) < _RIM
    if bars and min(sides[:2]) < _RIM and min(sides[2:]) < _RIM:
        return None
    rect = _rectangle(1 - outside)
    if rect is None or rect.area < _SMALLEST * outside.size or rect.area > 0.999 * outside.size:
        return None
    inside = layer[round(rect.y) : round(rect.bottom), round(rect.x) : round(rect.right), 3]
    half = _FAINT < most[3] < 250
    clear = float((inside <= _FAINT).mean())
    return Left(rect, bars, bool(gap > 0 or half), clear, _corner(outside, rect))


def _palette(layer: NDArray[np.uint8]) -> tuple[list[NDArray[np.uint8]], NDArray[np.uint8]]:
    """The few colours that cover most of the canvas edges, and the commonest of them; none where they vary."""
    rim = np.concatenate([layer[0], layer[-1], layer[:, 0], layer[:, -1]])
    coarse = np.ascontiguousarray(rim // _STEP).view(np.uint32)[:, 0]
    values, counts = np.unique(coarse, return_counts=True)
    order = np.argsort(counts)[::-1]
    common = [(values[at : at + 1].view(np.uint8).astype(np.uint8) * _STEP, counts[at] / len(rim)) for at in order[:4]]
    kept = [colour for colour, share in common if share >= 0.08 and colour[3] >= _FAINT]
    told = sum(share for colour, share in common if share >= 0.08)
    if not kept or told < 0.5:
        return [], np.zeros(4, np.uint8)
    return kept[:3], kept[0]


def _same(layer: NDArray[np.uint8], colour: NDArray[np.uint8]) -> Mask:
    middle = colour.astype(int) + _STEP // 2
    low, high = np.maximum(middle - _NEAR, 0), np.minimum(middle + _NEAR, 255)
    return np.asarray(cv2.inRange(layer, low, high), np.uint8) & np.uint8(1)


def _gap(mask: Mask) -> int | None:
    """The widest gap between stripes along the canvas edges that the surround covers; 0: it has no stripes."""
    least = max(3, int(_WIDEST_GAP * min(mask.shape)))
    gaps = []
    for line in (mask[0], mask[-1], mask[:, 0], mask[:, -1]):
        if line.mean() >= 0.1:
            steps = np.flatnonzero(np.diff(np.concatenate([[1], line, [1]]).astype(np.int8)))
            runs = steps[1::2] - steps[::2]
            runs = runs[runs <= least]
            filled = line.sum() + runs.sum()
            if filled >= _RIM * len(line):
                gaps.append(int(runs.max()) if len(runs) > 4 else 0)
    return max(gaps) if len(gaps) >= 2 else None


def _closed(mask: Mask, gap: int) -> Mask:
    if not gap:
        return mask
    pad = 2 * gap + 2
    framed = cv2.copyMakeBorder(mask, pad, pad, pad, pad, cv2.BORDER_CONSTANT, value=(1,))
    kernel = cv2.getStructuringElement(cv2.MORPH_RECT, (gap + 2, gap + 2))
    return np.asarray(cv2.morphologyEx(framed, cv2.MORPH_CLOSE, kernel), np.uint8)[pad:-pad, pad:-pad]


def _from_the_rim(mask: Mask) -> Mask:
    _, labels = cv2.connectedComponents(np.ascontiguousarray(mask), connectivity=4)
    rim = np.unique(np.concatenate([labels[0], labels[-1], labels[:, 0], labels[:, -1]]))
    wanted = np.zeros(int(labels.max()) + 1, np.uint8)
    wanted[rim[rim > 0]] = 1
    return np.asarray(wanted[labels], np.uint8)


def _rectangle(hole: Mask) -> Rect | None:
    """The box of what the surround leaves, if its sides are straight: of all larger pieces, else of the largest."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(hole, connectivity=8)
    if count < 2:
        return None
    areas = stats[1:, cv2.CC_STAT_AREA]
    large = 1 + np.flatnonzero(areas >= _PIECE * areas.max())
    for pieces in (large, np.array([1 + int(np.argmax(areas))])):
        x0, y0 = (int(stats[pieces, at].min()) for at in (cv2.CC_STAT_LEFT, cv2.CC_STAT_TOP))
        x1 = int((stats[pieces, cv2.CC_STAT_LEFT] + stats[pieces, cv2.CC_STAT_WIDTH]).max())
        y1 = int((stats[pieces, cv2.CC_STAT_TOP] + stats[pieces, cv2.CC_STAT_HEIGHT]).max())
        chosen = np.zeros(count, bool)
        chosen[pieces] = True
        part = chosen[labels[y0:y1, x0:x1]]
        inner = part[2:-2, 2:-2] if min(part.shape) > 8 else part
        if inner.size and min(side.mean() for side in (inner[0], inner[-1], inner[:, 0], inner[:, -1])) >= 0.5:
            return Rect(x0, y0, x1 - x0, y1 - y0)
    return None


def _corner(outside: Mask, rect: Rect) -> float:
    """The radius of the rectangle's corners, from how much of the surround lies in each; 0: not alike, or sharp.

    Outside a quarter circle of radius r lie (1 - pi / 4) r^2 of its square.
    """
    part = outside[round(rect.y) : round(rect.bottom), round(rect.x) : round(rect.right)]
    most = int(_WIDEST_CORNER * min(part.shape))
    turned = (part, part[:, ::-1], part[::-1], part[::-1, ::-1])
    radii = sorted(math.sqrt(float(one[:most, :most].sum()) / (1 - math.pi / 4)) for one in turned)
    return radii[1] if radii[0] >= 4 and radii[3] <= 1.25 * radii[0] else 0.0
