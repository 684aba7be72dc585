"""How much of each thing is needed across shots. Pure: no Django, no database."""

import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Line:
    """What one shot needs of one thing: `counts` by kind ("hero", "backup"; "quantity"), whole numbers from 0.

    `variant` keeps apart what must not be added up: another version of a recipe, hired and bought plates.
    """

    name: str
    source: str
    shot: str
    counts: Mapping[str, int]
    variant: str = ""


@dataclass(frozen=True)
class Total:
    """One thing from one source: its counts together, and each shot's, in the order in which the lines came."""

    name: str
    source: str
    variant: str
    counts: dict[str, int]
    by_shot: dict[str, dict[str, int]]


def totals(lines: Iterable[Line]) -> list[Total]:
    """Add up lines of the same thing: same name, source and variant, whatever their case and spaces.

    Parameters
    ----------
    lines : iterable of Line
        In any order; a shot may have several lines of one thing.

    Returns
    -------
    list of Total
        In the order in which each thing came first, spelt as it was then.

    Raises
    ------
    ValueError
        A count is below 0.
    """
    found: dict[tuple[str, str, str], Total] = {}
    for line in lines:
        if any(count < 0 for count in line.counts.values()):
            raise ValueError(f"a count of {line.name!r} is below 0")
        key = (normal(line.name), normal(line.source), normal(line.variant))
        total = found.setdefault(key, Total(line.name, line.source, line.variant, {}, {}))
        _add(total.counts, line.counts)
        _add(total.by_shot.setdefault(line.shot, {}), line.counts)
    return list(found.values())


def normal(text: str) -> str:
    """A name as it is compared: Unicode NFKC, case folded, spaces single (Unicode Standard Annex 15; section 3.13)."""
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())


def _add(to: dict[str, int], counts: Mapping[str, int]) -> None:
    for kind, count in counts.items():
        to[kind] = to.get(kind, 0) + count
