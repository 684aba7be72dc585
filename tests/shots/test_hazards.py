"""Protects that allergens and named hazards without a caution are found, and that plain words are not."""

import json

import pytest

from portal.access import Role
from portal.brief import placing, sections, telling
from portal.models import Campaign
from shots.food import readiness as food
from shots.light import section as light
from shots.light.models import Light
from shots.planning.hazards import named
from shots.props import section as props
from tests.factories import HeroFoodFactory, PropFactory


@pytest.mark.parametrize(("text", "hazards"), [
    ("Water in a tall glass", ["glass"]),
    ("Carving knife and two skewers", ["blades"]),
    ("Browned with a blowtorch before the take", ["heat"]),
    ("Crêpes, flambéed on set", ["heat"]),
    ("A candle behind, and hot oil in the pan", ["heat"]),
    ("Steam from dry ice under the table", ["dry ice"]),
    ("Generator on the street, mains by the door", ["electricity"]),
    ("Softbox on a boom, overhead", ["rigging"]),
    ("Knife, glass, dry ice", ["glass", "blades", "dry ice"]),
    ("Olive oil, a bladed leaf, a glassy sea, remains of a torchon", []),
    ("A rigorous grid of trigger-happy waffles", []),
    ("", []),
])  # fmt: skip
def test_words_that_name_a_hazard(text, hazards):
    """Common practice, no source: which words a crew would stop at."""
    assert [hazard.name for hazard, _ in named([text])] == hazards


def test_the_word_is_told_as_it_was_written():
    assert named(["two Knives", "later a torch"])[0][1] == "Knives"


@pytest.mark.django_db
def test_allergens_without_a_caution_must_be_fixed_and_are_never_waived(campaign, shot):
    HeroFoodFactory(shot=shot, allergens=["milk", "eggs"], handling="  ")
    (found,) = [one for one in food.ready(campaign) if one.kind == "allergens-unhandled"]
    assert (found.level, found.waivable) == ("must-fix", False)
    assert "has milk, eggs, and its handling says nothing" in found.says
    assert "Local food law decides." in found.says
    assert Role.STYLIST in found.roles


@pytest.mark.django_db
@pytest.mark.parametrize(("fields", "kinds"), [
    ({"allergens": ["milk"], "handling": "Own board and knife, nobody else touches it."}, []),
    ({"allergens": [], "handling": ""}, []),
    ({"allergens": None, "handling": ""}, ["allergens"]),
])  # fmt: skip
def test_allergens_with_a_caution_none_of_them_and_none_stated(campaign, shot, fields, kinds):
    HeroFoodFactory(shot=shot, **fields)
    found = [one for one in food.ready(campaign) if one.kind.startswith("allergens")]
    assert [one.kind for one in found] == kinds
    assert all((one.level, one.waivable) == ("must-fix", False) for one in found)


@pytest.mark.django_db
def test_a_hazard_that_food_props_or_light_name_without_a_caution_is_worth_a_look(campaign, shot):
    HeroFoodFactory(shot=shot, name="Crème", allergens=[], handling="", prep="Torch the sugar on set")
    PropFactory(shot=shot, name="Carving knife")
    Light.objects.create(shot=shot, key_light="Softbox on a boom")
    found = [*food.ready(campaign), *props.ready(campaign), *light.ready(campaign)]
    hazards = [one for one in found if one.kind == "hazard"]
    assert [(one.level, one.wants) for one in hazards] == [
        ("worth-a-look", "heat, no caution"),
        ("worth-a-look", "blades, no caution"),
        ("worth-a-look", "rigging, no caution"),
    ]
    assert hazards[0].says == (
        "Crème in shot 1 names heat (“Torch”) and has no caution: say who tends it and what puts it out. "
        "Local codes and licensed practice decide."
    )


@pytest.mark.django_db
def test_with_a_caution_or_the_mark_of_a_breakable_thing_nothing_is_found(campaign, shot):
    HeroFoodFactory(shot=shot, allergens=[], handling="The stylist alone; extinguisher beside.", prep="Torch the sugar")
    PropFactory(shot=shot, name="Carving knife", caution="Points away; kept by the props stylist.")
    PropFactory(shot=shot, name="Tall glass", breakable=True)
    Light.objects.create(shot=shot, key_light="Softbox on a boom", caution="Sandbagged, second fixing, checked daily.")
    found = [*food.ready(campaign), *props.ready(campaign), *light.ready(campaign)]
    assert [one for one in found if one.kind == "hazard"] == []


@pytest.mark.django_db
def test_a_note_is_no_caution_and_breakable_tells_of_glass_alone(campaign, shot):
    PropFactory(shot=shot, name="Knife with a glass handle", breakable=True, note="From the flea market.")
    Light.objects.create(shot=shot, key_light="Softbox", notes="Hung from the ceiling if the stand is in the way.")
    found = [*props.ready(campaign), *light.ready(campaign)]
    assert [one.wants for one in found if one.kind == "hazard"] == ["blades, no caution", "rigging, no caution"]


@pytest.mark.django_db
def test_a_document_from_before_there_were_cautions_differs_in_what_was_edited_alone(campaign, shot):
    row = PropFactory(shot=shot, name="Slate vase", caution="Heavy: two people carry it.")
    now = {"shots": [{"id": shot.key, "number": 1, "title": "Bun"}], "props": props.assemble(campaign)}
    old = json.loads(json.dumps(now))
    del old["props"][0]["caution"]
    words = {name: section.words for name, section in ((one.name, one) for one in sections.sections())}
    assert placing.edited(old, now, words) == {}
    (line,) = telling.tell(old, now, words)["props"]
    assert (line.now, line.was) == ("Heavy: two people carry it.", "empty")
    row.caution = ""
    row.save()
    now["props"] = props.assemble(Campaign.objects.get(pk=campaign.pk))
    assert [line.kind for line in telling.tell(old, now, words)["props"]] == ["follows"]
