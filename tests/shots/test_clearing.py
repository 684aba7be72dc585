"""Protects the clearing of a substitution: the client's word, its legal reader by name, void when it changes."""

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.urls import reverse

from portal.access import Role
from portal.brief.telling import tell
from portal.models import LogEntry
from shots.food import actions, section
from shots.food.models import HeroFood
from shots.food.readiness import ready
from shots.lists.sheets import cleared
from shots.shot import section as shots
from tests.factories import HeroFoodFactory, member_of

READ = {"recipe": "Invented recipe", "recipe_version": "1.0", "substitution": "Shaving foam for cream."}
NAME = "Aud Lindqvist"
WORDS = {"food": section.TELLS, "shots": shots.TELLS}


@pytest.fixture
def food(shot):
    return HeroFoodFactory(shot=shot, substitution=READ["substitution"])


def clear(member, food, **other):
    return actions.clear_substitution(member, food.key, **{"legal_reader": NAME, **READ, **other})


def kinds(campaign):
    return {one.kind: one for one in ready(campaign)}


def test_a_substitution_that_is_not_cleared_must_be_fixed_by_the_client_where_its_word_is_given(campaign, food):
    found = kinds(campaign)["substitution-open"]
    assert (found.level, found.roles, found.waivable) == ("must-fix", (Role.CLIENT,), True)
    assert "legal reader has not cleared the substitution" in found.says
    assert found.url == reverse("shots:shot", args=[campaign.key, food.shot.key]) + "#food"


def test_clearing_keeps_name_time_and_whose_word_it_was_and_nothing_is_found_any_more(campaign, signing_client, food):
    clear(signing_client, food)
    food.refresh_from_db()
    assert (food.cleared_by, food.cleared_by_member) == (NAME, signing_client)
    assert "substitution-open" not in kinds(campaign)
    entry = LogEntry.objects.get(act="recipe.cleared")
    assert entry.payload == {"name": food.name, **READ, "legal_reader": NAME}
    assert section.as_data(food)["cleared"] == {
        "by": NAME,
        "told_by": str(signing_client.user),
        "at": food.cleared_at.isoformat(timespec="seconds"),
    }


def test_without_a_substitution_there_is_nothing_to_clear(campaign, signing_client, shot):
    plain = HeroFoodFactory(shot=shot)
    assert "substitution-open" not in kinds(campaign)
    assert section.as_data(plain)["cleared"] is None
    with pytest.raises(ValidationError, match="nothing to clear"):
        clear(signing_client, plain, substitution="")


@pytest.mark.parametrize(("role", "may_sign"), [
    (Role.CLIENT, False), (Role.AGENCY, True), (Role.PHOTOGRAPHER, False), (Role.STYLIST, False),
])  # fmt: skip
def test_clearing_is_for_a_client_who_may_sign(food, role, may_sign):
    with pytest.raises(PermissionDenied):
        clear(member_of(food, role, may_sign=may_sign), food)
    assert not LogEntry.objects.exists()


@pytest.mark.parametrize("changed", [{"substitution": "Glue."}, {"recipe": "Other"}, {"recipe_version": "2"}])
def test_what_changed_while_it_was_read_is_not_cleared(signing_client, stylist, food, changed):
    actions.edit_food(stylist, food.key, **changed)
    with pytest.raises(ValidationError, match="changed while you were reading"):
        clear(signing_client, food)
    assert HeroFood.objects.get().cleared_by == ""


@pytest.mark.parametrize("name", ["", "   ", "x" * 121])
def test_a_name_is_needed_that_can_be_kept(signing_client, food, name):
    with pytest.raises(ValidationError):
        clear(signing_client, food, legal_reader=name)
    assert HeroFood.objects.get().cleared_by == ""


def test_twice_is_one_word_and_another_name_takes_its_place(signing_client, food):
    clear(signing_client, food)
    clear(signing_client, food)
    assert LogEntry.objects.filter(act="recipe.cleared").count() == 1
    clear(signing_client, food, legal_reader="Another Reader")
    assert HeroFood.objects.get().cleared_by == "Another Reader"


@pytest.mark.parametrize(("changed", "stands"), [
    ({"substitution": "Glue for milk."}, False), ({"recipe_version": "1.1"}, False), ({"supplier": "Other"}, True),
])  # fmt: skip
def test_it_is_void_when_what_it_was_for_changes(campaign, signing_client, stylist, food, changed, stands):
    clear(signing_client, food)
    actions.edit_food(stylist, food.key, **changed)
    food.refresh_from_db()
    assert (bool(food.cleared_by), bool(food.cleared_at), bool(food.cleared_by_member)) == (stands, stands, stands)
    assert ("substitution-open" in kinds(campaign)) is not stands
    entry = LogEntry.objects.filter(act="food.edited").last()
    assert entry.payload.get("clearing_void", False) is not stands


def test_the_client_clears_it_on_the_shots_page_and_others_read_it(sign_in, signing_client, stylist, food):
    page = reverse("shots:shot", args=[food.shot.campaign.key, food.shot.key])
    way = reverse("shots:clear-substitution", args=[food.shot.campaign.key, food.key])
    assert way not in sign_in(stylist).get(page).text
    assert "is not cleared by the client" in sign_in(stylist).get(page).text
    browser = sign_in(signing_client)
    assert way in browser.get(page).text
    assert browser.post(way, {**READ, "legal_reader": NAME}).status_code == 303
    assert f"cleared by {NAME}" in sign_in(stylist).get(page).text
    assert sign_in(stylist).post(way, {**READ, "legal_reader": "Me"}).status_code == 403


def test_the_diff_and_the_list_say_who_cleared_it(campaign, signing_client, food):
    old = {"shots": [{"id": food.shot.key, "number": 1}], "food": section.assemble(campaign)}
    clear(signing_client, food)
    new = {"shots": old["shots"], "food": section.assemble(campaign)}
    told = str(tell(old, new, WORDS))
    assert "substitution cleared" in told
    assert f"by {NAME}" in told
    assert cleared(old["food"][0]) == "not cleared by the client's legal reader"
    assert cleared(new["food"][0]).startswith(f"cleared by {NAME}, ")
    older_release = {key: value for key, value in new["food"][0].items() if key != "cleared"}
    assert cleared(older_release) == "not cleared by the client's legal reader"
