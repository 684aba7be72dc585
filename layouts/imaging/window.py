"""The poster's own area inside a layout file.

Files come as the bare crop, with a surround of one colour and alpha that touches the canvas edges, or with a keyline
drawn at the crop. The surround is found from the edges inwards: artwork may touch it and type may cross most of the
window. It is located on the reduced layer; its edges are then put right to the pixel by the counts at full resolution.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from layouts.imaging.geometry import Rect
from layouts.imaging.prepare import Prepared

SAME_SHAPE = 0.01  # aspects that differ by less are the same shape
_NEAR = 3  # of 255: what rounding and averaging do to a flat colour
_RIM = 0.9  # share of each canvas edge that a surround covers
_PIECE = 0.05  # pieces of the window smaller than this share of the largest are marks in the surround
_THIN = 0.006  # a keyline is thinner than this share of the canvas's longer side
Mask = NDArray[np.uint8]


@dataclass(frozen=True)
class Window:
    """`rect` in canvas pixels; `kind` "canvas", "surround" or "keyline"; `sure` 0 to 1, under 0.7: ask.

    `stroke`: how thick the keyline is, in canvas pixels; it runs along the edges of `rect`, half inside.
    """

    rect: Rect
    kind: str
    sure: float
    stroke: float = 0


def off_centre(rect: Rect, canvas: Rect) -> tuple[float, float]:
    """How far the window lies right of and below the canvas's middle, in shares of the canvas; 0 where under 1 %."""
    right = (rect.x + rect.right - canvas.width) / 2 / canvas.width
    below = (rect.y + rect.bottom - canvas.height) / 2 / canvas.height
    return (right if abs(right) > 0.01 else 0.0, below if abs(below) > 0.01 else 0.0)


def same_shape(one: float, other: float) -> bool:
    """Whether two aspects are the same within 1 %."""
    return abs(one / other - 1) <= SAME_SHAPE


def find_window(prepared: Prepared, aspect: float | None = None) -> Window:
    """Find the window; `aspect` (width / height), if one was ordered, settles doubt."""
    canvas = prepared.canvas
    found = _surround(prepared, aspect) or _keyline(prepared) or _filled(prepared)
    if found is None:
        fits = aspect is None or same_shape(canvas.aspect, aspect)
        return Window(canvas, "canvas", 0.9 if fits else 0.6)
    if aspect is None:
        return found if off_centre(found.rect, canvas) == (0, 0) else replace(found, sure=min(found.sure, 0.6))
    if same_shape(found.rect.aspect, aspect):
        return replace(found, sure=min(1.0, found.sure + 0.15))
    if same_shape(canvas.aspect, aspect):  # a frame or band that belongs to the artwork
        return Window(canvas, "canvas", 0.75)
    return replace(found, sure=found.sure - 0.25)


def _surround(prepared: Prepared, aspect: float | None) -> Window | None:
    ground = prepared.survey.ground
    if ground is None or ground[3] == 0:
        return None
    same = _same(prepared, ground)
    if not same.any() or same.all():
        return None
    _, labels = cv2.connectedComponents(same, connectivity=4)
    rim = np.unique(np.concatenate([labels[0], labels[-1], labels[:, 0], labels[:, -1]]))
    outside = np.isin(labels, rim[rim > 0]).astype(np.uint8)
    sides = [float(side.mean()) for side in (outside[0], outside[-1], outside[:, 0], outside[:, -1])]
    if all(share >= _RIM for share in sides):
        sure = 0.8
    elif aspect and (min(sides[:2]) >= _RIM or min(sides[2:]) >= _RIM):
        sure = 0.6  # bars at two sides: a surround only if what they leave has the ordered shape
    else:
        return None
    best = _rectangle(1 - outside)
    if best is None:
        return None
    rect = _to_the_pixel(best.scaled(1 / prepared.across, 1 / prepared.down), prepared)
    if aspect and not same_shape(rect.aspect, aspect):
        grown = _grown(rect, prepared.canvas, aspect)
        if sure > 0.6 and grown:
            return Window(grown, "surround", 0.55)
        if sure == 0.6:
            return None
    return Window(rect, "surround", sure)


def _same(prepared: Prepared, ground: tuple[int, int, int, int]) -> Mask:
    """Where the reduced layer has the ground's colour. It was counted before the colours were brought to sRGB, so it is
    read anew from the layer's own first row."""
    if prepared.facts.profile_name:
        colours, counts = np.unique(prepared.layer[0], axis=0, return_counts=True)
        ground = tuple(colours[np.argmax(counts)].tolist())
    low = [max(0, value - _NEAR) for value in ground]
    high = [min(255, value + _NEAR) for value in ground]
    return np.asarray(cv2.inRange(prepared.layer, np.array(low), np.array(high)) // 255, np.uint8)


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
        part = np.isin(labels[y0:y1, x0:x1], pieces)
        inner = part[2:-2, 2:-2] if min(part.shape) > 8 else part
        if inner.size and min(side.mean() for side in (inner[0], inner[-1], inner[:, 0], inner[:, -1])) >= 0.5:
            return Rect(x0, y0, x1 - x0, y1 - y0)
    return None


def _to_the_pixel(rect: Rect, prepared: Prepared) -> Rect:
    survey = prepared.survey
    reach = (int(2 / prepared.across) + 2, int(2 / prepared.down) + 2)
    x0 = _step(survey.ground_cols, rect.x, reach[0], rect.height, falls=True)
    x1 = _step(survey.ground_cols, rect.right, reach[0], rect.height, falls=False)
    y0 = _step(survey.ground_rows, rect.y, reach[1], rect.width, falls=True)
    y1 = _step(survey.ground_rows, rect.bottom, reach[1], rect.width, falls=False)
    return Rect(x0, y0, x1 - x0, y1 - y0)


def _step(counts: NDArray[np.int32], near: float, reach: int, length: float, *, falls: bool) -> float:
    """Where, close to `near`, the count of ground pixels steps by a good part of `length`; else `near`, rounded."""
    first = max(1, round(near) - reach)
    steps = np.diff(counts[first - 1 : round(near) + reach + 1]) * (-1 if falls else 1)
    if len(steps) and steps.max() >= 0.3 * length:
        return float(first + int(np.argmax(steps)))
    return float(min(max(0, round(near)), len(counts)))


def _grown(rect: Rect, canvas: Rect, aspect: float) -> Rect | None:
    """The window where a band of the surround's own colour hides a side: grown there to the ordered shape.

    Of the ways to grow, the one that leaves the margins most alike; None if none stays on the canvas.
    """
    if rect.aspect > aspect:
        height = rect.width / aspect
        ways = [Rect(rect.x, rect.y, rect.width, height), Rect(rect.x, rect.bottom - height, rect.width, height)]
    else:
        width = rect.height * aspect
        ways = [Rect(rect.x, rect.y, width, rect.height), Rect(rect.right - width, rect.y, width, rect.height)]
    fits = [
        way
        for way in ways
        if way.x >= -1 and way.y >= -1 and way.right < canvas.width + 1 and way.bottom < canvas.height + 1
    ]

    def lopsided(way: Rect) -> float:
        return abs(way.x + way.right - canvas.width) + abs(way.y + way.bottom - canvas.height)

    if not fits:
        return None
    best = min(fits, key=lopsided)
    # Only where it then lies centred is this more likely than a file of the wrong shape.
    return (
        best.within(canvas.width, canvas.height) if lopsided(best) <= 0.02 * max(canvas.width, canvas.height) else None
    )


def _keyline(prepared: Prepared) -> Window | None:
    """A thin rectangle on a clear ground: rows and columns with much ink, and little just beside them."""
    rows, cols = prepared.survey.ink_rows, prepared.survey.ink_cols
    thick = max(3, int(_THIN * max(len(rows), len(cols))))
    down, across = _ends(rows, len(cols) / 2), _ends(cols, len(rows) / 2)
    if down is None or across is None:
        return None
    (top, bottom), (left, right) = down, across
    wide, high = right - left + 1, bottom - top + 1
    if wide * high < 0.1 * len(rows) * len(cols) or min(wide, high) <= 4 * thick:
        return None
    spans = [
        (_stroke(rows[top : bottom + 1], wide, thick), rows[top], wide),
        (_stroke(rows[top : bottom + 1][::-1], wide, thick), rows[bottom], wide),
        (_stroke(cols[left : right + 1], high, thick), cols[left], high),
        (_stroke(cols[left : right + 1][::-1], high, thick), cols[right], high),
    ]
    if sum(stroke is not None for stroke, _, _ in spans) < 3 or any(
        abs(ink - side) > 0.02 * side for _, ink, side in spans
    ):
        return None
    stroke = min(stroke for stroke, _, _ in spans if stroke is not None)
    half = stroke / 2
    rect = Rect(left + half, top + half, wide - 2 * half, high - 2 * half)
    if rect.area > 0.98 * prepared.canvas.area:
        return None  # a line along the canvas edges: the canvas is the crop
    return Window(rect, "keyline", 0.75, stroke)


def _ends(counts: NDArray[np.int32], enough: float) -> tuple[int, int] | None:
    """First and last index with more than `enough` ink."""
    full = np.flatnonzero(counts > enough)
    return (int(full[0]), int(full[-1])) if len(full) > 1 else None


def _stroke(inwards: NDArray[np.int32], length: int, thick: int) -> int | None:
    """How thick the line is that begins here; None if the ink does not fall away behind it."""
    thin = np.flatnonzero(inwards[: thick + 1] < 0.9 * length)
    return int(thin[0]) if len(thin) else None


def _filled(prepared: Prepared) -> Window | None:
    """Artwork that fills a rectangle on a clear canvas: flattened, with the artboard's rest around it."""
    rows, cols = prepared.survey.ink_rows, prepared.survey.ink_cols
    down, across = _ends(rows, 0), _ends(cols, 0)
    if down is None or across is None:
        return None
    rect = Rect(across[0], down[0], across[1] - across[0] + 1, down[1] - down[0] + 1)
    if min(rect.x, rect.y, len(cols) - rect.right, len(rows) - rect.bottom) < 1:
        return None  # artwork at the canvas edge is no rectangle laid on it
    if rows.sum() < 0.98 * rect.area or rect.area < 0.2 * prepared.canvas.area:
        return None
    if prepared.survey.alpha[255] < 0.9 * rect.area:
        return None  # a soft ground, not a flattened one
    return Window(rect, "surround", 0.7)
