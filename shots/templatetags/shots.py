"""How the room's data is read in templates."""

from datetime import date
from typing import Any

from django import template

from portal.brief.documents import Brief
from shots.food.allergens import words

register = template.Library()


@register.filter
def by_shot(brief: Brief, rows: list[dict[str, Any]]) -> list[tuple[dict[str, Any], list[dict[str, Any]]]]:
    """Rows of a section under the shot of the document that they belong to, in the order of the shots."""
    held: dict[str, list[dict[str, Any]]] = {}
    for row in rows:
        held.setdefault(row.get("shot", row["id"]), []).append(row)
    return [(shot, held.get(shot["id"], [])) for shot in brief.document.get("shots", [])]


@register.filter
def allergens(codes: list[str] | None) -> str:
    """Allergens in words."""
    return words(codes)


@register.filter
def day(value: str | None) -> str:
    """A date of the document (ISO 8601) as people read it: "20 Feb 2027"; empty when there is none."""
    if not value:
        return ""
    found = date.fromisoformat(value[:10])
    # Unbreakable: a date is read in one go.
    return f"{found.day} {found:%b} {found:%Y}".replace(" ", "\u00a0")
