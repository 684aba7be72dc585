"""Pure arithmetic behind drawn components: the street's one scale, marks in per cent. Knows no Django."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

PERSON_MM = (480, 1750)
# The largest poster takes so much of the street's hundred em: its width, or its height where it is tall.
WIDEST_EM, TALLEST_EM = 40.0, 15.0
# A screen whose physical size nobody knows is drawn with this long side, and its caption says so.
UNKNOWN_MM = 1000.0


def em(value: float) -> str:
    """A length for an SVG attribute; never in the page's language, which may write a comma."""
    return f"{value:.3f}em"


def percent(fraction: float) -> str:
    """A fraction, 0 to 1, as "12.5%" for an SVG attribute."""
    return f"{100 * fraction:.3f}%"


def size_mm(item: Mapping[str, Any]) -> tuple[float, float, bool]:
    """Width and height in mm, and whether they are known; else drawn in the shape of `width_px` by `height_px`."""
    width, height = item.get("width_mm"), item.get("height_mm")
    if width and height:
        return float(width), float(height), True
    across, down = float(item.get("width_px") or 1), float(item.get("height_px") or 1)
    long_side = max(across, down)
    return UNKNOWN_MM * across / long_side, UNKNOWN_MM * down / long_side, False


def street_scale(sizes: Iterable[tuple[float, float]]) -> float:
    """Em per mm such that the largest of `sizes` (width, height in mm) and the person fit the street."""
    all_sizes = [*sizes, PERSON_MM]
    return min(WIDEST_EM / max(w for w, _ in all_sizes), TALLEST_EM / max(h for _, h in all_sizes))


def on_the_street(items: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Each item with `em_width`, `em_height` (SVG lengths), `size` (mm) and `known`; the order stays."""
    sizes = [size_mm(item) for item in items]
    scale = street_scale((w, h) for w, h, _ in sizes)
    return [
        {**item, "em_width": em(w * scale), "em_height": em(h * scale), "known": known, "size": (w, h)}
        for item, (w, h, known) in zip(items, sizes, strict=True)
    ]


def person_em(items: Sequence[Mapping[str, Any]]) -> tuple[str, str]:
    """Width and height of the person who stands beside `items`."""
    scale = street_scale(size_mm(item)[:2] for item in items)
    return em(PERSON_MM[0] * scale), em(PERSON_MM[1] * scale)


def box(x0: float, y0: float, x1: float, y1: float) -> dict[str, str | bool]:
    """A rectangle of fractions as SVG attributes; its corners may come in any order and are kept in the picture.

    `ends`: it stands so far right that its word ends at its right side rather than begins at its left.
    """
    left, right = sorted(min(max(float(v), 0.0), 1.0) for v in (x0, x1))
    top, bottom = sorted(min(max(float(v), 0.0), 1.0) for v in (y0, y1))
    return {
        "x": percent(left),
        "y": percent(top),
        "right": percent(right),
        "bottom": percent(bottom),
        "width": percent(right - left),
        "height": percent(bottom - top),
        "ends": left > 0.45,
    }


def ring(x0: float, y0: float, x1: float, y1: float) -> dict[str, str | bool]:
    """An ellipse drawn round a rectangle of fractions, a little outside it, as a hand would.

    The word stands at its lower right, or at its lower left where that would leave the picture (`ends`).
    """
    left, right = sorted((float(x0), float(x1)))
    top, bottom = sorted((float(y0), float(y1)))
    half_x, half_y = (right - left) / 2, (bottom - top) / 2
    reach = 1.22  # √2 would pass through the corners and swallow the picture; type seldom fills its corners
    centre_x, centre_y = left + half_x, top + half_y
    edge = centre_x + half_x * reach
    return {
        "cx": percent(centre_x),
        "cy": percent(centre_y),
        "rx": percent(half_x * reach + 0.008),
        "ry": percent(half_y * reach + 0.012),
        "word_x": percent(min(edge, 0.985)),
        "word_y": percent(min(centre_y + half_y * reach + 0.03, 0.975)),
        "ends": edge > 0.8,
    }
