"""Protects hero food and the client's word on recipes: who gives it, what it stands for, when it falls."""

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from portal.access import Role
from portal.models import LogEntry
from shots.food import actions
from shots.food.models import HeroFood
from tests.factories import HeroFoodFactory, ShotFactory, member_of

READ = {"recipe": "Invented recipe", "recipe_version": "1.0"}


def test_add_food_keeps_allergens_in_the_order_of_the_annex(stylist, shot):
    food = actions.add_food(stylist, shot.key, name="Pancake stack", allergens=["milk", "eggs", "gluten"])
    food.refresh_from_db()
    assert (food.shot, food.allergens) == (shot, ["gluten", "eggs", "milk"])
    assert LogEntry.objects.get().act == "food.added"


@pytest.mark.parametrize(
    ("field", "value"),
    [("hero", -1), ("hero", 10_000), ("hold_minutes", -5), ("allergens", ["honey"]), ("name", " ")],
)
def test_add_food_with_what_cannot_be_is_refused_beside_the_field(stylist, shot, field, value):
    with pytest.raises(ValidationError) as refused:
        actions.add_food(stylist, shot.key, **({"name": "Stack"} | {field: value}))
    assert list(refused.value.message_dict) == [field]
    assert not HeroFood.objects.exists()


@pytest.mark.parametrize("role", [Role.CLIENT, Role.AGENCY, Role.PROPS, Role.ASSISTANT])
def test_edit_food_by_others_leaves_no_trace(food, role):
    with pytest.raises(PermissionDenied, match="may not change the hero food"):
        actions.edit_food(member_of(food, role), food.key, hero=9)
    food.refresh_from_db()
    assert food.hero == 2
    assert not LogEntry.objects.exists()


def test_food_of_another_campaign_is_not_there(stylist):
    other = HeroFoodFactory()
    for act in (actions.remove_food, actions.ask_recipe):
        with pytest.raises(HeroFood.DoesNotExist):
            act(stylist, other.key)
    with pytest.raises(HeroFood.DoesNotExist):
        actions.edit_food(stylist, other.key, hero=9)
    assert HeroFood.objects.get().hero == 2


def test_add_food_to_another_campaigns_shot_is_not_there(stylist):
    other = ShotFactory()
    with pytest.raises(type(other).DoesNotExist):
        actions.add_food(stylist, other.key, name="Mine")


def test_confirm_recipe_says_who_and_when(signing_client, food):
    actions.confirm_recipe(signing_client, food.key, **READ)
    food.refresh_from_db()
    assert (food.as_sold, food.confirmed_by) == (HeroFood.AsSold.CONFIRMED, signing_client)
    assert food.confirmed_at is not None
    assert LogEntry.objects.get().act == "recipe.confirmed"


@pytest.mark.parametrize(
    ("role", "may_sign"), [(Role.CLIENT, False), (Role.PRODUCER, True), (Role.STYLIST, True), (Role.AGENCY, True)]
)
def test_confirm_recipe_is_for_a_client_who_may_sign(food, role, may_sign):
    with pytest.raises(PermissionDenied, match="may not confirm a recipe as sold"):
        actions.confirm_recipe(member_of(food, role, may_sign=may_sign), food.key, **READ)
    food.refresh_from_db()
    assert food.as_sold == HeroFood.AsSold.NOT_ASKED


@pytest.mark.parametrize("changed", [{"recipe_version": "1.1"}, {"recipe": "Another"}, {"substitution": "Oat milk"}])
def test_confirm_recipe_that_changed_while_it_was_read_is_refused(signing_client, stylist, food, changed):
    actions.edit_food(stylist, food.key, **changed)
    with pytest.raises(ValidationError, match="was changed while you were reading it"):
        actions.confirm_recipe(signing_client, food.key, **READ)
    food.refresh_from_db()
    assert food.as_sold == HeroFood.AsSold.NOT_ASKED


def test_confirm_recipe_without_a_version_is_refused(signing_client, shot):
    food = HeroFoodFactory(shot=shot, recipe_version="")
    with pytest.raises(ValidationError, match="Name the recipe and its version first"):
        actions.confirm_recipe(signing_client, food.key, recipe=food.recipe, recipe_version="")


@pytest.mark.parametrize(
    "changed", [{"recipe_version": "1.1"}, {"recipe": "Another"}, {"substitution": "Oat milk"}, {"name": "Another"}]
)
def test_a_confirmation_falls_when_what_it_stood_for_changes(signing_client, stylist, food, changed):
    actions.confirm_recipe(signing_client, food.key, **READ)
    actions.edit_food(stylist, food.key, **changed)
    food.refresh_from_db()
    assert (food.as_sold, food.confirmed_by, food.confirmed_at) == (HeroFood.AsSold.NOT_ASKED, None, None)
    assert LogEntry.objects.last().payload["confirmation_void"] is True


def test_a_confirmation_stands_when_counts_change(signing_client, stylist, food):
    actions.confirm_recipe(signing_client, food.key, **READ)
    actions.edit_food(stylist, food.key, hero=5, supplier="Market")
    food.refresh_from_db()
    assert (food.as_sold, food.hero) == (HeroFood.AsSold.CONFIRMED, 5)


def test_ask_recipe_does_not_undo_a_confirmation(signing_client, stylist, food):
    actions.confirm_recipe(signing_client, food.key, **READ)
    actions.ask_recipe(stylist, food.key)
    food.refresh_from_db()
    assert food.as_sold == HeroFood.AsSold.CONFIRMED


def test_remove_food_logs_what_it_was(stylist, food):
    actions.remove_food(stylist, food.key)
    assert not HeroFood.objects.exists()
    assert LogEntry.objects.get().payload["was"]["name"] == food.name
