"""What is wrong with a layout file, said to its designer with the measured and the ordered value."""

from __future__ import annotations

from collections.abc import Iterator

from layouts.imaging.decoding.prepare import Prepared
from layouts.imaging.geometry import Rect
from layouts.imaging.inspecting.fault import MUST_FIX, WORTH_A_LOOK, Fault, Identity, Order, look, must_fix
from layouts.imaging.inspecting.identity import identity
from layouts.imaging.inspecting.transparency import transparency
from layouts.imaging.inspecting.window import Window, off_centre, same_shape
from layouts.imaging.words import pixels, shape

__all__ = ["MUST_FIX", "WORTH_A_LOOK", "Fault", "Identity", "Order", "find_faults"]


def find_faults(prepared: Prepared, window: Window, order: Order, file: Identity) -> list[Fault]:
    """All faults, what must be fixed first."""
    found = [
        *transparency(prepared, window.rect),
        *_shape(prepared, window, order),
        *_size(window.rect, order, prepared.facts.type),
        *_centre(prepared, window),
        *_colour(prepared),
        *identity(file, order),
    ]
    return sorted(found, key=lambda fault: fault.level != MUST_FIX)


def _shape(prepared: Prepared, window: Window, order: Order) -> Iterator[Fault]:
    if order.aspect is None or same_shape(window.rect.aspect, order.aspect):
        return
    size = (prepared.facts.width, prepared.facts.height)
    is_canvas = window.kind == "canvas"
    what = (
        f"This file is {pixels(size)}"
        if is_canvas
        else (f"The window in this file is {pixels((window.rect.width, window.rect.height))}")
    )
    target = order.px or _like(size, order.aspect)
    yield must_fix(
        "wrong-shape",
        f"{what}, which is {shape(window.rect.aspect)}; {order.called} is "
        f"{shape(order.aspect)}. Export the artboard at {pixels(target)}.",
    )


def _like(size: tuple[int, int], aspect: float) -> tuple[int, int]:
    """A size of the ordered shape, about as large as the file."""
    longest = max(size)
    return (longest, round(longest / aspect)) if aspect >= 1 else (round(longest * aspect), longest)


def _size(window: Rect, order: Order, kind: str) -> Iterator[Fault]:
    if order.px is None or kind == "pdf":  # a page is drawn at any size
        return
    share = min(window.width / order.px[0], window.height / order.px[1])
    if share < 0.99:
        level = MUST_FIX if share < 0.5 else WORTH_A_LOOK
        yield Fault(
            "too-few-pixels",
            level,
            f"The window has {pixels((window.width, window.height))} and {pixels(order.px)} are ordered, so type would "
            f"be enlarged {1 / share:.1f} times. Export the artboard at {pixels(order.px)}.",
        )


def _centre(prepared: Prepared, window: Window) -> Iterator[Fault]:
    if window.kind == "canvas":
        return
    width, height = prepared.facts.width, prepared.facts.height
    right, below = off_centre(window.rect, prepared.canvas)
    away = [f"{abs(right) * width:.0f} px {'right of' if right > 0 else 'left of'}"] * bool(right)
    away += [f"{abs(below) * height:.0f} px {'below' if below > 0 else 'above'}"] * bool(below)
    if away:
        yield look(
            "window-off-centre",
            f"The window lies {' and '.join(away)} the canvas's middle. If that "
            "is not meant, centre the artboard, or set the window's edges here.",
        )


def _colour(prepared: Prepared) -> Iterator[Fault]:
    facts = prepared.facts
    if facts.cmyk:
        profile = f", profile {facts.profile_name}" if facts.profile_name else " and carries no profile"
        yield look(
            "cmyk",
            f"This file is in CMYK{profile}: its colours here are only near. For the preview "
            "export it in RGB (sRGB); the print artwork may stay in CMYK.",
        )
    elif facts.profile_name is None and facts.type != "pdf":
        yield look(
            "no-profile",
            "This file carries no colour profile and is read as sRGB. If it was made in "
            "another colour space, export it with its profile embedded.",
        )
