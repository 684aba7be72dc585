"""What is wrong with a layout file, said to its designer with the measured and the ordered value."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from layouts.imaging.geometry import Rect
from layouts.imaging.prepare import Prepared
from layouts.imaging.window import Window, off_centre, same_shape
from layouts.imaging.words import pixels, shape, sizes

MUST_FIX, WORTH_A_LOOK = "must-fix", "worth-a-look"
_FLAT = 0.98  # share of the window that is solid in a flattened file
_NOTHING = 0.0002  # share of the window that must be solid for there to be any type
_HARDLY = 0.0005  # a share that would be said as 0.0 %
_FAINT = 31  # alpha that nobody means to see, 12 %
_STRAY = 0.002  # share of the canvas from which stray haze is worth a look


@dataclass(frozen=True)
class Fault:
    code: str
    level: str
    says: str


@dataclass(frozen=True)
class Order:
    """What was ordered: aspect (width / height), artwork pixels, a name for the format ("the roadside poster")."""

    aspect: float | None = None
    px: tuple[int, int] | None = None
    called: str = "what was ordered"


def find_faults(
    prepared: Prepared,
    window: Window,
    order: Order,
    *,
    name: str = "",
    sha256: str = "",
    older: Sequence[tuple[str, str]] = (),
) -> list[Fault]:
    """All faults, what must be fixed first. `older` holds (what it is called, its SHA-256) of the files before."""
    found = [
        *_alpha(prepared, window.rect),
        *_shape(prepared, window, order),
        *_size(window.rect, order, prepared.facts.type),
        *_centre(prepared, window),
        *_colour(prepared),
        *_identity(name, sha256, older, order),
    ]
    return sorted(found, key=lambda fault: fault.level != MUST_FIX)


def _part(share: float, places: int = 0) -> str:
    """A share, 0 to 1, in per cent."""
    return f"{100 * share:.{places}f}\u202f%"


def _must(code: str, says: str) -> Fault:
    return Fault(code, MUST_FIX, says)


def _look(code: str, says: str) -> Fault:
    return Fault(code, WORTH_A_LOOK, says)


def _alpha(prepared: Prepared, window: Rect) -> Iterator[Fault]:
    if not prepared.facts.has_alpha:
        yield _must(
            "no-alpha",
            f"This {prepared.facts.type.upper()} has no transparency, so it would hide the "
            "whole picture. Export the artboard as a PNG with a transparent background, without the picture.",
        )
        return
    part = prepared.on_layer(window)
    inside = prepared.layer[round(part.y) : round(part.bottom), round(part.x) : round(part.right)]
    alpha = inside[..., 3]
    solid, clear = float((alpha >= 254).mean()), float((alpha == 0).mean())
    if solid >= _FLAT:
        yield _must(
            "flattened-ground",
            f"This file is flattened: {_part(solid)} of its window is solid, on {_ground(inside)}, and "
            f"{f'only {_part(clear, 1)}' if clear >= _HARDLY else 'nothing'} is clear. Hide the background layer and "
            "export it again with transparency.",
        )
        return
    if int(alpha.max()) == 0:
        yield _must(
            "nothing-solid",
            "There is nothing on this layout: every pixel of it is clear. Switch the "
            "type and graphics layers on and export it again.",
        )
        return
    if _solid_in(prepared, window) < _NOTHING:
        most = int(alpha.max()) / 255
        yield _must(
            "nothing-solid",
            f"Nothing on this layout is solid: its strongest part has {_part(most)} opacity. "
            "Set the type and graphics layers to 100\u202f% and export it again.",
        )
        return
    if (stray := _stray(prepared.layer)) >= _STRAY:
        yield _look(
            "stray-half-clear",
            f"{_part(stray, 1)} of the canvas carries a faint haze, under "
            f"{_part(_FAINT / 255)} opacity, away from any type or graphics: a soft brush, a shadow or a layer that "
            "was left on? It would tint the picture.",
        )


def _solid_in(prepared: Prepared, window: Rect) -> float:
    """Share of the window's pixels that are solid, from the counts at full resolution, less a solid surround."""
    survey = prepared.survey
    solid = int(survey.alpha[255])
    if survey.ground and survey.ground[3] == 255 and window.area < prepared.canvas.area:
        solid -= int(min(survey.ground_rows.sum(), prepared.canvas.area - window.area))
    return max(0, solid) / window.area


def _ground(inside: NDArray[np.uint8]) -> str:
    colours, counts = np.unique(inside[::3, ::3, :3].reshape(-1, 3) >> 2, axis=0, return_counts=True)
    red, green, blue = (min(255, round(int(value) * 4 * 255 / 252)) for value in colours[np.argmax(counts)])
    named = {(255, 255, 255): "white", (0, 0, 0): "black"}.get((red, green, blue))
    return named or f"a ground such as #{red:02x}{green:02x}{blue:02x}"


def _stray(layer: NDArray[np.uint8]) -> float:
    """Share of the canvas that is faint and away from anything stronger, other than the tail of a gradient."""
    shrink = min(1.0, 800 / max(layer.shape[:2]))
    size = (max(1, round(layer.shape[1] * shrink)), max(1, round(layer.shape[0] * shrink)))
    alpha = np.asarray(cv2.resize(np.ascontiguousarray(layer[..., 3]), size, interpolation=cv2.INTER_AREA), np.uint8)
    near = cv2.dilate((alpha > _FAINT).astype(np.uint8), np.ones((9, 9), np.uint8))
    faint = ((alpha > 0) & (near == 0)).astype(np.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(faint, connectivity=8)
    stray = 0
    for piece in range(1, count):
        if stats[piece, cv2.CC_STAT_AREA] >= 4 and not _is_tail(labels == piece, alpha):
            stray += int(stats[piece, cv2.CC_STAT_AREA])
    return stray / alpha.size


def _is_tail(piece: NDArray[np.bool_], alpha: NDArray[np.uint8]) -> bool:
    """Whether a faint piece fades from something stronger: its alpha varies, and what lies beside it is soft too."""
    values = alpha[piece]
    if int(values.max()) - int(values.min()) < 3:
        return False
    ring = cv2.dilate(piece.astype(np.uint8), np.ones((15, 15), np.uint8)).astype(bool) & ~piece
    soft = ring & (alpha > 0) & (alpha < 3 * _FAINT)
    return bool(soft.sum() > 0.3 * ring.sum())


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
    yield _must(
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
        yield _look(
            "window-off-centre",
            f"The window lies {' and '.join(away)} the canvas's middle. If that "
            "is not meant, centre the artboard, or set the window's edges here.",
        )


def _colour(prepared: Prepared) -> Iterator[Fault]:
    facts = prepared.facts
    if facts.cmyk:
        profile = f", profile {facts.profile_name}" if facts.profile_name else " and carries no profile"
        yield _look(
            "cmyk",
            f"This file is in CMYK{profile}: its colours here are only near. For the preview "
            "export it in RGB (sRGB); the print artwork may stay in CMYK.",
        )
    elif facts.profile_name is None and facts.type != "pdf":
        yield _look(
            "no-profile",
            "This file carries no colour profile and is read as sRGB. If it was made in "
            "another colour space, export it with its profile embedded.",
        )


def _identity(name: str, sha256: str, older: Sequence[tuple[str, str]], order: Order) -> Iterator[Fault]:
    same = next((called for called, digest in older if digest and digest == sha256), None)
    if same:
        yield _look(
            "same-as-older",
            f"This file is the same, byte for byte, as {same}. If it should differ, the "
            "export may have gone to another folder.",
        )
    if order.aspect is None:
        return
    said = [(w, h, unit) for w, h, unit in sizes(name) if max(w, h) / min(w, h) <= 20]
    if said and not any(same_shape(w / h, order.aspect) for w, h, _ in said):
        w, h, unit = said[0]
        yield _look(
            "name-says-other",
            f"The file's name says {w:g} x {h:g}{' ' + unit if unit else ''}, which is "
            f"{shape(w / h)}; {order.called} is {shape(order.aspect)}. Is it meant for this place?",
        )
