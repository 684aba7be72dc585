"""Protects what the room puts into the brief, what readiness finds there, and that neither costs a query a row."""

import pytest

from portal.brief import reading
from portal.brief.documents import Brief
from portal.brief.sections import sections, words_for
from portal.models import Campaign
from portal.record.canonical import canonical
from shots.camera.actions import edit_camera
from shots.food.actions import confirm_recipe
from shots.light.actions import edit_light
from shots.models import HeroFood
from tests.factories import HeroFoodFactory, PropFactory, ShotFactory

OURS = ["shots", "food", "props", "light", "camera"]


def ours():
    return {section.name: section for section in sections() if section.name in OURS}


def found(campaign):
    return [(f.level, f.what, f.wants) for section in ours().values() for f in section.ready(campaign)]


@pytest.fixture
def whole(producer, signing_client, campaign):
    """A shot of which nothing is to be said."""
    shot = ShotFactory(campaign=campaign, number=1, story="Warm.", composition="Low.")
    food = HeroFoodFactory(shot=shot)
    PropFactory(shot=shot)
    edit_light(producer, shot.key, key_light="Soft, left")
    edit_camera(producer, shot.key, width_px=11648, height_px=8736)
    confirm_recipe(signing_client, food.key, recipe=food.recipe, recipe_version=food.recipe_version)
    return shot


def test_sections_come_in_the_order_of_the_brief():
    assert [(name, section.order) for name, section in ours().items()] == [
        ("shots", 30), ("food", 40), ("props", 50), ("light", 60), ("camera", 70),
    ]  # fmt: skip


def test_assembled_rows_have_their_keys_and_are_canonical(whole, campaign):
    ShotFactory()  # another campaign's
    HeroFoodFactory()
    document = {name: section.assemble(campaign) for name, section in ours().items()}
    food, prop = whole.food.get(), whole.props.get()
    assert [(row["id"], row["number"]) for row in document["shots"]] == [(whole.key, 1)]
    assert [(row["id"], row["shot"], row["hero"]) for row in document["food"]] == [(food.key, whole.key, 2)]
    assert [(row["id"], row["shot"], row["due"]) for row in document["props"]] == [(prop.key, whole.key, "2027-02-20")]
    assert [(row["id"], row["key_light"]) for row in document["light"]] == [(whole.key, "Soft, left")]
    assert [(row["id"], row["width_px"]) for row in document["camera"]] == [(whole.key, 11648)]
    assert canonical(document)


def test_a_shot_without_light_is_assembled_like_one_with_empty_light(producer, campaign, shot):
    before = ours()["light"].assemble(campaign)
    edit_light(producer, shot.key, key_light="")
    assert ours()["light"].assemble(campaign) == before


def test_confirmed_food_names_who_and_when(whole, signing_client, campaign):
    (row,) = ours()["food"].assemble(campaign)
    assert (row["as_sold"]["status"], row["as_sold"]["by"]) == ("confirmed", str(signing_client.user))
    assert row["as_sold"]["at"].startswith("20")


def test_nothing_is_found_in_a_whole_shot(whole, campaign):
    assert found(campaign) == []


def test_a_campaign_without_shots_is_told_so_once(campaign):
    assert found(campaign) == [("must-fix", "Shots", "none yet")]


def test_an_empty_shot_misses_text_food_light_and_pixels(campaign):
    ShotFactory(campaign=campaign, number=3)
    assert found(campaign) == [
        ("must-fix", "Shot 3", "no story, no composition"),
        ("must-fix", "Hero food, shot 3", "no hero food"),
        ("must-fix", "Light, shot 3", "no key light"),
        ("worth-a-look", "Camera, shot 3", "pixels unknown"),
    ]


@pytest.mark.parametrize(
    ("changed", "level", "wants"),
    [
        ({"hero": 0}, "must-fix", "no hero"),
        ({"recipe": ""}, "must-fix", "no recipe"),
        ({"recipe_version": ""}, "must-fix", "no recipe version"),
        ({"as_sold": HeroFood.AsSold.NOT_ASKED}, "must-fix", "client to be asked"),
        ({"as_sold": HeroFood.AsSold.ASKED}, "must-fix", "client to confirm"),
        ({"supplier": ""}, "worth-a-look", "no supplier"),
        ({"allergens": None}, "must-fix", "allergens not stated"),
    ],
)
def test_food_that_misses_one_thing_is_found_for_it(whole, campaign, changed, level, wants):
    HeroFood.objects.update(**changed)
    assert found(campaign) == [(level, f"{whole.food.get().name}, shot 1", wants)]


def test_the_clients_word_is_asked_of_the_client_and_leads_where_it_is_given(whole, campaign):
    HeroFood.objects.update(as_sold=HeroFood.AsSold.ASKED, substitution="Oat milk", cleared_by="Aud Lindqvist")
    (finding,) = ours()["food"].ready(campaign)
    assert finding.roles == ("client",)
    assert finding.url == f"/c/{campaign.key}/shots/{whole.key}/#food"
    assert "with its substitution" in finding.says


def test_none_of_the_fourteen_is_an_answer(whole, campaign):
    HeroFood.objects.update(allergens=[])
    assert found(campaign) == []


@pytest.mark.parametrize(
    ("changed", "wants"),
    [
        ({"source": ""}, "no source"),
        ({"due": None}, "no due date"),
        ({"basis": "hire"}, "no return date"),
    ],
)
def test_a_prop_that_misses_one_thing_is_worth_a_look(whole, campaign, changed, wants):
    whole.props.update(**changed)
    assert found(campaign) == [("worth-a-look", f"{whole.props.get().name}, shot 1", wants)]


def test_an_owned_prop_needs_no_date(whole, campaign):
    whole.props.update(basis="own", due=None)
    assert found(campaign) == []


@pytest.mark.parametrize("count", [1, 3, 60])
def test_sections_cost_the_same_number_of_queries(campaign, many, count, django_assert_num_queries):
    many(count)
    for kind in ("assemble", "ready"):
        campaign = reading.begin(Campaign.objects.get(pk=campaign.pk))
        with django_assert_num_queries(3):  # shots with light and camera, food, props
            for section in ours().values():
                getattr(section, kind)(campaign)


def test_every_must_fix_has_words_for_its_kind(campaign):
    shot = ShotFactory(campaign=campaign, number=1)
    HeroFoodFactory(shot=shot, hero=0)
    HeroFoodFactory(shot=shot, recipe="", allergens=None, supplier="")
    PropFactory(shot=shot, source="")
    ShotFactory(campaign=campaign, number=2)
    kinds = {f.kind for section in ours().values() for f in section.ready(campaign)}
    assert len(kinds) == 10
    assert all(words_for(kind) for kind in kinds)


def test_read_templates_show_the_sections_of_a_document(whole, campaign, rf):
    from django.template.loader import render_to_string

    document = {name: section.assemble(campaign) for name, section in ours().items()}
    brief = Brief(document, {}, "0" * 64, 1, "locked")
    shown = {
        name: render_to_string(section.template, {"data": document[name], "brief": brief})
        for name, section in ours().items()
    }
    assert "Warm." in shown["shots"]
    assert "2 hero, 1 stand-in, 6 backup" in shown["food"]
    assert "cereals with gluten" in shown["food"]
    assert "Invented prop house" in shown["props"]
    assert "Soft, left" in shown["light"]
    assert "11648 × 8736 px" in shown["camera"]
