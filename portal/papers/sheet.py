"""A paper before it has a form: what a list says, drawn as PDF, XLSX or CSV by the modules beside this one."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

Cell = str | int | float | date | None


@dataclass(frozen=True)
class Column:
    """One column. `width` is its share of the page and its characters in a spreadsheet.

    What is `below` is too long for a column of a page: in print it stands under its row, elsewhere it is a column.
    """

    label: str
    kind: Literal["text", "number", "date"] = "text"
    width: float = 12
    below: bool = False


@dataclass(frozen=True)
class Figure:
    """A drawing above a table. `svg` is shown `width` mm wide; `alt` says what it shows to who cannot see it."""

    svg: str
    width: float
    alt: str


@dataclass(frozen=True)
class Part:
    """A table under a heading. `total` closes it; in print `figure` stands above, `tick` puts a box before each row."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    total: tuple[Cell, ...] | None = None
    note: str = ""
    tick: bool = False
    # What is said when there are no rows.
    empty: str = "Nothing is on this list."
    figure: Figure | None = None

    def __post_init__(self) -> None:
        if any(len(row) != len(self.columns) for row in (*self.rows, *([self.total] if self.total else []))):
            raise ValueError(f"a row of {self.title!r} has not {len(self.columns)} cells")


@dataclass(frozen=True)
class Stamp:
    """What proves a paper: the version's words, its whole digest, and where to look whether it still holds."""

    words: str
    digest: str
    draft: bool
    address: str

    @property
    def grouped(self) -> str:
        """The digest in groups of four, to be compared by eye."""
        return " ".join(self.digest[at : at + 4] for at in range(0, len(self.digest), 4))

    @property
    def line(self) -> str:
        """One line for headers, sheets and first rows: "DRAFT, 9c41 e07b" or "version 2, locked, 9c41 e07b"."""
        return f"{'DRAFT' if self.draft else self.words}, {self.grouped[:9]}"


@dataclass(frozen=True)
class Sheet:
    """A paper: whose it is, its parts, what to be careful of, and its stamp."""

    campaign: str
    code: str
    title: str
    subtitle: str
    parts: tuple[Part, ...]
    stamp: Stamp
    cautions: tuple[str, ...] = ()
    # "All of it is invented", where the campaign says so.
    notice: str = ""
    language: str = field(default="en")

    def texts(self) -> Iterator[str]:
        """Every text of people in it."""
        yield from (self.campaign, self.code, self.title, self.subtitle, self.notice, *self.cautions)
        for part in self.parts:
            yield from (part.title, part.note, part.empty, *(column.label for column in part.columns))
            for row in (*part.rows, part.total or ()):
                yield from (cell for cell in row if isinstance(cell, str))


def day(value: date) -> str:
    """A date as people read it: 3 Mar 2027."""
    return f"{value.day} {value:%b %Y}"
