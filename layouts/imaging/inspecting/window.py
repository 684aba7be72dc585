"""The poster's own area inside a layout file.

Files come as the bare crop, with a surround that touches the canvas edges, or with a keyline drawn at the crop. The
surround is found from the edges inwards: artwork may touch it and type may cross most of the window. It is located on
the reduced layer; its edges are then put right to the pixel by the masks at full resolution. What was ordered settles
doubt, and where it cannot, `sure` says so.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from layouts.imaging.decoding.prepare import Prepared
from layouts.imaging.geometry import Rect
from layouts.imaging.inspecting.keyline import find_filled, find_keyline
from layouts.imaging.inspecting.surround import find_left
from layouts.imaging.inspecting.to_the_pixel import to_the_pixel

SAME_SHAPE = 0.01  # aspects that differ by less are the same shape
ASK = 0.7  # who is less sure than this asks
_CLEAR_STEP = 0.12  # an edge at which ink or colour steps by this share of its length is there beyond doubt
_NO_HOLE = 0.02  # a window of which less is clear is flattened, or is none


@dataclass(frozen=True)
class Window:
    """`rect` in canvas pixels; `kind` "canvas", "surround" or "keyline"; `sure` 0 to 1, under 0.7: ask.

    `stroke`: how thick the keyline is, in canvas pixels; it runs along the edges of `rect`, half inside. `corner`: the
    radius of the window's corners where they are round, in canvas pixels.
    """

    rect: Rect
    kind: str
    sure: float
    stroke: float = 0
    corner: float = 0


def off_centre(rect: Rect, canvas: Rect) -> tuple[float, float]:
    """How far the window lies right of and below the canvas's middle, in shares of the canvas; 0 where under 1 %."""
    right = (rect.x + rect.right - canvas.width) / 2 / canvas.width
    below = (rect.y + rect.bottom - canvas.height) / 2 / canvas.height
    return (right if abs(right) > 0.01 else 0.0, below if abs(below) > 0.01 else 0.0)


def same_shape(one: float, other: float) -> bool:
    """Whether two aspects are the same within 1 %."""
    return abs(one / other - 1) <= SAME_SHAPE


def find_window(prepared: Prepared, aspect: float | None = None, px: tuple[int, int] | None = None) -> Window:
    """Find the window; `aspect` (width / height) and `px`, the artwork's pixels, if ordered, settle doubt."""
    canvas = prepared.canvas
    found = _surround(prepared, aspect) or _line(prepared) or _laid_on(prepared)
    if found is None:
        fits = aspect is None or same_shape(canvas.aspect, aspect)
        return Window(canvas, "canvas", 0.9 if fits else 0.6)
    if aspect is None:
        return found if off_centre(found.rect, canvas) == (0, 0) else _less(found, 0.6)
    window_fits, canvas_fits = same_shape(found.rect.aspect, aspect), same_shape(canvas.aspect, aspect)
    if window_fits and canvas_fits:
        return _either(found, canvas, px)
    if window_fits:
        return replace(found, sure=min(0.95, found.sure + 0.15))
    if canvas_fits:  # a frame or band that belongs to the artwork
        return Window(canvas, "canvas", 0.75)
    return _less(found, found.sure - 0.25)


def _less(found: Window, sure: float) -> Window:
    return replace(found, sure=min(found.sure, sure))


def _either(found: Window, canvas: Rect, px: tuple[int, int] | None) -> Window:
    """Both the window and the canvas have the ordered shape: the pixels decide, and without them nobody is sure."""
    if px is not None:
        if abs(found.rect.width / px[0] - 1) <= SAME_SHAPE:
            return replace(found, sure=0.95)
        if abs(canvas.width / px[0] - 1) <= SAME_SHAPE:
            return Window(canvas, "canvas", 0.85)
    return _less(found, 0.75 if found.sure > 0.8 else 0.65)


def _surround(prepared: Prepared, aspect: float | None) -> Window | None:
    left = find_left(prepared)
    if left is None:
        return None
    coarse = left.rect.scaled(1 / prepared.across, 1 / prepared.down)
    rect, step = to_the_pixel(coarse, prepared)
    fits = aspect is None or same_shape(rect.aspect, aspect)
    if left.bars:  # a surround only if what it leaves has the ordered shape
        return Window(rect, "surround", 0.6) if aspect is not None and fits else None
    sure = 0.85 if left.patterned else 0.8
    if step < _CLEAR_STEP:  # also where the masks are not there, and the edges are good to a few pixels only
        sure = 0.5
    if left.clear < _NO_HOLE:
        sure = min(sure, 0.7)
    if not fits and aspect is not None and (grown := _grown(rect, prepared.canvas, aspect)):
        return Window(grown, "surround", 0.55)
    return Window(rect, "surround", sure, corner=left.corner / prepared.across)


def _line(prepared: Prepared) -> Window | None:
    found = find_keyline(prepared)
    return Window(found[0], "keyline", 0.75, found[1]) if found else None


def _laid_on(prepared: Prepared) -> Window | None:
    found = find_filled(prepared)
    return Window(found[0], "surround", 0.7) if found else None


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
