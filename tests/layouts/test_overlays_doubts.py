"""Protects that a layout is seen to be another one's file: last week's saved anew, another language's, or so named."""

import pytest

from layouts.formats.actions import set_wanted
from layouts.models import Layout
from layouts.overlays import actions, queries
from portal.brief import sections
from tests.layouts.layout_files import drawn, encoded, upload
from tests.work import run_work

pytestmark = pytest.mark.django_db(transaction=True)


def send(by, placement, name="layout.png", data=None, **drawing) -> Layout:
    (row,) = actions.receive_files(by, files=[upload(name, data, **drawing)], placement=placement.key)
    assert row.layout, row.says
    run_work("layouts.prepare")
    return row.layout


def said(campaign, placement) -> list[str]:
    (line,) = queries.lines(campaign, keys=[placement.key])
    return [fault["says"] for fault in line.faults if fault["code"] in ("same-as-older", "name-says-other")]


def test_last_weeks_pixels_in_other_bytes_are_said_to_be_the_older_revision(designer, place):
    send(designer, place(), words="Warm, at last.")
    send(designer, place(), words="Warmer, at last.")
    send(designer, place(), "new name.tif", encoded(drawn(words="Warm, at last."), "TIFF"))

    (says,) = said(designer.campaign, place())

    assert says.startswith("This file is the same, pixel for pixel, though saved anew, as revision 1: 0 pixels differ.")


def test_a_new_revision_and_an_older_one_that_stands_again_on_purpose_are_in_no_doubt(designer, place):
    first = send(designer, place(), words="Warm, at last.")
    send(designer, place(), words="Warmer, at last.")
    assert said(designer.campaign, place()) == []
    actions.make_current(designer, first.key)
    run_work("layouts.prepare")
    assert said(designer.campaign, place()) == []


def test_both_languages_with_the_same_pixels_are_told_of_each_other(designer, place):
    english, welsh = place(1, "48-sheet"), place(1, "48-sheet", "cy")
    send(designer, english, words="Warm, at last.")
    send(designer, place(2, "48-sheet", "cy"), words="Warm, at last.")  # another shot's: no matter
    assert said(designer.campaign, english) == []
    send(designer, welsh, "twym.png", encoded(drawn(words="Warm, at last."), compress_level=1))

    (of_english,), (of_welsh,) = said(designer.campaign, english), said(designer.campaign, welsh)

    assert "pixel for pixel, as the layout in Welsh, and this place is for British English" in of_english
    assert "pixel for pixel, as the layout in British English" in of_welsh


def test_another_languages_layout_that_is_not_wanted_any_more_is_no_matter(ordered, designer, place):
    english, welsh = place(1, "48-sheet"), place(1, "48-sheet", "cy")
    send(designer, english, words="Warm, at last.")
    send(designer, welsh, "twym.png", encoded(drawn(words="Warm, at last."), compress_level=1))
    set_wanted(ordered, placements=[welsh.key], wanted=False)
    assert said(designer.campaign, english) == []


@pytest.mark.parametrize(("name", "doubted"), [
    ("shot1_48-sheet_CY.png", True), ("shot1 48-sheet Welsh r2.png", True), ("shot1_48-sheet_en-GB.png", False),
    ("shot1_48-sheet_EN.png", False), ("shot1_48-sheet.png", False), ("shot1_48-sheet_FR.png", True),
    ("no it is late.png", False), ("cy_en_48-sheet.png", False),
])  # fmt: skip
def test_a_name_that_says_another_language_is_asked_about(designer, place, name, doubted):
    send(designer, place(1, "48-sheet"), name)
    assert bool(said(designer.campaign, place(1, "48-sheet"))) is doubted


def test_readiness_counts_what_is_in_doubt(designer, place):
    send(designer, place(1, "48-sheet"), "shot1_48-sheet_CY.png")
    (look,) = [one for one in sections.findings(designer.campaign) if one.kind == "layout look"]
    # No profile, and the language of the name.
    assert "has two points worth a look" in look.says
