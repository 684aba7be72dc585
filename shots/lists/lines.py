"""Hero food and props of a document, ready to be listed: by shot, due soonest first, added up, and what is missing."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from portal.brief.documents import Brief
from shots.planning.quantities import Line, Total, totals

Row = dict[str, Any]
COUNTS = {"food": ("hero", "stand_in", "backup"), "props": ("quantity",)}
_DUE = {"food": "needs_by", "props": "due"}
_SOURCE = {"food": "supplier", "props": "source"}


@dataclass(frozen=True)
class Listed:
    """One list of a document, "food" or "props": its rows, each with its shot, and the totals."""

    what: str
    rows: list[tuple[Row, Row]]
    totals: list[Total]

    @property
    def adds_up(self) -> bool:
        """Whether anything is listed twice, so that totals say more than the list."""
        return len(self.totals) < len(self.rows)


def shots_of(brief: Brief) -> list[Row]:
    """The document's shots, in order."""
    return list(brief.document.get("shots", []))


def listed(brief: Brief, what: str, shot: str | None = None) -> Listed:
    """A list of the whole document or of one shot (by its id), due soonest first; what has no date comes last."""
    by_id = {one["id"]: one for one in shots_of(brief)}
    rows = [
        (row, by_id[row["shot"]])
        for row in brief.document.get(what, [])
        if row["shot"] in by_id and shot in (None, row["shot"])
    ]
    due = _DUE[what]
    # ISO dates sort as text; rows of one date stay in the order of the shots.
    rows.sort(key=lambda pair: (pair[0][due] is None, pair[0][due] or ""))
    return Listed(what, rows, totals(_lines(what, rows)))


def _lines(what: str, rows: Iterable[tuple[Row, Row]]) -> list[Line]:
    """In the order of the shots, so that each total tells its shots in order."""
    ordered = sorted(rows, key=lambda pair: pair[1]["number"])
    return [
        Line(
            row["name"],
            row[_SOURCE[what]],
            str(shot["number"]),
            {kind: row[kind] for kind in COUNTS[what]},
            _variant(what, row),
        )
        for row, shot in ordered
    ]


def _variant(what: str, row: Row) -> str:
    if what == "props":
        return str(row["basis"])
    return f"{row['recipe']} {row['recipe_version']}".strip()


def missing(what: str, row: Row) -> list[str]:
    """What a row does not say yet, in words."""
    if what == "props":
        asked = {"source": row["source"], "due date": row["due"] or row["basis"] == "own"}
        if row["basis"] == "hire":
            asked["return date"] = row["returns_by"]
    else:
        asked = {
            "hero": row["hero"],
            "supplier": row["supplier"],
            "recipe": row["recipe"],
            "recipe version": row["recipe_version"],
            "date": row["needs_by"],
            "allergens": row["allergens"] is not None,
        }
    return [word for word, told in asked.items() if not told]
