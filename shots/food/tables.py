"""Hero food as the tables of pages show it."""

from typing import Any

from portal.access import May
from portal.pages import CampaignRequest
from shots.food import actions, queries
from shots.food.allergens import words
from shots.food.forms import FoodForm
from shots.food.models import HeroFood
from shots.food.section import as_data
from shots.rows import plainly
from shots.tables import Table, editable


def rights(request: CampaignRequest, shot: str) -> dict[str, Any]:
    """What a row of this shot (its key) offers to this member: to edit it, to give the client's word on it."""
    return {
        "editable": editable(request, May.EDIT_FOOD, "food", shot),
        "confirmable": editable(request, May.CONFIRM_RECIPE, "food", shot),
    }


def line_of_data(data: dict[str, Any], shot: dict[str, Any]) -> dict[str, Any]:
    """A row of the document with its shot, and its allergens in words."""
    return {"data": data, "shot": shot, "allergens": words(data["allergens"])}


def line(food: HeroFood) -> dict[str, Any]:
    """A stored row in the same form."""
    shot = food.shot
    return line_of_data(as_data(food), {"id": shot.key, "number": shot.number, "title": shot.title})


TABLE = Table(
    "food",
    "hero food",
    May.EDIT_FOOD,
    FoodForm,
    queries.food,
    line,
    line_of_data,
    rights,
    lambda row: plainly(row, actions.FIELDS),
    actions.add_food,
    actions.edit_food,
    actions.remove_food,
)
