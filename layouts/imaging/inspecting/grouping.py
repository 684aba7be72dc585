"""Boxes of pieces of ink put together: letters to lines, lines to blocks of type."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

# Boxes are rows of x0, y0, x1, y1 in pixels of the reduced layer.
Boxes = NDArray[np.int64]
_DOT = 9  # a letter is less than so many times as high as a full stop
_WORDS = 1.1  # of a line's height: words of one line stand closer
_LOWEST = 3  # pixels; nothing lower can be told from the edge of something


def lines_of(letters: Boxes) -> list[tuple[NDArray[np.int64], Boxes]]:
    """Pieces that stand side by side as lines: each line's box, with dots and accents, and the boxes of its pieces."""
    if not len(letters):
        return []
    groups = groups_of(_side_by_side(letters))
    lines = _with_accents([(around(letters[group]), letters[group]) for group in groups])
    boxes = np.array([box for box, _ in lines], np.int64).reshape(-1, 4)
    joined = [[lines[at] for at in group] for group in groups_of(_one_line(boxes))]
    lines = [(around(np.stack([box for box, _ in some])), np.concatenate([own for _, own in some])) for some in joined]
    return [(box, pieces) for box, pieces in lines if box[3] - box[1] >= _LOWEST]


def _side_by_side(boxes: Boxes) -> NDArray[np.bool_]:
    """Same line: they share much of their height and stand less than about a letter's height apart."""
    high = (boxes[:, 3] - boxes[:, 1]).astype(np.float32)
    lower = np.minimum(high[:, None], high[None, :])
    taller = np.maximum(high[:, None], high[None, :])
    return (_overlap(boxes, 1) > 0.3 * lower) & (-_overlap(boxes, 0) < 0.7 * taller) & (taller < _DOT * lower)


def _one_line(boxes: Boxes) -> NDArray[np.bool_]:
    """Words of one line: of like height, at one level, and no further apart than words stand."""
    high = (boxes[:, 3] - boxes[:, 1]).astype(np.float32)
    lower = np.minimum(high[:, None], high[None, :])
    taller = np.maximum(high[:, None], high[None, :])
    return (_overlap(boxes, 1) > 0.6 * lower) & (-_overlap(boxes, 0) < _WORDS * taller) & (taller < 2 * lower)


def stacked(lines: Boxes) -> NDArray[np.bool_]:
    """Same block: lines above each other, closer than the lower line's height, and of like size."""
    if not len(lines):
        return np.zeros((0, 0), np.bool_)
    high = (lines[:, 3] - lines[:, 1]).astype(np.float32)
    lower = np.minimum(high[:, None], high[None, :])
    alike = np.maximum(high[:, None], high[None, :]) < 3 * lower
    return (_overlap(lines, 0) > 0) & (-_overlap(lines, 1) < 1.1 * lower) & alike


def _overlap(boxes: Boxes, axis: int) -> NDArray[np.float32]:
    """How far each two boxes overlap along an axis; negative: the gap between them."""
    low, high = boxes[:, axis].astype(np.float32), boxes[:, axis + 2].astype(np.float32)
    return np.minimum(high[:, None], high[None, :]) - np.maximum(low[:, None], low[None, :])


def _with_accents(lines: list[tuple[NDArray[np.int64], Boxes]]) -> list[tuple[NDArray[np.int64], Boxes]]:
    """Take small pieces just above or below a line (dots, accents, commas) into it; drop what is left of that size."""
    kept: list[list[NDArray[np.int64]]] = []
    for box, pieces in sorted(lines, key=lambda line: line[0][1] - line[0][3]):
        high = box[3] - box[1]
        for line in kept:
            whole = line[0]
            tall = whole[3] - whole[1]
            over = min(box[2], whole[2]) - max(box[0], whole[0])
            gap = max(box[1], whole[1]) - min(box[3], whole[3])
            wide = box[2] - box[0]
            if high < 0.35 * tall and wide < 0.8 * tall and over > 0.5 * wide and gap < 0.3 * tall:
                line[0] = around(np.stack([whole, box]))
                break
        else:
            kept.append([box.copy(), pieces])
    return [(line[0], line[1]) for line in kept]


def around(boxes: Boxes) -> NDArray[np.int64]:
    """The box around boxes."""
    return np.concatenate([boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)])


def groups_of(linked: NDArray[np.bool_]) -> list[NDArray[np.int64]]:
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
