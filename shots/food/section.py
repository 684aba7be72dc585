"""The section "food": the hero food of each shot, how much of it, and whether it is what is sold."""

from typing import Any

from portal.brief import fields, sections
from portal.brief.fields import Field, Parent, Row, Thing, Words
from portal.brief.sections import Section
from portal.models import Campaign
from portal.sealing import words
from shots.food import allergens, queries, readiness
from shots.food.actions import FIELDS
from shots.food.models import HeroFood
from shots.rows import plainly


def _said_as_sold(word: Any, _: Row) -> str:
    """The client's word on a recipe, as it stands in a document."""
    status = HeroFood.AsSold(word["status"]).label if word["status"] in HeroFood.AsSold.values else word["status"]
    return f"{status}, by {word['by']}, {fields.said_day(word['at'])}" if word["by"] else str(status)


def _said_cleared(word: Any, _: Row) -> str:
    """The legal reader's word on a substitution, as it stands in a document; null where nothing is substituted."""
    if word is None:
        return "nothing to clear"
    return f"by {word['by']}, {fields.said_day(word['at'])}" if word["by"] else "not yet"


TELLS = Words(
    {
        "": Thing(
            "food",
            lambda row, whole: f"{row['name']}, {whole.shot(row['shot'])}",
            {
                "shot": Field("shot"),
                "name": fields.text("name"),
                "hero": fields.number("heroes"),
                "stand_in": fields.number("stand-ins"),
                "backup": fields.number("backups"),
                "supplier": fields.text("supplier"),
                "recipe": fields.text("recipe"),
                "recipe_version": fields.text("recipe version"),
                "as_sold": Field("as sold", _said_as_sold, {"type": "object"}),
                "substitution": fields.text("substitution"),
                "cleared": Field("substitution cleared", _said_cleared, {"type": ["object", "null"]}),
                "hold_minutes": fields.number("holds", "minutes"),
                "needs_by": fields.day("needed by"),
                "prep": fields.text("preparation"),
                "handling": fields.text("handling"),
                "allergens": Field(
                    "allergens",
                    lambda codes, _: allergens.words(codes),
                    {"type": ["array", "null"], "items": {"type": "string"}},
                ),
                "notes": fields.text("notes"),
            },
            parents=lambda row: [Parent("shots", "", row["shot"])],
            about=("hero", "stand_in", "backup", "supplier"),
        )
    }
)


def assemble(campaign: Campaign) -> list[dict[str, Any]]:
    """Hero food in shot order; `shot` is the shot's id in the section "shots"."""
    return [as_data(food) for food in queries.read(campaign)]


def as_data(food: HeroFood) -> dict[str, Any]:
    """One food as it stands in the document; lists and pages show this."""
    told = plainly(food, FIELDS)
    return {"id": food.key, "shot": food.shot.key, **told, "as_sold": _as_sold(food), "cleared": _cleared(food)}


def _as_sold(food: HeroFood) -> dict[str, Any]:
    word: dict[str, Any] = {"status": food.as_sold, "by": "", "at": None}
    if food.confirmed_by and food.confirmed_at:
        word |= {"by": str(food.confirmed_by.user), "at": food.confirmed_at.isoformat(timespec="seconds")}
    return word


def _cleared(food: HeroFood) -> dict[str, Any] | None:
    """Who cleared the substitution, whose word that was in the portal, and when; None where nothing is substituted."""
    if not food.substitution:
        return None
    if not (food.cleared_by and food.cleared_by_member and food.cleared_at):
        return {"by": "", "told_by": "", "at": None}
    at = food.cleared_at.isoformat(timespec="seconds")
    return {"by": food.cleared_by, "told_by": str(food.cleared_by_member.user), "at": at}


def register() -> None:
    words.register(
        {
            "recipe.asked": "{who} asked the client whether {recipe} {recipe_version} is as sold.",
            "recipe.cleared": "{who} told that {legal_reader} has cleared the substitution for {name}: {substitution}",
            "recipe.confirmed": "{who} confirmed {recipe} {recipe_version} as sold, for {name}.",
        }
    )
    template = "shots/sections/food.html"
    kinds = readiness.KINDS
    sections.register(Section("food", "Hero food", 40, assemble, template, readiness.ready, kinds=kinds, words=TELLS))
