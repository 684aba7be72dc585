"""Pages of hero food: rows are added, edited and removed where they stand; the client gives its word."""

from django.http import HttpResponse

from portal.access import May
from portal.pages import CampaignRequest, page
from shots import tables
from shots.food import actions
from shots.food.tables import TABLE


@page(May.EDIT_FOOD, "GET", "HEAD", "POST")
def add_food(request: CampaignRequest, shot: str) -> HttpResponse:
    return tables.add(request, TABLE, shot)


@page(May.EDIT_FOOD, "GET", "HEAD", "POST")
def food(request: CampaignRequest, food: str) -> HttpResponse:
    return tables.edit(request, TABLE, food)


@page(May.EDIT_FOOD, "GET", "HEAD", "POST")
def remove_food(request: CampaignRequest, food: str) -> HttpResponse:
    return tables.remove(request, TABLE, food)


@page(May.EDIT_FOOD, "POST")
def ask_recipe(request: CampaignRequest, food: str) -> HttpResponse:
    """The client is asked whether the recipe is the one sold."""
    return tables.act(request, TABLE, food, actions.ask_recipe)


@page(May.CONFIRM_RECIPE, "POST")
def confirm_recipe(request: CampaignRequest, food: str) -> HttpResponse:
    """The client's word, for the recipe, version and substitution that the page showed."""
    return tables.act(request, TABLE, food, actions.confirm_recipe, **_read(request))


@page(May.CONFIRM_RECIPE, "POST")
def clear_substitution(request: CampaignRequest, food: str) -> HttpResponse:
    """The client's legal reader has cleared the substitution that the page showed."""
    name = request.POST.get("legal_reader", "")
    return tables.act(request, TABLE, food, actions.clear_substitution, legal_reader=name, **_read(request))


def _read(request: CampaignRequest) -> dict[str, str]:
    """What the client read, as the form carries it."""
    read = {name: request.POST.get(name, "") for name in ("recipe", "recipe_version", "substitution")}
    # Browsers send line ends of a hidden field as CR LF.
    read["substitution"] = read["substitution"].replace("\r\n", "\n")
    return read
