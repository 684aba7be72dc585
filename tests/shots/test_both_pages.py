"""Protects two people at one shot, food or prop: the second is shown both, and nothing typed or written is lost."""

import json
from html import unescape

import pytest
from django.urls import reverse

from portal.access import Role
from portal.brief.both import ChangedMeanwhile
from portal.models import LogEntry
from shots.food import actions as food_actions
from shots.light import actions as light_actions
from shots.models import HeroFood, Prop, Shot
from shots.props import actions as prop_actions
from shots.shot import actions as shot_actions
from tests.factories import MemberFactory, ShotFactory
from tests.filled import filled

HX = {"HX-Request": "true"}


@pytest.fixture
def ida(campaign):
    """Somebody else, who is quicker."""
    ida = MemberFactory(campaign=campaign, role=Role.PHOTOGRAPHER)
    ida.user.name = "Ida Moss"
    ida.user.save()
    return ida


def at(name, campaign, *keys):
    return reverse(f"shots:{name}", args=[campaign.key, *keys])


@pytest.fixture(params=[{}, HX], ids=["whole page", "in place"])
def headers(request):
    return request.param


def test_fields_that_only_one_of_us_changed_are_both_kept(sign_in, stylist, ida, campaign, food, headers):
    client, url = sign_in(stylist), at("food", campaign, food.key)
    form = filled(client.get(url, headers=headers))
    food_actions.edit_food(ida, food.key, supplier="Ida's bakery", notes="Hers")
    done = client.post(url, form | {"backup": "24"}, headers=headers)
    assert done.status_code in (200, 303)
    food.refresh_from_db()
    assert (food.supplier, food.notes, food.backup) == ("Ida's bakery", "Hers", 24)
    assert LogEntry.objects.get(act="food.edited", actor=stylist.key).payload["now"] == {"backup": 24}


def test_the_second_is_shown_both_and_nothing_is_written(sign_in, stylist, ida, campaign, food, headers):
    client, url = sign_in(stylist), at("food", campaign, food.key)
    form = filled(client.get(url, headers=headers))
    food_actions.edit_food(ida, food.key, supplier="Ida's bakery", notes="Hers & mine")
    refused = client.post(url, form | {"supplier": "My bakery", "backup": "24"}, headers=headers)
    assert refused.status_code == 422
    at_time = LogEntry.objects.get(act="food.edited").at
    says = f"Ida Moss (Photographer) wrote this at {at_time:%H:%M} while you were writing. Keep yours, or take theirs."
    assert says in unescape(refused.text)
    assert "Nothing you typed is lost." in refused.text
    shown = filled(refused)
    assert (shown["supplier"], shown["backup"], shown["notes"]) == (["My bakery"], ["24"], ["Hers & mine"])
    assert shown["keep-supplier"] == ["mine"]
    assert "Ida's bakery" in unescape(refused.text)
    food.refresh_from_db()
    assert (food.supplier, food.backup) == ("Ida's bakery", 6)
    assert not LogEntry.objects.filter(actor=stylist.key).exists()


@pytest.mark.parametrize(("keep", "stands"), [("mine", "My bakery"), ("theirs", "Ida's bakery")])
def test_a_second_sending_decides(sign_in, stylist, ida, campaign, food, headers, keep, stands):
    client, url = sign_in(stylist), at("food", campaign, food.key)
    form = filled(client.get(url, headers=headers))
    food_actions.edit_food(ida, food.key, supplier="Ida's bakery", notes="Hers")
    again = filled(client.post(url, form | {"supplier": "My bakery", "backup": "24"}, headers=headers))
    done = client.post(url, again | {"keep-supplier": keep}, headers=headers)
    assert done.status_code in (200, 303)
    food.refresh_from_db()
    assert (food.supplier, food.backup, food.notes) == (stands, 24, "Hers")


def test_a_third_change_is_asked_about_once_more(sign_in, stylist, ida, campaign, food):
    client, url = sign_in(stylist), at("food", campaign, food.key)
    form = filled(client.get(url))
    food_actions.edit_food(ida, food.key, supplier="Ida's bakery")
    again = filled(client.post(url, form | {"supplier": "My bakery"}))
    food_actions.edit_food(ida, food.key, supplier="Ida's second bakery")
    refused = client.post(url, again)
    assert refused.status_code == 422
    assert "second bakery" in refused.text
    assert client.post(url, filled(refused)).status_code == 303
    food.refresh_from_db()
    assert food.supplier == "My bakery"


def test_the_same_form_sent_twice_writes_once(sign_in, stylist, campaign, food):
    client, url = sign_in(stylist), at("food", campaign, food.key)
    form = filled(client.get(url)) | {"supplier": "My bakery"}
    assert [client.post(url, form).status_code for _ in range(2)] == [303, 303]
    assert LogEntry.objects.filter(act="food.edited").count() == 1


def test_ticks_take_part(sign_in, stylist, ida, campaign, food):
    client, url = sign_in(stylist), at("food", campaign, food.key)
    form = filled(client.get(url))
    food_actions.edit_food(ida, food.key, allergens=[])
    refused = client.post(url, form | {"allergens": ["milk"]})
    assert (refused.status_code, filled(refused)["allergens"]) == (422, ["milk"])
    taken = client.post(url, filled(refused) | {"keep-allergens": "theirs"})
    assert taken.status_code == 303
    food.refresh_from_db()
    assert food.allergens == []


def test_a_tick_of_theirs_comes_into_my_form(sign_in, stylist, ida, campaign, food):
    client, url = sign_in(stylist), at("food", campaign, food.key)
    form = filled(client.get(url))
    food_actions.edit_food(ida, food.key, allergens=[], supplier="Hers")
    shown = filled(client.post(url, form | {"supplier": "Mine"}))
    assert "allergens" not in shown
    assert shown["none_of_them"] == ["on"]


def test_what_belongs_together_is_asked_about_together(sign_in, stylist, ida, campaign, food):
    client, url = sign_in(stylist), at("food", campaign, food.key)
    form = filled(client.get(url))
    food_actions.edit_food(ida, food.key, recipe_version="2.0")
    refused = client.post(url, form | {"recipe": "Another recipe"})
    assert refused.status_code == 422
    assert "changed what belongs with it" in refused.text
    food.refresh_from_db()
    assert (food.recipe, food.recipe_version) == ("Invented recipe", "2.0")
    done = client.post(url, filled(refused) | {"keep-recipe_version": "theirs"})
    assert done.status_code == 303
    food.refresh_from_db()
    assert (food.recipe, food.recipe_version) == ("Another recipe", "2.0")


def test_dates_and_choices_of_a_prop(sign_in, stylist, ida, campaign, prop):
    client, url = sign_in(stylist), at("prop", campaign, prop.key)
    form = filled(client.get(url))
    prop_actions.edit_prop(ida, prop.key, basis="hire", returns_by=None)
    refused = client.post(url, form | {"basis": "own", "quantity": "3"})
    assert refused.status_code == 422
    assert "hire" in refused.text.partition("It now stands so:")[2].partition("</fieldset>")[0]
    assert client.post(url, filled(refused)).status_code == 303
    prop.refresh_from_db()
    assert (prop.basis, prop.quantity) == ("own", 3)


@pytest.mark.parametrize(
    ("name", "act", "field"),
    [
        ("edit", shot_actions.edit_shot, "story"),
        ("light", light_actions.edit_light, "mood"),
    ],
)
def test_panels_of_a_shot(sign_in, producer, ida, campaign, shot, headers, name, act, field):
    client, url = sign_in(producer), at(name, campaign, shot.key)
    form = filled(client.get(url, headers=headers))
    act(ida, shot.key, **{field: "Hers,\non two lines"})
    refused = client.post(url, form | {field: "Mine,\r\non two lines"}, headers=headers)
    assert refused.status_code == 422
    assert "Hers,<br>on two lines" in refused.text
    assert filled(refused)[field] == ["Mine,\r\non two lines"]
    assert client.post(url, filled(refused), headers=headers).status_code in (200, 303)
    row = shot if name == "edit" else shot.light
    row.refresh_from_db()
    assert getattr(row, field).replace("\r", "") == "Mine,\non two lines"


def test_line_ends_alone_are_no_change(sign_in, producer, campaign, shot):
    shot_actions.edit_shot(producer, shot.key, story="One\ntwo")
    client, url = sign_in(producer), at("edit", campaign, shot.key)
    client.post(url, filled(client.get(url)))
    assert LogEntry.objects.filter(act="shot.edited").count() == 1


def test_a_form_whose_memory_is_spoilt_asks_about_all_that_differs(sign_in, stylist, campaign, food):
    url = at("food", campaign, food.key)
    client = sign_in(stylist)
    form = filled(client.get(url))
    for spoilt in ("", "{", "[1]", "nonsense"):
        assert client.post(url, form | {"as_read": spoilt, "supplier": "Mine"}).status_code == 422
    food.refresh_from_db()
    assert food.supplier == "Invented kitchen"


def test_a_refused_form_still_knows_what_was_read(sign_in, stylist, ida, campaign, food):
    client, url = sign_in(stylist), at("food", campaign, food.key)
    form = filled(client.get(url))
    food_actions.edit_food(ida, food.key, supplier="Hers")
    wrong = client.post(url, form | {"supplier": "Mine", "hero": "two"})
    assert json.loads(filled(wrong)["as_read"][0])["supplier"] == "Invented kitchen"
    assert client.post(url, filled(wrong) | {"hero": "2"}).status_code == 422


def test_the_act_tells_what_was_what_is_and_who(producer, ida, food):
    read = {"supplier": food.supplier}
    food_actions.edit_food(ida, food.key, supplier="Hers")
    with pytest.raises(ChangedMeanwhile) as refused:
        food_actions.edit_food(producer, food.key, read=read, supplier="Mine")
    theirs = refused.value.theirs["supplier"]
    assert (theirs.was, theirs.now, theirs.who) == ("Invented kitchen", "Hers", "Ida Moss (Photographer)")
    food_actions.edit_food(producer, food.key, supplier="A script's")
    food.refresh_from_db()
    assert food.supplier == "A script's"


@pytest.mark.parametrize(("name", "kept"), [("remove-food", HeroFood), ("remove-prop", Prop)])
def test_what_somebody_just_edited_is_asked_about_again(
    sign_in, stylist, ida, campaign, food, prop, headers, name, kept
):
    row = food if name == "remove-food" else prop
    client, url = sign_in(stylist), at(name, campaign, row.key)
    question = filled(client.get(url, headers=headers))
    if row is food:
        food_actions.edit_food(ida, food.key, supplier="Ida's bakery")
    else:
        prop_actions.edit_prop(ida, prop.key, source="Ida's shelf")
    asked = client.post(url, question, headers=headers)
    assert asked.status_code == 422
    assert "Ida Moss" in asked.text
    assert "Nothing is removed yet." in asked.text
    assert kept.objects.count() == 1
    assert client.post(url, filled(asked), headers=headers).status_code in (200, 303)
    assert not kept.objects.exists()


def test_removing_a_shot_asks_again_for_what_goes_with_it(sign_in, producer, ida, campaign, shot, food):
    client, url = sign_in(producer), at("remove", campaign, shot.key)
    question = filled(client.get(url))
    food_actions.add_food(ida, shot.key, name="Syrup, 30 ml")
    asked = client.post(url, question)
    assert (asked.status_code, Shot.objects.count()) == (422, 1)
    assert "Syrup, 30 ml" in asked.text
    assert client.post(url, filled(asked)).status_code == 303
    assert not Shot.objects.exists()


def test_what_happens_elsewhere_or_by_myself_does_not_hold_up_a_removal(sign_in, stylist, ida, campaign, food, prop):
    client, url = sign_in(stylist), at("remove-food", campaign, food.key)
    question = filled(client.get(url))
    prop_actions.edit_prop(ida, prop.key, source="Elsewhere")
    food_actions.edit_food(stylist, food.key, supplier="My own")
    assert client.post(url, question).status_code == 303


@pytest.mark.parametrize("name", ["remove-food", "remove-prop", "remove"])
def test_a_second_click_on_remove_is_answered_as_the_first(sign_in, producer, campaign, shot, food, prop, name):
    row = {"remove-food": food, "remove-prop": prop, "remove": shot}[name]
    client, url = sign_in(producer), at(name, campaign, row.key)
    question = filled(client.get(url))
    first, second = (client.post(url, question) for _ in range(2))
    assert (second.status_code, second["Location"].partition("#")[0]) == (303, first["Location"].partition("#")[0])
    assert LogEntry.objects.filter(act__endswith=".removed").count() == 1


@pytest.mark.parametrize(
    ("name", "typed", "made"),
    [
        ("add", {"title": "Porridge"}, Shot),
        ("add-food", {"name": "Stack", "hero": "2", "stand_in": "1", "backup": "4"}, HeroFood),
        ("add-prop", {"name": "Jug", "quantity": "2", "basis": "hire"}, Prop),
    ],
)
def test_a_form_sent_twice_makes_one_thing(sign_in, producer, campaign, shot, name, typed, made):
    client, url = sign_in(producer), at(name, campaign, *([] if name == "add" else [shot.key]))
    before = made.objects.count()
    form = filled(client.get(url)) | typed
    first, second = (client.post(url, form) for _ in range(2))
    assert (second.status_code, second["Location"]) == (303, first["Location"])
    assert made.objects.count() == before + 1
    # A form of its own makes a thing of its own, and so does the same form with other words.
    client.post(url, filled(client.get(url)) | typed)
    client.post(url, form | {"title": "Another", "name": "Another"})
    assert made.objects.count() == before + 3


def test_a_shot_is_moved_once_by_one_click(sign_in, producer, campaign):
    moved = [ShotFactory(campaign=campaign, number=number) for number in (1, 2, 3)][2]
    client, page = sign_in(producer), at("shots", campaign)
    form = filled(client.get(page), f"{moved.key}/move/") | {"to": "up"}
    assert [client.post(at("move", campaign, moved.key), form).status_code for _ in range(2)] == [303, 303]
    moved.refresh_from_db()
    assert moved.number == 2
    client.post(at("move", campaign, moved.key), filled(client.get(page), f"{moved.key}/move/") | {"to": "up"})
    moved.refresh_from_db()
    assert moved.number == 1
