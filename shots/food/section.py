"""The section "food": the hero food of each shot, how much of it, and whether it is what is sold."""

from typing import Any

from portal.brief import sections
from portal.brief.sections import Section
from portal.models import Campaign
from portal.sealing import words
from shots.food import queries, readiness
from shots.food.actions import FIELDS
from shots.food.models import HeroFood
from shots.rows import plainly


def assemble(campaign: Campaign) -> list[dict[str, Any]]:
    """Hero food in shot order; `shot` is the shot's id in the section "shots"."""
    return [as_data(food) for food in queries.read(campaign)]


def as_data(food: HeroFood) -> dict[str, Any]:
    """One food as it stands in the document; lists and pages show this."""
    return {"id": food.key, "shot": food.shot.key, **plainly(food, FIELDS), "as_sold": _as_sold(food)}


def _as_sold(food: HeroFood) -> dict[str, Any]:
    word: dict[str, Any] = {"status": food.as_sold, "by": "", "at": None}
    if food.confirmed_by and food.confirmed_at:
        word |= {"by": str(food.confirmed_by.user), "at": food.confirmed_at.isoformat(timespec="seconds")}
    return word


def register() -> None:
    words.register(
        {
            "recipe.asked": "{who} asked the client whether {recipe} {recipe_version} is as sold.",
            "recipe.confirmed": "{who} confirmed {recipe} {recipe_version} as sold, for {name}.",
        }
    )
    template = "shots/sections/food.html"
    sections.register(Section("food", "Hero food", 40, assemble, template, readiness.ready, kinds=readiness.KINDS))
