"""What the page of lists says of them."""

from typing import Any

from portal.brief.documents import Brief
from portal.site.sentences import Clause, count, joined, sentence, told
from shots.lists.lines import COUNTS, Listed, missing

_NOUNS = {"food": ("food", "foods"), "props": ("prop", "props")}
_SHOWN = 8
COUNTED = (("Hero", "num"), ("Stand-in", "num"), ("Backup", "num"))
COLUMNS = {
    "food": (
        "Food",
        *COUNTED,
        "Supplier",
        "Recipe",
        "By shot: hero + stand-in + backup",
    ),
    "props": ("Prop", ("Quantity", "num"), "From", "Hire, buy or own", "By shot"),
}


def opening(brief: Brief, lists: list[Listed]) -> str:
    """Where food and props stand, in a sentence or two."""
    if not any(found.rows for found in lists):
        return "No hero food and no props are listed yet."
    total = sum(len(found.rows) for found in lists)
    held = joined([count(len(found.rows), *_NOUNS[found.what]) for found in lists])
    verb = "is" if total == 1 else "are"
    gaps = sum(bool(missing(found.what, row)) for found in lists for row, _ in found.rows)
    recipes = sum(_unsold(row) for found in lists for row, _ in found.rows)
    open_ones = [
        Clause(gaps, "of them", "misses something", "miss something", "of them"),
        Clause(recipes, "recipe", "waits for the client's word", "wait for the client's word"),
    ]
    return f"{sentence(f'{held} {verb} listed')} {told(open_ones) or 'Nothing is missing.'}"


def owed(lists: list[Listed]) -> list[dict[str, Any]]:
    """What rows miss, due soonest first, each with a way to its row."""
    found = [
        {
            "what": f"{row['name']}, shot {shot['number']}",
            "by": f"no {joined(gaps, 'or')}",
            "url": f"#{one.what}-{row['id']}",
        }
        for one in lists
        for row, shot in one.rows
        if (gaps := missing(one.what, row))
    ]
    if len(found) > _SHOWN:
        found = [*found[:_SHOWN], {"what": "And more", "by": count(len(found) - _SHOWN, "row")}]
    return found


def totals(found: Listed) -> list[list[Any]]:
    """Rows of the table of totals; each shot's counts are told in its last cell."""
    rows = []
    for total in found.totals:
        counts: list[Any] = [total.counts[kind] for kind in COUNTS[found.what]]
        by_shot = ", ".join(f"shot {shot}: {_sum(held)}" for shot, held in total.by_shot.items())
        rows.append([total.name, *counts, total.source, total.variant, by_shot])
    return rows


def _sum(held: dict[str, int]) -> str:
    return " + ".join(str(count) for count in held.values())


def _unsold(row: dict[str, Any]) -> bool:
    return "as_sold" in row and row["as_sold"]["status"] != "confirmed"
