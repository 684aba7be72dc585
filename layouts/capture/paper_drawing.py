"""A capture drawn for print, from what the brief holds: its frame to scale, crops told apart by dashes and names."""

from collections.abc import Mapping, Sequence
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from layouts.capture.drawing import Outlined, placed
from portal.papers.cells import printable
from portal.papers.sheet import Figure

# The room for a drawing, mm, and the units that it is drawn in.
_ROOM = (180.0, 120.0)
_UNIT = 5.0  # a mm
_INK, _QUIET, _PAPER = "#141414", "#767676", "#ffffff"


def figure(capture: Mapping[str, Any], crops: Sequence[tuple[int, str, Mapping[str, Any]]], margin: float) -> Figure:
    """The frame of a capture with its numbered crops; `capture` and crops are rows of the section "capture"."""
    wide, high = capture["width"], capture["height"]
    width = min(_ROOM[0], _ROOM[1] * wide / high)
    across, down = width * _UNIT, width * _UNIT * high / wide
    outlined = [Outlined(n, name, *_share(crop["exact"], wide, high)) for n, name, crop in crops]
    marks = [_rect(0, 0, 1, 1, across, down, fill="#f4f4f4", stroke=_INK, width=2)]
    if margin:
        marks.append(_rect(margin, margin, 1 - 2 * margin, 1 - 2 * margin, across, down, stroke=_QUIET, width=0.8))
    marks.append(_hero(*_share(capture["hero"], wide, high), across, down))
    crops_drawn = placed(outlined, high / wide)
    for one in crops_drawn:
        where = " ".join(f"{name}={quoteattr(one[name])}" for name in ("x", "y", "width", "height"))
        dash = f' stroke-dasharray="{one["dash"]}"' if one["dash"] else ""
        marks.append(f'<rect {where} fill="none" stroke="{_PAPER}" stroke-width="5"/>')
        marks.append(f'<rect {where} fill="none" stroke="{_INK}" stroke-width="2"{dash}/>')
    marks += [_word(one) for one in crops_drawn]
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {across:.2f} {down:.2f}" width="{across:.2f}" '
        f'height="{down:.2f}">{"".join(marks)}</svg>'
    )
    return Figure(svg, width, _alt(capture, [(n, name) for n, name, _ in crops]))


def _share(box: Sequence[float], wide: float, high: float) -> tuple[float, float, float, float]:
    x, y, width, height = box
    return x / wide, y / high, width / wide, height / high


def _rect(
    x: float, y: float, w: float, h: float, across: float, down: float, *, fill: str = "none", stroke: str, width: float
) -> str:
    return (
        f'<rect x="{x * across:.2f}" y="{y * down:.2f}" width="{w * across:.2f}" height="{h * down:.2f}" '
        f'fill="{fill}" stroke="{stroke}" stroke-width="{width}"/>'
    )


def _hero(x: float, y: float, w: float, h: float, across: float, down: float) -> str:
    """A tinted ellipse within the hero's rectangle, so that it cannot be taken for a crop."""
    left, top, wide, high = x * across, y * down, w * across, h * down
    return (
        f'<rect x="{left:.2f}" y="{top:.2f}" width="{wide:.2f}" height="{high:.2f}" fill="#dcdcdc"/>'
        f'<ellipse cx="{left + wide / 2:.2f}" cy="{top + high / 2:.2f}" rx="{wide / 2:.2f}" ry="{high / 2:.2f}" '
        f'fill="#c4c4c4" stroke="{_QUIET}" stroke-width="1"/>'
        f'<text x="{left + wide / 2:.2f}" y="{top + high / 2 + 4:.2f}" text-anchor="middle" '
        f'font-family="Instrument Sans" font-size="13" fill="{_INK}">hero</text>'
    )


def _word(one: Mapping[str, Any]) -> str:
    says = escape(printable(f"{one['number']} {one['name']}"))
    shared = f'x="{one["word_x"]}" y="{one["word_y"]}" dx="6" dy="17" font-family="Instrument Sans" font-size="13"'
    return (
        f'<text {shared} font-weight="600" stroke="{_PAPER}" stroke-width="4" fill="{_PAPER}">{says}</text>'
        f'<text {shared} font-weight="600" fill="{_INK}">{says}</text>'
    )


def _alt(capture: Mapping[str, Any], crops: Sequence[tuple[int, str]]) -> str:
    named = ", ".join(f"{number} {name}" for number, name in crops)
    return (
        f"The {capture['orientation']} frame of capture {capture['number']}, drawn to scale: the hero, and the crops "
        f"{named}. Their places are in the table."
    )
