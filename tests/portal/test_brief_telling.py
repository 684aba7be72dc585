"""Protects the words of a difference: what the brief calls things, nothing told twice, nothing that differs untold."""

import copy

import pytest
from hypothesis import given, settings

from portal.brief import fields, sections
from portal.brief.fields import Field, Thing, Words
from portal.brief.telling import tell
from portal.record.canonical import canonical
from tests.portal.test_record_diff import DOCUMENTS


def words():
    return {section.name: section.words for section in sections.sections()}


def shot(id, number, **more):
    return {"id": id, "number": number, "title": f"Dish {id}", "story": "", "composition": "", "grade": ""} | more


def placement(id, shot, format="f1", name="48-sheet", language="cy"):
    return {"id": id, "shot": shot, "number": 1, "format": format, "name": name, "language": language}


def mockup(id, number, **more):
    return {
        "id": id, "number": number, "title": "Dish", "file": "stack.jpg", "sha256": "a" * 64, "width": 6000,
        "height": 4000, "revision": 1, "picture": "k", "hero": [0.1, 0.2, 0.38, 0.6],
    } | more  # fmt: skip


def layout(id, **more):
    return {
        "id": id, "number": 1, "format": "48-sheet", "language": "cy", "file": "a.png", "sha256": "b" * 64,
        "type": "png", "width": 3600, "height": 1800, "revision": 1, "window": None, "window_corrected": False,
        "clear": 0.9, "type_zones": 2, "faults": [],
    } | more  # fmt: skip


@pytest.fixture
def brief():
    return {
        "campaign": {
            "title": "Oats", "usage": {"media": "Posters", "territory": "Wales"}, "languages": ["en-GB"],
            "signers": [{"id": "m1", "name": "Ben Lee", "role": "Client"}],
        },
        "shots": [shot("a", 1), shot("b", 2), shot("c", 3)],
        "formats": {
            "formats": [{"id": "f1", "name": "48-sheet", "width_mm": 6096}, {"id": "f2", "name": "6-sheet"}],
            "placements": [placement("p1", "a"), placement("p2", "c")],
        },
        "pictures": {
            "mockups": [mockup("c", 3)],
            "crops": [
                {"id": "p2", "shot": "c", "format": "48-sheet", "language": "cy", "crop": [0, 0, 1, 1], "set": False},
            ],
        },
        "layouts": [layout("p1"), layout("p2")],
        "food": [],
        "props": [],
        "light": [{"id": "a", "key_light": "Softbox"}, {"id": "b", "key_light": ""}, {"id": "c", "key_light": ""}],
    }  # fmt: skip


def told(old, change):
    new = copy.deepcopy(old)
    change(new)
    return {name: [line.says for line in lines] for name, lines in tell(old, new, words()).items() if lines}


def test_a_hero_zone_is_told_in_the_direction_in_which_it_moved(brief):
    def change(new):
        new["pictures"]["mockups"][0]["hero"] = [0.12, 0.2, 0.4, 0.6]
        new["pictures"]["crops"][0]["crop"] = [0.02, 0, 1, 1]  # follows the hero zone

    assert told(brief, change) == {"pictures": ["Shot 3, hero zone: 12 to 40 % across, was 10 to 38 %."]}


def test_a_value_is_told_with_what_it_was(brief):
    def change(new):
        new["light"][0]["key_light"] = "Lamp B, 1.8 m"
        new["campaign"]["usage"]["media"] = "Screens"
        new["campaign"]["languages"] = ["en-GB", "cy"]
        new["formats"]["formats"][0]["width_mm"] = 12192

    assert told(brief, change) == {
        "light": ["Shot 1, light, key: Lamp B, 1.8 m, was Softbox."],
        "campaign": [
            "Languages: British English, Welsh, was British English.",
            "Media: Screens, was Posters.",
        ],
        "formats": ["48-sheet, width: 12192 mm, was 6096 mm."],
    }


def test_a_reorder_is_one_line_and_its_numbers_another(brief):
    """The first shot becomes the last: its row moves, every number moves, and so do rows that repeat numbers."""

    def change(new):
        a, b, c = new["shots"]
        new["shots"] = [b | {"number": 1}, c | {"number": 2}, a | {"number": 3}]
        new["light"] = [new["light"][at] for at in (1, 2, 0)]
        new["layouts"] = [new["layouts"][1] | {"number": 2}, new["layouts"][0] | {"number": 3}]
        new["pictures"]["mockups"][0]["number"] = 2

    follows = ["All of it: follows from what is told of other sections."]
    assert told(brief, change) == {
        "shots": ["Shot 3: now number 3, was number 1.", "Numbers: 2 is now 1, 3 is now 2."],
        "light": follows,
        "layouts": follows,
        "pictures": follows,
    }


def test_formats_are_reordered_by_their_neighbours(brief):
    def change(new):
        new["formats"]["formats"].reverse()

    assert told(brief, change) == {"formats": ["48-sheet: now after 6-sheet, was first."]}


def test_what_belongs_to_a_shot_goes_with_it_and_is_counted(brief):
    def change(new):
        new["shots"].pop()
        new["formats"]["placements"].pop()
        new["pictures"] = {"mockups": [], "crops": []}
        new["layouts"].pop()
        new["light"].pop()

    (line,) = tell(brief, _changed(brief, change), words())["shots"]
    assert line.says == "Shot 3: taken out."
    assert line.was == "Dish c, with one layout, one mockup and one placement"
    assert told(brief, change) == {"shots": ["Shot 3: taken out."]}


def test_a_new_layout_is_told_alone_and_a_new_file_with_its_picture(brief):
    def change(new):
        new["layouts"][0] |= {"sha256": "c" * 64, "file": "b.png", "revision": 2, "clear": 0.5, "type_zones": 9}

    (line,) = tell(brief, _changed(brief, change), words())["layouts"]
    assert line.says == (
        "Shot 1, 48-sheet, Welsh, layout: b.png, revision 2, 3600 × 1800 px, was a.png, revision 1, 3600 × 1800 px."
    )
    assert line.files == ("b" * 64, "c" * 64)


def test_one_that_came_and_one_that_went(brief):
    def change(new):
        new["props"].append(
            {"id": "v", "shot": "b", "name": "Slate vase", "quantity": 2, "source": "Shelf", "due": None}
        )
        new["campaign"]["signers"] = [{"id": "m2", "name": "Ida Moss", "role": "Agency producer"}]

    assert told(brief, change) == {
        "props": ["Slate vase, shot 2: new, quantity 2, from Shelf."],
        "campaign": ["Ben Lee: taken out.", "Ida Moss: new, role Agency producer."],
    }


def test_what_nobody_has_declared_is_still_read():
    old = {"capture": {"plans": [{"id": "x", "name": "Wide", "lens_mm": 80, "ok": True}], "margin_px": 10}}
    new = {
        "capture": {"plans": [{"id": "x", "name": "Wide", "lens_mm": 110, "ok": False}], "margin_px": 12},
        "roles": [],
    }
    assert {name: [line.says for line in lines] for name, lines in tell(old, new, {}).items()} == {
        "capture": ["Margin: 12 px, was 10 px.", "Wide, lens: 110 mm, was 80 mm.", "Wide, ok: no, was yes."],
        "roles": ["The whole section: new, written anew."],
    }


def test_a_difference_that_words_round_away_is_told_in_figures():
    zone = Words({"": Thing("shot", lambda *_: "shot 1", {"hero": fields.zone("hero zone")})})
    (line,) = tell(
        {"s": [{"id": "a", "hero": [0.1, 0, 1, 1]}]}, {"s": [{"id": "a", "hero": [0.10001, 0, 1, 1]}]}, {"s": zone}
    )["s"]
    assert (line.now, line.was) == ("0.10001; 0; 1; 1", "0.1; 0; 1; 1")


@given(DOCUMENTS, DOCUMENTS)
@settings(max_examples=150, deadline=None)
def test_a_section_that_differs_is_never_passed_over(old, new):
    """Without words for anything, each section whose digest moved has a line."""
    differ = {name for name in old.keys() | new.keys() if _form(old, name) != _form(new, name)}
    lines = tell(old, new, {})
    assert {name for name, held in lines.items() if held} == differ
    assert all(line.says and line.what for held in lines.values() for line in held)


def _form(document, name):
    return canonical(document[name]) if name in document else None


def _changed(old, change):
    new = copy.deepcopy(old)
    change(new)
    return new


def test_every_field_of_the_portals_sections_has_words():
    """A field added to a section is said in words of its own, and stands in the published schema."""
    for name, held in words().items():
        for thing in held.lists.values():
            assert set(thing.follows) | set(thing.about) <= set(thing.fields), name
            assert all(isinstance(one, Field) and one.label for one in thing.fields.values())
