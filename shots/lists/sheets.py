"""The lists as papers: hero food and props, for one shot or the campaign, drawn from a document alone."""

import re
from datetime import date
from typing import Any

from portal.brief.documents import Brief
from portal.models import Campaign
from portal.papers.sheet import Column, Part, Sheet
from portal.papers.stamping import stamp
from shots.food.allergens import words
from shots.food.cautions import CAUTIONS as FOOD_CAUTIONS
from shots.lists.lines import Listed, Row, listed, shots_of
from shots.planning.quantities import Total
from shots.props.cautions import CAUTIONS as PROPS_CAUTIONS

ONCE = "Nothing is listed twice: the list is the total."
TITLES = {"food": "Hero food", "props": "Props"}

_FOOD = (
    Column("Food", width=26),
    Column("Shot", "number", 6),
    Column("Hero", "number", 6),
    Column("Stand-in", "number", 8),
    Column("Backup", "number", 8),
    Column("Supplier", width=22),
    Column("Needed by", "date", 13),
    Column("Holds, min", "number", 9),
    Column("Recipe", width=24, below=True),
    Column("As sold", width=24, below=True),
    Column("Substitution", below=True),
    Column("Substitution cleared", below=True),
    Column("Allergens", below=True),
    Column("Preparation", below=True),
    Column("Handling", below=True),
    Column("Notes", below=True),
)
_PROPS = (
    Column("Prop", width=28),
    Column("Shot", "number", 6),
    Column("Quantity", "number", 8),
    Column("From", width=22),
    Column("Hire, buy or own", width=11),
    Column("Due", "date", 13),
    Column("Goes back", "date", 13),
    Column("Breakable", width=11),
    Column("Caution", below=True),
    Column("Note", below=True),
)
_FOOD_TOTALS = (
    Column("Food", width=26),
    Column("Hero", "number", 7),
    Column("Stand-in", "number", 8),
    Column("Backup", "number", 8),
    Column("Supplier", width=20),
    Column("Recipe", width=18),
    Column("By shot: hero + stand-in + backup", width=32),
)
_PROPS_TOTALS = (
    Column("Prop", width=28),
    Column("Quantity", "number", 8),
    Column("From", width=22),
    Column("Hire, buy or own", width=12),
    Column("By shot", width=26),
)


def sheet(campaign: Campaign, brief: Brief, what: str, shot: str | None = None) -> Sheet:
    """The paper of a list, "food" or "props". Raises KeyError for another, or for an unknown shot."""
    told = brief.document["campaign"]
    found = listed(brief, what, shot)
    of = {one["id"]: one for one in shots_of(brief)}[shot] if shot else None
    parts = [_rows(found)]
    if of is None:
        parts.append(_totals(found))
    return Sheet(
        campaign=told["title"],
        code=told["code"],
        title=TITLES[what],
        subtitle=f"Shot {of['number']}, {of['title']}" if of else "All shots, due soonest first",
        parts=tuple(parts),
        stamp=stamp(campaign, brief),
        cautions=FOOD_CAUTIONS if what == "food" else PROPS_CAUTIONS,
        notice="Everything in this campaign is invented." if told["invented"] else "",
    )


def file_name(brief: Brief, what: str, shot: str | None, kind: str) -> str:
    """A plain name of letters, figures, spaces and hyphens: "OAT-27 props shot 1 v2.pdf"."""
    number = next((one["number"] for one in shots_of(brief) if one["id"] == shot), None)
    words = [
        brief.document["campaign"]["code"],
        TITLES[what].lower(),
        f"shot {number}" if number else "",
        f"v{brief.number}" if brief.number else "draft",
    ]
    plain = re.sub(r"[^A-Za-z0-9 -]+", "-", " ".join(word for word in words if word)).strip(" -")
    return f"{plain}.{kind}"


def _rows(found: Listed) -> Part:
    food = found.what == "food"
    cells = [(_food if food else _prop)(row, shot) for row, shot in found.rows]
    title = "To bring, due soonest first"
    return Part(title, _FOOD if food else _PROPS, tuple(cells), tick=True, empty="Nothing is listed for this yet.")


def _food(row: Row, shot: Row) -> tuple[Any, ...]:
    return (
        row["name"],
        shot["number"],
        row["hero"],
        row["stand_in"],
        row["backup"],
        row["supplier"],
        _date(row["needs_by"]),
        row["hold_minutes"],
        f"{row['recipe']} {row['recipe_version']}".strip(),
        as_sold(row),
        row["substitution"],
        cleared(row),
        words(row["allergens"]),
        row["prep"],
        row["handling"],
        row["notes"],
    )


def as_sold(row: Row) -> str:
    """The client's word on a recipe, as a phrase."""
    word = row["as_sold"]
    if word["status"] == "confirmed":
        on = date.fromisoformat(word["at"][:10])
        return f"confirmed by {word['by']}, {on.day} {on:%b %Y}"
    return "client asked, not confirmed" if word["status"] == "asked" else "client not asked yet"


def cleared(row: Row) -> str:
    """The legal reader's word on a substitution, as a phrase; empty where nothing is substituted."""
    # A version of an older release has no such word.
    word = row.get("cleared")
    if not row["substitution"]:
        return ""
    if not word or not word["by"]:
        return "not cleared by the client's legal reader"
    on = date.fromisoformat(word["at"][:10])
    return f"cleared by {word['by']}, {on.day} {on:%b %Y}"


def _prop(row: Row, shot: Row) -> tuple[Any, ...]:
    return (
        row["name"],
        shot["number"],
        row["quantity"],
        row["source"],
        row["basis"],
        _date(row["due"]),
        _date(row["returns_by"]),
        "breakable" if row["breakable"] else "",
        row.get("caution", ""),  # a version of an older release has none
        row["note"],
    )


def _totals(found: Listed) -> Part:
    food = found.what == "food"
    rows = [(_food_total if food else _prop_total)(total) for total in found.totals] if found.adds_up else []
    return Part("Together, across shots", _FOOD_TOTALS if food else _PROPS_TOTALS, tuple(rows), empty=ONCE)


def _food_total(total: Total) -> tuple[Any, ...]:
    counts = total.counts
    by_shot = ", ".join(
        f"shot {shot}: {held['hero']} + {held['stand_in']} + {held['backup']}" for shot, held in total.by_shot.items()
    )
    return (total.name, counts["hero"], counts["stand_in"], counts["backup"], total.source, total.variant, by_shot)


def _prop_total(total: Total) -> tuple[Any, ...]:
    by_shot = ", ".join(f"shot {shot}: {held['quantity']}" for shot, held in total.by_shot.items())
    return (total.name, total.counts["quantity"], total.source, total.variant, by_shot)


def _date(value: str | None) -> date | None:
    return date.fromisoformat(value) if value else None
