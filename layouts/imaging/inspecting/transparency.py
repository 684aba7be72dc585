"""What is wrong with a layout's transparency: none, a ground left on, nothing on it, haze, or dark edges."""

from __future__ import annotations

from collections.abc import Iterator

import cv2
import numpy as np
from numpy.typing import NDArray

from layouts.imaging.decoding.prepare import Prepared
from layouts.imaging.geometry import Rect
from layouts.imaging.inspecting.fault import Fault, look, must_fix, per_cent
from layouts.imaging.surveying.survey import SOLID

_FLAT = 0.98  # share of the window that is solid in a flattened file
_NOTHING = 0.0002  # share of the window that must be solid for there to be any type
_HARDLY = 0.0005  # a share that would be said as 0.0 %
_FAINT = 31  # alpha that nobody means to see, 12 %
_UNSEEN = 3  # alpha from which a tint can be seen at all, 1 %
_STRAY = 0.002  # share of the canvas from which stray haze is worth a look
_FRINGE = 0.4  # how much of the darkening of a second multiplication by alpha soft edges may show


def transparency(prepared: Prepared, window: Rect) -> Iterator[Fault]:
    if not prepared.facts.has_alpha:
        yield must_fix(
            "no-alpha",
            f"This {prepared.facts.type.upper()} has no transparency, so it would hide the "
            "whole picture. Export the artboard as a PNG with a transparent background, without the picture.",
        )
        if board := _board(prepared):
            yield _flattened_board(1.0, board)
        return
    part = prepared.on_layer(window)
    inside = prepared.layer[round(part.y) : round(part.bottom), round(part.x) : round(part.right)]
    alpha = inside[..., 3]
    solid, clear = float((alpha >= 254).mean()), float((alpha == 0).mean())
    if solid >= _FLAT:
        if board := _board(prepared):
            yield _flattened_board(solid, board)
            return
        yield must_fix(
            "flattened-ground",
            f"This file is flattened: {per_cent(solid)} of its window is solid, on {_ground(inside)}, and "
            f"{f'only {per_cent(clear, 1)}' if clear >= _HARDLY else 'nothing'} is clear. Hide the background layer "
            "and export it again with transparency.",
        )
        return
    if board := _board(prepared):  # with some of it left clear
        yield _flattened_board(solid, board)
        return
    if int(alpha.max()) == 0:
        yield must_fix(
            "nothing-solid",
            "There is nothing on this layout: every pixel of it is clear. Switch the "
            "type and graphics layers on and export it again.",
        )
        return
    if _solid_in(prepared, window) < _NOTHING:
        most = int(alpha.max()) / 255
        yield must_fix(
            "nothing-solid",
            f"Nothing on this layout is solid: its strongest part has {per_cent(most)} opacity. "
            "Set the type and graphics layers to 100\u202f% and export it again.",
        )
        return
    if (stray := _stray(prepared.layer)) >= _STRAY:
        yield look(
            "stray-half-clear",
            f"{per_cent(stray, 1)} of the canvas carries a faint haze, under "
            f"{per_cent(_FAINT / 255)} opacity, away from any type or graphics: a soft brush, a shadow or a layer that "
            "was left on? It would tint the picture.",
        )
    fringe = prepared.survey.edges.fringe if prepared.survey.edges else None
    if fringe is not None and fringe >= _FRINGE:
        yield look(
            "dark-fringe",
            f"The soft edges of light type are darker than the type, by {per_cent(fringe)} of what multiplying by the "
            "alpha a second time does; edges in the type's own colour have 0\u202f%. It shows as a dark line round "
            "letters. Export with straight (unassociated) alpha, or straight from the layout program.",
        )


def _board(prepared: Prepared) -> tuple[int, int, int] | None:
    return prepared.survey.samples.checkerboard if prepared.survey.samples else None


def _flattened_board(solid: float, board: tuple[int, int, int]) -> Fault:
    side, light, dark = board
    return must_fix(
        "flattened-ground",
        f"The checkerboard that programs show behind transparency is part of this file (squares of {side} px, greys "
        f"{light} and {dark}), and {per_cent(solid)} of its window is solid. Export it again with real transparency; "
        "a screenshot or a copy from a preview will not do.",
    )


def _solid_in(prepared: Prepared, window: Rect) -> float:
    """Share of the window's pixels that are solid, from the mask at full resolution where it is there."""
    if prepared.survey.masks:
        edges = (round(window.x), round(window.y), round(window.right), round(window.bottom))
        return prepared.survey.masks.solid.share(*edges)
    part = prepared.on_layer(window)
    inside = prepared.layer[round(part.y) : round(part.bottom), round(part.x) : round(part.right), 3]
    return float((inside >= SOLID).mean())


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
    faint = ((alpha >= _UNSEEN) & (near == 0)).astype(np.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(faint, connectivity=8)
    stray = 0
    for piece in range(1, count):
        if stats[piece, cv2.CC_STAT_AREA] >= 4 and not _is_tail(labels == piece, alpha):
            stray += int(stats[piece, cv2.CC_STAT_AREA])
    return stray / alpha.size


def _is_tail(piece: NDArray[np.bool_], alpha: NDArray[np.uint8]) -> bool:
    """Whether a faint piece fades from something stronger: its alpha varies, and what lies beside it is soft too."""
    values = alpha[piece]
    low, high = np.percentile(values, (15, 85))
    if (high - low < 2 and low > _UNSEEN) or int(values.max()) == int(values.min()):
        return False  # flat, whatever lies at its edges
    ring = cv2.dilate(piece.astype(np.uint8), np.ones((15, 15), np.uint8)).astype(bool) & ~piece
    soft = ring & (alpha > 0) & (alpha < 3 * _FAINT)
    return bool(soft.sum() > 0.3 * ring.sum())
