"""Type zones: the solid blocks of type and graphics inside the window, and the lines of type in them.

Letters are connected pieces of ink; pieces that stand side by side make lines, and lines close above each other a zone.
A line's height is that of its ink, from the tallest letter's top to the lowest one's foot.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from layouts.imaging.geometry import Rect

# Boxes are rows of x0, y0, x1, y1 in pixels of the reduced layer.
Boxes = NDArray[np.int64]
Pixels = NDArray[np.uint8]
Mask = NDArray[np.uint8]
_NO_BOXES: Boxes = np.zeros((0, 4), np.int64)
_SOLID = 217  # alpha of type at full strength, 85 %
_STANDS_OUT = 90  # alpha that a fine letter has over the softer ground around it, 35 %
_FINE = 0.08  # share of the window's shorter side: what is thinner can stand out
_BLOCK = 0.8  # a piece that fills this share of its box, and is large, is a block of colour
_LOWEST = 3  # pixels; nothing lower can be told from the edge of something
_GROUND = 0.9  # a block that covers this share of the window is its ground
_DEEP = 2  # type on a band on a flattened ground
_MOST = 2500  # pieces; beyond, it is a texture and not type


@dataclass(frozen=True)
class TypeZone:
    """A block of type or graphics and, where they were found, its lines (y and height); in canvas pixels."""

    box: Rect
    lines: tuple[tuple[float, float], ...]


def find_zones(layer: Pixels, window: Rect, across: float, down: float, rim: float = 0) -> list[TypeZone]:
    """The type zones inside `window` (canvas pixels), on a layer of `across` by `down` pixels a canvas pixel.

    What lies within `rim` canvas pixels of the window's edges is left out: a keyline, or the blur of a surround.
    """
    part = window.scaled(across, down)
    x, y = round(part.x), round(part.y)
    inside = layer[y : max(y + 1, round(part.bottom)), x : max(x + 1, round(part.right))]
    mask = _ink(inside)
    if edge := math.ceil(rim * max(across, down)):
        mask[:edge], mask[-edge:], mask[:, :edge], mask[:, -edge:] = 0, 0, 0, 0

    def canvas(box: NDArray[np.int64]) -> Rect:
        x0, y0, x1, y1 = (float(value) for value in box)
        return Rect((x0 + x) / across, (y0 + y) / down, (x1 - x0) / across, (y1 - y0) / down)

    found = []
    for box, inner in _zones_in(inside, mask, _DEEP):
        heights = sorted((canvas(line).y, canvas(line).height) for line in inner)
        found.append(TypeZone(canvas(box), tuple(heights)))
    outer = [zone for zone in found if not any(_lies_in(zone.box, other.box) for other in found)]
    return sorted(outer, key=lambda zone: (zone.box.y, zone.box.x))


def _lies_in(inner: Rect, outer: Rect) -> bool:
    return inner != outer and inner.meet(outer).area > 0.999 * inner.area


def _zones_in(layer: Pixels, mask: Mask, deep: int) -> list[tuple[NDArray[np.int64], Boxes]]:
    """Boxes of zones, each with its lines: blocks of colour with the type on them, and groups of lines."""
    blocks, letters = _pieces(mask)
    zones = []
    for block in blocks:
        x0, y0, x1, y1 = block
        shift = np.array([x0, y0, x0, y0])
        part = layer[y0:y1, x0:x1]
        on_it = (
            [(box + shift, lines + shift) for box, lines in _zones_in(part, _on_block(part), deep - 1)] if deep else []
        )
        if (x1 - x0) * (y1 - y0) > _GROUND * mask.size:
            zones += on_it  # a flattened ground is no zone; what stands on it is
        else:
            zones.append((block, np.concatenate([lines for _, lines in on_it]) if on_it else _NO_BOXES))
    lines = _lines(letters)
    return zones + [(_around(lines[group]), lines[group]) for group in _groups(_stacked(lines))]


def _ink(layer: Pixels) -> Mask:
    """What is solid, or fine and denser than the ground around it; a soft gradient is neither."""
    alpha = np.ascontiguousarray(layer[..., 3])
    size = max(3, int(_FINE * min(alpha.shape)) | 1)
    kernel = cv2.getStructuringElement(cv2.MORPH_RECT, (size, size))
    fine = cv2.morphologyEx(alpha, cv2.MORPH_TOPHAT, kernel)
    mask = np.zeros(alpha.shape, np.uint8)
    mask[(alpha >= _SOLID) | (np.asarray(fine) >= _STANDS_OUT)] = 1
    return mask


def _on_block(layer: Pixels) -> Mask:
    """What differs in colour from a block it lies on."""
    solid = layer[..., 3] >= _SOLID
    if not solid.any():
        return np.zeros(layer.shape[:2], np.uint8)
    common = np.median(layer[solid][::7, :3], axis=0)
    differs = np.abs(layer[..., :3].astype(np.int16) - common.astype(np.int16)).max(axis=-1) > 48
    return np.asarray(differs & solid).astype(np.uint8)


def _pieces(mask: Mask) -> tuple[list[NDArray[np.int64]], Boxes]:
    """Connected pieces: large blocks of colour one by one, and the boxes of the others."""
    _, _, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    stats = np.asarray(stats[1:], np.int64)
    stats = stats[stats[:, cv2.CC_STAT_AREA] >= 6]
    if len(stats) > _MOST:
        stats = stats[np.argsort(stats[:, cv2.CC_STAT_AREA])[-_MOST:]]
    boxes = stats[:, :4].copy()
    boxes[:, 2:] = boxes[:, :2] + boxes[:, 2:]
    wide, high, area = stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT], stats[:, cv2.CC_STAT_AREA]
    large = (wide > 0.25 * mask.shape[1]) | (high > 0.25 * mask.shape[0])
    is_block = (area >= _BLOCK * wide * high) & large & (np.minimum(wide, high) > 0.02 * min(mask.shape))
    return list(boxes[is_block]), boxes[~is_block]


def _lines(letters: Boxes) -> Boxes:
    """Pieces that stand side by side as boxes of lines, with dots and accents taken in."""
    if not len(letters):
        return letters
    lines = _with_accents(np.array([_around(letters[group]) for group in _groups(_side_by_side(letters))]))
    return lines[lines[:, 3] - lines[:, 1] >= _LOWEST]


def _side_by_side(boxes: Boxes) -> NDArray[np.bool_]:
    """Same line: they share much of their height and stand less than about a letter's height apart."""
    high = (boxes[:, 3] - boxes[:, 1]).astype(np.float64)
    lower = np.minimum(high[:, None], high[None, :])
    taller = np.maximum(high[:, None], high[None, :])
    return (_overlap(boxes, 1) > 0.3 * lower) & (-_overlap(boxes, 0) < 0.7 * taller) & (taller < 5 * lower)


def _stacked(lines: Boxes) -> NDArray[np.bool_]:
    """Same zone: lines above each other, closer than the lower line's height, and of like size."""
    if not len(lines):
        return np.zeros((0, 0), np.bool_)
    high = (lines[:, 3] - lines[:, 1]).astype(np.float64)
    lower = np.minimum(high[:, None], high[None, :])
    alike = np.maximum(high[:, None], high[None, :]) < 3 * lower
    return (_overlap(lines, 0) > 0) & (-_overlap(lines, 1) < 1.1 * lower) & alike


def _overlap(boxes: Boxes, axis: int) -> NDArray[np.float64]:
    """How far each two boxes overlap along an axis; negative: the gap between them."""
    low, high = boxes[:, axis], boxes[:, axis + 2]
    shared = np.minimum(high[:, None], high[None, :]) - np.maximum(low[:, None], low[None, :])
    return shared.astype(np.float64)


def _with_accents(lines: Boxes) -> Boxes:
    """Take small pieces just above or below a line (dots, accents, commas) into it; drop what is left of that size."""
    high = lines[:, 3] - lines[:, 1]
    order = np.argsort(-high)
    kept: list[NDArray[np.int64]] = []
    for at in order:
        box = lines[at]
        for line in kept:
            tall = line[3] - line[1]
            over = min(box[2], line[2]) - max(box[0], line[0])
            gap = max(box[1], line[1]) - min(box[3], line[3])
            wide = box[2] - box[0]
            if high[at] < 0.35 * tall and wide < 0.8 * tall and over > 0.5 * wide and gap < 0.3 * tall:
                line[:] = _around(np.stack([line, box]))
                break
        else:
            kept.append(box.copy())
    return np.array(kept)


def _around(boxes: Boxes) -> NDArray[np.int64]:
    return np.concatenate([boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)])


def _groups(linked: NDArray[np.bool_]) -> list[NDArray[np.int64]]:
    """Indices that are linked, directly or by others, together."""
    left = set(range(len(linked)))
    groups = []
    while left:
        todo, group = [left.pop()], []
        while todo:
            at = todo.pop()
            group.append(at)
            near = [other for other in np.flatnonzero(linked[at]).tolist() if other in left]
            left.difference_update(near)
            todo += near
        groups.append(np.array(sorted(group)))
    return groups
