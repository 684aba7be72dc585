"""Sizes and shapes as designers say them."""

from __future__ import annotations

import re
from collections.abc import Iterator

_MOST = 20  # 16 : 9 and 19 : 10 are said so; beyond, a decimal is clearer


def shape(aspect: float) -> str:
    """An aspect (width / height) as "2 : 1", "2 : 3", "16 : 9" or, where no small pair is near, "1.37 : 1"."""
    pairs = [(w, h) for h in range(1, _MOST) for w in range(1, _MOST) if abs(w / h / aspect - 1) < 0.004]
    if pairs:
        wide, high = min(pairs, key=lambda pair: (sum(pair), abs(pair[0] / pair[1] / aspect - 1)))
        if wide + high <= 2 * max(8, round(max(aspect, 1 / aspect))) or (wide, high) in (
            (16, 9),
            (9, 16),
            (16, 10),
            (10, 16),
        ):
            return f"{wide} : {high}"
    return f"{aspect:.2f} : 1".replace(".00", "") if aspect >= 1 else f"1 : {1 / aspect:.2f}".replace(".00", "")


def pixels(size: tuple[float, float]) -> str:
    """ "7200 x 3600 px"."""
    return f"{round(size[0])} x {round(size[1])} px"


_NUMBER = r"(\d{1,5}(?:[.,]\d{1,2})?)"
_UNIT = r"(mm|cm|m|px|pixels?)?"
SIZE = re.compile(rf"(?<![\d.,]){_NUMBER}\s?{_UNIT}\s?(?:[x×✕✖*]|by)\s?{_NUMBER}\s?{_UNIT}(?![\da-z])", re.I)
_TO_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0}


def sizes(text: str) -> Iterator[tuple[float, float, str]]:
    """Each "6000x3000mm", "600 x 300 cm", "6,0x3,0m", "7200×3600 px" or "2x1" in a text, with its unit.

    Yields width, height and "mm" (converted), "px" or "" where none stands beside it.
    """
    for wide, first, high, second in SIZE.findall(text):
        unit = second or first
        w, h = float(wide.replace(",", ".")), float(high.replace(",", "."))
        if not (w and h):
            continue
        factor = _TO_MM.get(unit.lower())
        yield (w * factor, h * factor, "mm") if factor else (w, h, "px" if unit else "")
