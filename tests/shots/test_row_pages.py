"""Protects the tables of food and props: rows added, edited and removed in place or on a page, the client's word."""

import pytest
from django.urls import reverse

from shots.models import HeroFood, Prop

HX = {"HX-Request": "true"}
FOOD = {"name": "Pancake stack", "hero": "2", "stand_in": "1", "backup": "24"}
PROP = {"name": "Syrup jug", "quantity": "2", "basis": "hire"}


def at(name, campaign, *keys):
    return reverse(f"shots:{name}", args=[campaign.key, *keys])


@pytest.mark.parametrize(("name", "typed"), [("add-food", FOOD), ("add-prop", PROP)])
def test_a_row_is_added_in_place_and_the_way_to_the_next_stays(sign_in, stylist, campaign, shot, name, typed):
    done = sign_in(stylist).post(at(name, campaign, shot.key), typed, headers=HX)
    assert done.headers["HX-Trigger"] == "brief-changed"
    assert done.text.count("<tr") == 2
    assert typed["name"] in done.text
    assert f"/{name.replace('add-', '').replace('prop', 'props')}/add/" in done.text


@pytest.mark.parametrize(("name", "typed", "at_id"), [("add-food", FOOD, "food"), ("add-prop", PROP, "props")])
def test_a_row_is_added_without_javascript(sign_in, stylist, campaign, shot, name, typed, at_id):
    done = sign_in(stylist).post(at(name, campaign, shot.key), typed)
    key = (HeroFood if at_id == "food" else Prop).objects.get().key
    assert (done.status_code, done["Location"]) == (303, at("shot", campaign, shot.key) + f"#{at_id}-{key}")


@pytest.mark.parametrize(
    ("name", "typed", "says"),
    [
        ("add-food", FOOD | {"hero": "two"}, "Give a whole number, such as 3."),
        ("add-food", FOOD | {"hero": "-1"}, "Give 0 or more."),
        ("add-food", FOOD | {"backup": "10000"}, "Give a number up to 9999."),
        ("add-food", FOOD | {"needs_by": "soon"}, "Give a date, such as 2027-01-31."),
        ("add-food", FOOD | {"allergens": ["milk"], "none_of_them": "on"}, "Untick what is wrong."),
        ("add-prop", PROP | {"quantity": "0"}, "Give at least 1, or remove the prop."),
        ("add-prop", PROP | {"due": "2027-02-18", "returns_by": "2027-02-17"}, "It goes back before it is due"),
    ],
)
def test_a_refused_row_says_why_and_keeps_what_was_typed(sign_in, stylist, campaign, shot, name, typed, says):
    client = sign_in(stylist)
    for headers in ({}, HX):
        refused = client.post(at(name, campaign, shot.key), typed | {"name": "Kept as typed"}, headers=headers)
        assert refused.status_code == 422
        assert says in refused.text
        assert "Kept as typed" in refused.text
    assert not HeroFood.objects.exists()
    assert not Prop.objects.exists()


def test_food_is_edited_where_it_stands(sign_in, stylist, campaign, food):
    client, url = sign_in(stylist), at("food", campaign, food.key)
    form = client.get(url, headers=HX).text
    assert form.strip().startswith(f'<tr id="food-{food.key}">')
    assert "hx-post" in form
    assert "hx-post" not in client.get(url).text.partition("<main")[2].partition("</main")[0]
    row = client.post(url, FOOD | {"allergens": ["milk", "sesame"]}, headers=HX).text
    assert row.strip().startswith(f'<tr id="food-{food.key}">')
    assert "milk, sesame" in row
    food.refresh_from_db()
    assert (food.name, food.backup, food.allergens, food.supplier) == ("Pancake stack", 24, ["milk", "sesame"], "")


@pytest.mark.parametrize(
    ("ticked", "kept"),
    [({}, None), ({"none_of_them": "on"}, []), ({"allergens": ["lupin", "eggs"]}, ["eggs", "lupin"])],
)
def test_the_form_tells_unknown_from_none_and_some(sign_in, stylist, campaign, food, ticked, kept):
    sign_in(stylist).post(at("food", campaign, food.key), FOOD | ticked)
    food.refresh_from_db()
    assert food.allergens == kept


def test_the_form_of_food_without_allergens_shows_that_it_was_checked(sign_in, stylist, campaign, food):
    HeroFood.objects.update(allergens=[])
    form = sign_in(stylist).get(at("food", campaign, food.key)).text
    assert 'name="none_of_them" id="id_none_of_them" checked' in form


def test_a_row_on_the_page_of_lists_leads_back_there_and_tells_its_shot(sign_in, stylist, campaign, shot, prop):
    client, url = sign_in(stylist), at("prop", campaign, prop.key)
    row = client.post(url, PROP | {"from": "lists"}, headers=HX).text
    assert 'data-label="Shot"' in row
    done = client.post(url, PROP | {"from": "lists"})
    assert done["Location"] == at("lists", campaign) + f"#props-{prop.key}"
    added = client.post(at("add-prop", campaign, shot.key), PROP | {"from": "lists"})
    assert added["Location"].startswith(at("lists", campaign) + "#props-")


@pytest.mark.parametrize("what", ["food", "prop"])
def test_a_row_is_removed_after_a_question(sign_in, stylist, campaign, food, prop, what):
    client, row = sign_in(stylist), {"food": food, "prop": prop}[what]
    url = at(f"remove-{what}", campaign, row.key)
    assert f"Remove {row.name} from shot 1?" in client.get(url).text
    assert f"Remove {row.name} from shot 1?" in client.get(url, headers=HX).text
    assert type(row).objects.exists()
    done = client.post(url, headers=HX)
    assert f"{row.name} is removed from shot 1." in done.text
    assert done.headers["HX-Trigger"] == "brief-changed"
    assert not type(row).objects.exists()


def test_the_client_confirms_what_the_page_showed(sign_in, signing_client, campaign, shot, food):
    client = sign_in(signing_client)
    page = client.get(at("shot", campaign, shot.key)).text
    assert at("confirm-recipe", campaign, food.key) in page
    assert ">Edit<" not in page
    read = {"recipe": food.recipe, "recipe_version": food.recipe_version, "substitution": ""}
    row = client.post(at("confirm-recipe", campaign, food.key), read, headers=HX)
    assert f"confirmed as sold by {signing_client.user}" in row.text
    assert "Confirm&nbsp;as&nbsp;sold" not in row.text


def test_a_substitution_of_two_lines_is_confirmed_as_browsers_send_it(sign_in, signing_client, campaign, food):
    HeroFood.objects.update(substitution="Oat milk\nfor cream")
    read = {"recipe": food.recipe, "recipe_version": food.recipe_version, "substitution": "Oat milk\r\nfor cream"}
    sign_in(signing_client).post(at("confirm-recipe", campaign, food.key), read)
    food.refresh_from_db()
    assert food.as_sold == HeroFood.AsSold.CONFIRMED


def test_a_confirmation_of_what_has_changed_is_refused_in_the_row(sign_in, signing_client, campaign, food):
    stale = {"recipe": food.recipe, "recipe_version": "0.9", "substitution": ""}
    client, url = sign_in(signing_client), at("confirm-recipe", campaign, food.key)
    row = client.post(url, stale, headers=HX)
    assert (row.status_code, "was changed while you were reading it" in row.text) == (422, True)
    page = client.post(url, stale, follow=True)
    assert "was changed while you were reading it" in page.text
    food.refresh_from_db()
    assert food.as_sold == HeroFood.AsSold.NOT_ASKED


def test_a_client_who_may_not_sign_is_offered_no_confirmation(sign_in, campaign, shot, food):
    from portal.access import Role
    from tests.factories import member_of

    page = sign_in(member_of(campaign, Role.CLIENT)).get(at("shot", campaign, shot.key)).text
    assert food.name in page
    assert "Confirm&nbsp;as&nbsp;sold" not in page


def test_the_stylist_notes_that_the_client_was_asked(sign_in, stylist, campaign, food):
    row = sign_in(stylist).post(at("ask-recipe", campaign, food.key), headers=HX).text
    assert "client asked, not confirmed yet" in row
    assert "Ask the client" not in row


def test_text_of_people_is_shown_as_text(sign_in, stylist, campaign, shot, food):
    HeroFood.objects.update(name="<script>alert(1)</script>", notes="<b>bold</b>")
    page = sign_in(stylist).get(at("shot", campaign, shot.key)).text
    assert "<script>alert(1)" not in page
    assert "<b>bold" not in page
    assert "&lt;script&gt;alert(1)" in page


@pytest.mark.parametrize("name", ["food", "remove-food", "prop", "remove-prop"])
def test_a_form_that_is_left_gives_the_row_back_with_the_focus(sign_in, stylist, campaign, food, prop, name):
    row = food if name.endswith("food") else prop
    answer = sign_in(stylist).get(at(name, campaign, row.key), {"as_it_was": 1}, headers=HX)
    assert row.name in answer.text
    assert "autofocus>Edit" in answer.text


@pytest.mark.parametrize("name", ["add-food", "add-prop"])
def test_adding_that_is_left_gives_the_way_to_add_back_with_the_focus(sign_in, stylist, campaign, shot, name):
    answer = sign_in(stylist).get(at(name, campaign, shot.key), {"as_it_was": 1}, headers=HX)
    assert "autofocus>Add " in answer.text
    assert "<form" not in answer.text
