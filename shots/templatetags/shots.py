"""How the room's data is read in templates."""

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
