"""Protects the places that a change opens: acts of each topic inside and outside, and what a version may differ in."""

import pytest

from layouts.formats import actions as formats
from layouts.models import Placement
from layouts.overlays import actions as overlays
from layouts.pictures import actions as pictures
from portal.brief import actions as brief
from portal.brief.draft import BriefClosed, closed_because
from portal.models import LogEntry, Version
from portal.people import actions as people
from shots.camera.actions import edit_camera
from shots.food import actions as food
from shots.light.actions import edit_light
from shots.models import HeroFood, Light, Prop, Shot
from shots.props import actions as props
from shots.roles import actions as roles
from shots.shot import actions as shots
from tests.agreed_world import agreed
from tests.layouts import layout_files, mockup_files


@pytest.fixture
def world(db, monkeypatch):
    return agreed(monkeypatch)


def placement(world, shot):
    return Placement.objects.get(shot=shot)


# name: the section, whether the place is one shot's, and the act on shot `number` (1 or 2).
ACTS = {
    "terms": ("campaign", False, lambda w, _s, n: brief.settle_terms(w.producer, about=f"Otherwise {n}")),
    "shot's texts": ("shots", True, lambda w, s, _n: shots.edit_shot(w.producer, s.key, story="Otherwise")),
    "another shot": ("shots", False, lambda w, _s, _n: shots.add_shot(w.producer, title="Third")),
    "order of shots": ("shots", False, lambda w, s, n: shots.move_shot(w.producer, s.key, up=n == 2)),
    "taking a shot out": ("shots", False, lambda w, s, _n: shots.remove_shot(w.producer, s.key)),
    "food edited": ("food", True, lambda w, _s, n: food.edit_food(w.stylist, w.food[n - 1].key, prep="Otherwise")),
    "food added": ("food", True, lambda w, s, _n: food.add_food(w.stylist, s.key, name="Soup")),
    "food taken out": ("food", True, lambda w, _s, n: food.remove_food(w.stylist, w.food[n - 1].key)),
    "recipe asked": ("food", True, lambda w, _s, n: food.ask_recipe(w.stylist, w.food[n - 1].key)),
    "prop edited": ("props", True, lambda w, _s, n: props.edit_prop(w.props, w.things[n - 1].key, note="Else")),
    "prop added": ("props", True, lambda w, s, _n: props.add_prop(w.props, s.key, name="Bowl")),
    "prop taken out": ("props", True, lambda w, _s, n: props.remove_prop(w.props, w.things[n - 1].key)),
    "light": ("light", True, lambda w, s, _n: edit_light(w.lighting, s.key, key_light="Window")),
    "camera": ("camera", True, lambda w, s, _n: edit_camera(w.operator, s.key, lens="100 mm")),
    "mockup": ("pictures", True, lambda w, s, _n: pictures.add_mockup(w.agency, s.key, file=mockup_files.upload())),
    "layout": (
        "layouts",
        True,
        lambda w, s, _n: overlays.receive_files(
            w.agency, files=[layout_files.upload("one.png")], placement=placement(w, s).key
        ),
    ),
    "format ordered": ("formats", False, lambda w, _s, _n: formats.add_formats(w.producer, formats=[SECOND])),
    "format edited": ("formats", False, lambda w, _s, _n: formats.edit_format(w.producer, w.format.key, name="Else")),
    "format taken out": (
        "formats",
        False,
        lambda w, _s, _n: formats.remove_format(w.producer, w.format.key, confirmed=True),
    ),
    "placement off": (
        "formats",
        True,
        lambda w, s, _n: formats.set_wanted(w.producer, placements=[placement(w, s).key], wanted=False),
    ),
    "role": ("roles", False, lambda w, _s, n: roles.add_role(w.producer, title=f"Medic {n}")),
}
SECOND = {
    "name": "Street screen",
    "kind": "screen",
    "width_mm": None,
    "height_mm": None,
    "artwork_scale": 1,
    "width_px": 1080,
    "height_px": 1920,
    "distance_m": 3.0,
}


def do(world, name, number):
    """The act on one of the shots, and how much the log has grown by it."""
    before = LogEntry.objects.count()
    ACTS[name][2](world, Shot.objects.get(campaign=world.campaign, number=number), number)
    return LogEntry.objects.count() - before


@pytest.mark.parametrize("name", ACTS)
def test_a_locked_brief_is_closed_to_every_topic(world, name):
    with pytest.raises(BriefClosed, match="raise a change"):
        do(world, name, 2)


@pytest.mark.parametrize("name", ACTS)
def test_a_change_opens_its_place_and_a_version_with_it_can_go(world, name):
    section, by_shot, _ = ACTS[name]
    shot = world.shots[1].key if by_shot else ""
    world.opened((section, shot))
    if by_shot:
        with pytest.raises(BriefClosed, match="change 1 has opened"):
            do(world, name, 1)
    assert do(world, name, 2)
    assert brief.put_forward(world.producer).number == 2


@pytest.mark.parametrize("name", ACTS)
def test_a_change_of_another_section_opens_nothing_here(world, name):
    other = "props" if ACTS[name][0] != "props" else "food"
    world.opened((other, ""))
    with pytest.raises(BriefClosed, match=f"change 1 has opened all {'props' if other == 'props' else 'hero food'}"):
        do(world, name, 2)


@pytest.mark.parametrize("name", [name for name, (_, by_shot, _) in ACTS.items() if by_shot])
def test_a_whole_section_takes_in_its_shots(world, name):
    world.opened((ACTS[name][0], ""))
    assert do(world, name, 1)


def test_what_belongs_to_a_new_shot_is_opened_with_it(world):
    world.opened(("shots", ""))
    made = shots.add_shot(world.producer, title="Third")
    food.add_food(world.stylist, made.key, name="Soup")
    edit_light(world.lighting, made.key, key_light="Window")
    with pytest.raises(BriefClosed):
        food.add_food(world.stylist, world.shots[0].key, name="Soup")
    assert closed_because(world.now(), "props", made.key) == ""
    assert brief.put_forward(world.producer).number == 2


# What no act of the portal does: an edit of rows beside the places that were opened.
BESIDE = {
    "prop of another shot": (
        lambda w: Prop.objects.filter(pk=w.things[0].pk).update(note="Else"),
        r"Props: .*, shot 1\.",
    ),
    "food": (lambda w: HeroFood.objects.filter(pk=w.food[1].pk).update(prep="Else"), r"Hero food: .*, shot 2\."),
    "food taken out": (lambda w: HeroFood.objects.filter(pk=w.food[1].pk).delete(), "Hero food: "),
    "light": (lambda w: Light.objects.create(shot=w.shots[0], key_light="Window"), "Light: Shot 1, light"),
    "shot's text": (lambda w: Shot.objects.filter(pk=w.shots[1].pk).update(story="Else"), "Shots: Shot 2"),
    "terms": (lambda w: type(w.campaign).objects.update(about="Else"), "differs from version 1 .*: Terms"),
    "placement": (lambda w: Placement.objects.filter(shot=w.shots[0]).update(wanted=False), "Formats: Shot 1, "),
}


@pytest.mark.parametrize("name", BESIDE)
def test_a_draft_that_differs_elsewhere_is_not_put_forward_and_the_place_is_named(world, name):
    edit, says = BESIDE[name]
    world.opened(("props", world.shots[1].key))
    props.edit_prop(world.props, world.things[1].key, note="Amber")
    edit(world)
    with pytest.raises(BriefClosed, match=says):
        brief.put_forward(world.producer)
    assert Version.objects.count() == 1


def test_who_signs_may_differ_without_a_change(world):
    world.opened(("props", world.shots[1].key))
    props.edit_prop(world.props, world.things[1].key, note="Amber")
    people.remove_member(world.photographer, world.people["agency"].key)
    version = brief.put_forward(world.producer)
    assert world.people["agency"].key not in version.signers


def test_a_format_of_another_shape_needs_the_pictures_whose_crop_it_drops(world):
    Placement.objects.filter(shot=world.shots[0]).update(crop=[0, 0, 1, 0.5])
    world.opened(("formats", ""))
    with pytest.raises(BriefClosed):
        formats.edit_format(world.producer, world.format.key, width_mm=3048, width_px=3600)
    world.opened(("pictures", world.shots[0].key))
    formats.edit_format(world.producer, world.format.key, width_mm=3048, width_px=3600)


def test_languages_need_the_formats_too(world):
    world.opened(("campaign", ""))
    with pytest.raises(BriefClosed):
        brief.settle_terms(world.producer, languages=["en-GB", "cy"])
    world.opened(("formats", ""))
    brief.settle_terms(world.producer, languages=["en-GB", "cy"])


def test_one_file_for_a_closed_shot_costs_the_others_nothing(world):
    world.opened(("layouts", world.shots[1].key))
    names = [f"shot{number} {world.format.name} en-GB.png" for number in (1, 2)]
    files = [layout_files.upload(name, seed=at) for at, name in enumerate(names)]
    came = overlays.receive_files(world.agency, files=files)
    assert [one.state for one in came] == ["refused", "placed"]
    assert "change 1 has opened" in came[0].says
