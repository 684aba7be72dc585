"""Type zones: the solid blocks of type and graphics inside the window, and the lines of type in them.

Letters are connected pieces of ink; pieces that stand side by side make lines, and lines close above each other a zone.
They are found on the reduced layer and, where the masks of the whole canvas are there, put right to the pixel.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from layouts.imaging.geometry import Rect
from layouts.imaging.inspecting.grouping import Boxes, around, groups_of, lines_of, stacked
from layouts.imaging.inspecting.letters import Line, letters_of
from layouts.imaging.inspecting.tighten import fine_line, tight
from layouts.imaging.surveying.survey import SOLID, Masks

Pixels = NDArray[np.uint8]
Mask = NDArray[np.uint8]
Pieces = tuple[NDArray[np.int64], Boxes]  # a line's box, and those of its letters
_COVERED = 77  # of 255: a pixel of the layer of which so much is solid is ink
_STANDS_OUT = 90  # alpha that a fine letter has over the softer ground around it, 35 %
_FINE = 0.08  # share of the window's shorter side: what is thinner can stand out
_CORE = 0.04  # a fine piece of which this share is solid is the shadow of something solid
_BLOCK = 0.8  # a piece that fills this share of its box, and is large, is a block of colour
_GROUND = 0.9  # a block that covers this share of the window is its ground
_FILLED = 0.6  # share of its box that a disc or a pill fills, and a word does not
_SHORT = 1.3  # times its height: a single piece as short as this is an emblem or one letter
_DEEP = 2  # type on a band on a flattened ground
_DUST = 3  # pixels; smaller pieces are nothing
_MOST = 2500  # pieces; beyond, it is a texture and not type


@dataclass(frozen=True)
class TypeZone:
    """A block of type or graphics and, where they were found, its lines (y and height of the letters, as `Line` has
    them); in canvas pixels. `of_type` says more of the same lines."""

    box: Rect
    lines: tuple[tuple[float, float], ...]
    of_type: tuple[Line, ...] = ()


def find_zones(
    layer: Pixels, window: Rect, across: float, down: float, rim: float = 0, masks: Masks | None = None,
    corner: float = 0,
) -> list[TypeZone]:  # fmt: skip
    """The type zones inside `window` (canvas pixels), on a layer of `across` by `down` pixels a canvas pixel.

    What lies within `rim` canvas pixels of the window's edges is left out: a keyline, or the blur of a surround; so is
    what lies outside its corners, if they are round with the radius `corner`.
    `masks`: of the whole canvas; without them boxes are good to a pixel or two of the layer.
    """
    part = window.scaled(across, down)
    x, y = round(part.x), round(part.y)
    rows, columns = slice(y, max(y + 1, round(part.bottom))), slice(x, max(x + 1, round(part.right)))
    inside = layer[rows, columns]
    solid = _solid(layer, masks)[rows, columns]
    mask = solid | _fine(inside, solid)
    edge = math.ceil(rim * max(across, down))
    if edge:
        mask[:edge], mask[-edge:], mask[:, :edge], mask[:, -edge:] = 0, 0, 0, 0
    _cut_corners(mask, math.ceil(corner * across))

    def canvas(box: NDArray[np.int64]) -> Rect:
        x0, y0, x1, y1 = (float(value) for value in _to_the_edge(box, mask, edge))
        return Rect((x0 + x) / across, (y0 + y) / down, (x1 - x0) / across, (y1 - y0) / down)

    def fine(box: NDArray[np.int64]) -> Rect:
        return tight(canvas(box), masks, min(across, down)) if masks else canvas(box)

    def line(found: Pieces, *, on_block: bool) -> Line:
        box, letters = found
        top, height, even = letters_of(letters)
        ink = canvas(box) if on_block else fine(box)
        one = Line(ink, (top + y) / down, height / down, even)
        return fine_line(one, masks) if masks and not on_block else one

    found = []
    for box, inner, on_block in _zones_in(inside, mask, _DEEP):
        of_type = [one for one in inner if not _is_graphic(one, None if on_block else mask)]
        lines = sorted((line(one, on_block=on_block) for one in of_type), key=lambda one: one.y)
        found.append(TypeZone(fine(box), tuple((one.y, one.height) for one in lines), tuple(lines)))
    outer = [zone for zone in found if not any(_lies_in(zone.box, other.box) for other in found)]
    return sorted(outer, key=lambda zone: (zone.box.y, zone.box.x))


def _lies_in(inner: Rect, outer: Rect) -> bool:
    return inner != outer and inner.meet(outer).area > 0.999 * inner.area


def _zones_in(layer: Pixels, mask: Mask, deep: int) -> list[tuple[NDArray[np.int64], list[Pieces], bool]]:
    """Boxes of zones, each with its lines: blocks of colour with the type on them (True), and groups of lines."""
    blocks, letters = _pieces(mask)
    zones: list[tuple[NDArray[np.int64], list[Pieces], bool]] = []
    for block in blocks:
        x0, y0, x1, y1 = block
        shift = np.array([x0, y0, x0, y0])
        part = layer[y0:y1, x0:x1]
        on_it = [
            (box + shift, [(line + shift, pieces + shift) for line, pieces in lines], True)
            for box, lines, _ in (_zones_in(part, _on_block(part), deep - 1) if deep else [])
        ]
        if (x1 - x0) * (y1 - y0) > _GROUND * mask.size:
            zones += on_it  # a flattened ground is no zone; what stands on it is
        else:
            zones.append((block, [line for _, lines, _ in on_it for line in lines], True))
    lines = lines_of(letters)
    boxes = np.array([box for box, _ in lines], np.int64).reshape(-1, 4)
    return zones + [(around(boxes[group]), [lines[at] for at in group], False) for group in groups_of(stacked(boxes))]


def _is_graphic(line: Pieces, mask: Mask | None) -> bool:
    """Whether a line is a single piece that is no word: a disc, a pill, an emblem. `mask`: where it lies, if known."""
    (x0, y0, x1, y1), letters = line
    if len(letters) > 1:
        return False
    filled = mask is not None and float(mask[y0:y1, x0:x1].mean()) > _FILLED
    return filled or bool(x1 - x0 < _SHORT * (y1 - y0))


def _to_the_edge(box: NDArray[np.int64], mask: Mask, edge: int) -> NDArray[np.int64]:
    """A box that the rim cut off made whole again."""
    high, wide = mask.shape
    x0, y0, x1, y1 = (int(value) for value in box)
    return np.array([
        0 if x0 <= edge else x0, 0 if y0 <= edge else y0, wide if x1 >= wide - edge else x1,
        high if y1 >= high - edge else y1,
    ])  # fmt: skip


def _cut_corners(mask: Mask, radius: int) -> None:
    """Clear what lies outside round corners, and a little inside, where they are soft."""
    if not radius or 2 * radius > min(mask.shape):
        return
    away = radius - 0.5 - np.arange(radius)
    outside = np.hypot(away[:, None], away[None, :]) > radius - max(2.5, 0.06 * radius)
    for turned in (mask, mask[:, ::-1], mask[::-1], mask[::-1, ::-1]):
        turned[:radius, :radius][outside] = 0


def _solid(layer: Pixels, masks: Masks | None) -> Mask:
    if masks is None:
        return np.asarray(layer[..., 3] >= SOLID).astype(np.uint8)
    return np.asarray(masks.solid.reduced((layer.shape[1], layer.shape[0])) >= _COVERED).astype(np.uint8)


def _fine(layer: Pixels, solid: Mask) -> Mask:
    """What is nowhere solid, but thin and denser than the ground around it: light type, or letters blurred by reducing.

    A shadow round something solid is none of it, nor is a soft gradient.
    """
    alpha = np.ascontiguousarray(layer[..., 3])
    size = max(3, int(_FINE * min(alpha.shape)) | 1)
    kernel = cv2.getStructuringElement(cv2.MORPH_RECT, (size, size))
    dense = np.asarray(np.asarray(cv2.morphologyEx(alpha, cv2.MORPH_TOPHAT, kernel)) >= _STANDS_OUT).astype(np.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(dense, connectivity=8)
    core = np.bincount(labels[solid > 0], minlength=count)
    keep = core < _CORE * stats[:, cv2.CC_STAT_AREA]
    keep[0] = False
    return np.asarray(keep.astype(np.uint8)[labels], np.uint8)


def _on_block(layer: Pixels) -> Mask:
    """What differs in colour from a block it lies on."""
    solid = layer[..., 3] >= SOLID
    if not solid.any():
        return np.zeros(layer.shape[:2], np.uint8)
    common = np.median(layer[solid][::7, :3], axis=0)
    differs = np.abs(layer[..., :3].astype(np.int16) - common.astype(np.int16)).max(axis=-1) > 48
    return np.asarray(differs & solid).astype(np.uint8)


def _pieces(mask: Mask) -> tuple[list[NDArray[np.int64]], Boxes]:
    """Connected pieces: large blocks of colour one by one, and the boxes of the others."""
    _, _, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    stats = np.asarray(stats[1:], np.int64)
    stats = stats[stats[:, cv2.CC_STAT_AREA] >= _DUST]
    if len(stats) > _MOST:
        stats = stats[np.argsort(stats[:, cv2.CC_STAT_AREA])[-_MOST:]]
    boxes = stats[:, :4].copy()
    boxes[:, 2:] = boxes[:, :2] + boxes[:, 2:]
    wide, high, area = stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT], stats[:, cv2.CC_STAT_AREA]
    large = (wide > 0.25 * mask.shape[1]) | (high > 0.25 * mask.shape[0])
    is_block = (area >= _BLOCK * wide * high) & large & (np.minimum(wide, high) > 0.02 * min(mask.shape))
    return list(boxes[is_block]), boxes[~is_block]
