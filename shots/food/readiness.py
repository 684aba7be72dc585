"""What readiness finds in hero food."""

from collections.abc import Iterator
from dataclasses import replace

from django.urls import reverse

from portal import access
from portal.access import May, Role
from portal.brief.finding import Finding
from portal.models import Campaign
from portal.site.addresses import of_each
from portal.site.sentences import sentence
from shots import cautions
from shots.food import queries
from shots.food.allergens import words
from shots.food.models import HeroFood
from shots.shot.queries import read

# Words for findings of a kind, as in Section.kinds.
KINDS = {
    "no-food": ("shot", "has no hero food", "have no hero food"),
    "food-count": ("food", "counts no hero", "count no hero", "foods"),
    "recipe-unnamed": ("food", "names no recipe and version", "name no recipe and version", "foods"),
    "recipe-unconfirmed": ("recipe", "waits for the client's word", "wait for the client's word"),
    "supplier": ("food", "has no supplier", "have no supplier", "foods"),
    "allergens": ("food", "does not tell its allergens", "do not tell their allergens", "foods"),
    "allergens-unhandled": ("food", "has allergens and no caution", "have allergens and no caution", "foods"),
    "substitution-open": (
        "substitution",
        "is not cleared by the client's legal reader",
        "are not cleared by the client's legal reader",
    ),
    **cautions.KINDS,
}
_STYLISTS = tuple(access.roles_that_may(May.EDIT_FOOD))
_BUYERS = tuple(access.roles_that_may(May.CONFIRM_RECIPE))


def by_shot(campaign: Campaign) -> Iterator[tuple[str, Finding]]:
    """Findings, each with its shot's key: every shot needs hero food, and every food what `_of` asks for."""
    rows = queries.read(campaign)
    page, of_shot = of_each("shots:food", campaign.key), of_each("shots:shot", campaign.key)
    with_food = {food.shot_id for food in rows}
    for shot in read(campaign):
        if shot.pk not in with_food:
            url = reverse("shots:add-food", args=[campaign.key, shot.key])
            says, what = f"Shot {shot.number} has no hero food yet.", f"Hero food, shot {shot.number}"
            found = Finding("must-fix", says, what, "no hero food", _STYLISTS, url, "no-food", shot=shot.number)
            yield shot.key, replace(found, seen=f"{of_shot(shot.key)}#food")
    for food in rows:
        for finding in _of(food, page(food.key), of_shot(food.shot.key)):
            yield food.shot.key, replace(finding, seen=f"{of_shot(food.shot.key)}#food-{food.key}")


def ready(campaign: Campaign) -> list[Finding]:
    """All that is to be said of the campaign's hero food."""
    return [finding for _, finding in by_shot(campaign)]


def _of(food: HeroFood, url: str, shot: str) -> Iterator[Finding]:
    """What is to be said of a food, of which `url` and `shot` are its own page and its shot's."""
    named = f"{food.name} in shot {food.shot.number}"
    if food.hero == 0:
        yield _must(food, f"{named} counts no hero: how many must be perfect?", "no hero", _STYLISTS, url, "food-count")
    if not (food.recipe and food.recipe_version):
        yield _unnamed(food, named, url)
    elif food.as_sold != HeroFood.AsSold.CONFIRMED:
        # The client cannot open the form of the food: its word is given beside the shot.
        yield _unconfirmed(food, named, f"{shot}#food")
    if not food.supplier:
        yield _look(food, f"{named} has no supplier.", "no supplier", url, "supplier")
    if food.substitution and not food.cleared_by:
        yield _uncleared(food, named, f"{shot}#food")
    yield from _dangers(food, named, url)


def _uncleared(food: HeroFood, named: str, url: str) -> Finding:
    says = f"The client's legal reader has not cleared the substitution for {named}: {food.substitution}"
    return _must(food, sentence(says), "substitution to be cleared", _BUYERS, url, "substitution-open")


def _dangers(food: HeroFood, named: str, url: str) -> Iterator[Finding]:
    """What could hurt somebody. Allergens are told and handled, or the brief is not signed: that is never waived."""
    what = f"{food.name}, shot {food.shot.number}"
    if food.allergens is None:
        says = f"The allergens of {named} are not stated; everybody on set must be told."
        wants = "allergens not stated"
        yield Finding("must-fix", says, what, wants, _STYLISTS, url, "allergens", waivable=False)
    elif food.allergens and not food.handling.strip():
        says = (
            f"{named} has {words(food.allergens)}, and its handling says nothing: who may touch it, and what is kept "
            "apart from it? Local food law decides."
        )
        wants = "allergens without a caution"
        yield Finding("must-fix", says, what, wants, _STYLISTS, url, "allergens-unhandled", waivable=False)
    texts = (food.name, food.recipe, food.substitution, food.prep, food.notes)
    yield from cautions.missing(f"{named} names", texts, food.handling, what, _STYLISTS, url)


def _unnamed(food: HeroFood, named: str, url: str) -> Finding:
    missing = "recipe version" if food.recipe else "recipe" if food.recipe_version else "recipe and no version"
    wants = missing.replace("and no", "and")
    return _must(food, f"{named} names no {missing}.", f"no {wants}", _STYLISTS, url, "recipe-unnamed")


def _unconfirmed(food: HeroFood, named: str, url: str) -> Finding:
    """A substitution is confirmed together with its recipe."""
    recipe = f"{food.recipe} {food.recipe_version}" + (" with its substitution" if food.substitution else "")
    if food.as_sold == HeroFood.AsSold.ASKED:
        says = f"The client has not confirmed {recipe}, for {named}, as sold."
        return _must(food, says, "client to confirm", _BUYERS, url, "recipe-unconfirmed")
    says = f"The client has not been asked whether {recipe}, for {named}, is as sold."
    return _must(food, says, "client to be asked", _STYLISTS, url, "recipe-unconfirmed")


def _must(food: HeroFood, says: str, wants: str, roles: tuple[Role, ...], url: str, kind: str) -> Finding:
    number = food.shot.number
    return Finding("must-fix", says, f"{food.name}, shot {number}", wants, roles, url, kind, shot=number)


def _look(food: HeroFood, says: str, wants: str, url: str, kind: str) -> Finding:
    return Finding("worth-a-look", says, f"{food.name}, shot {food.shot.number}", wants, _STYLISTS, url, kind)
