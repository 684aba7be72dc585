"""Protects the stage of real pictures: marks with their numbers at every width, a table without script, the proof."""

import pytest
from playwright.sync_api import expect

from tests.browser.watching import PATIENCE_MS, Person

pytestmark = [pytest.mark.browser, pytest.mark.services]


@pytest.fixture
def on_stage(signed_in, demo):
    """A function that opens the wide placement's stage as the photographer; what a browser laments fails the test."""
    visits = []

    def visit(**how) -> Person:
        me = signed_in("photographer", **how)
        visits.append(me)
        me.page.goto(f"{demo.address}/c/{demo.keys['campaign']}/stage/{demo.keys['wide']}/")
        me.settle()
        return me

    yield visit
    assert [said for me in visits for said in me.complaints] == []


@pytest.mark.parametrize("width", [390, 1280, 1920])
def test_each_zone_has_its_number_on_the_picture_and_the_marks_can_be_put_away(on_stage, width):
    page = on_stage(width=width).page
    rows = page.get_by_role("row").count() - 1
    numbers = page.locator(".stage-marks .zone-word")
    assert numbers.all_text_contents() == [str(number) for number in range(1, rows + 1)]
    picture = page.locator(".stage-frame").bounding_box()
    for number in numbers.all():
        box = number.bounding_box()
        assert picture["x"] - 1 <= box["x"] <= picture["x"] + picture["width"]
        assert picture["y"] - 1 <= box["y"] + box["height"] / 2 <= picture["y"] + picture["height"]
        expect(number).to_be_visible()
    page.get_by_label("Show the marks").uncheck()
    expect(numbers.first).to_be_hidden()


def test_verdict_numbers_and_table_are_there_without_javascript(on_stage):
    me = on_stage(java_script_enabled=False)
    expect(me.page.locator(".verdict")).to_contain_text("hard to read")
    expect(me.page.get_by_role("table", name="How the type reads over this picture")).to_be_visible()
    expect(me.page.locator(".zone-word").first).to_be_visible()


def test_as_it_will_print_is_made_shown_hatched_and_left_again(on_stage):
    me = on_stage()
    page = me.page
    if (ask := page.get_by_role("button", name="Show it as it will print")).count():
        ask.click()
    look = page.get_by_role("button", name="as it will print", exact=True)
    look.wait_for(timeout=PATIENCE_MS)
    me.settle()
    look.click()
    expect(look).to_have_attribute("aria-pressed", "true")
    expect(page.locator(".stage-proof")).to_be_visible()
    expect(page.locator(".stage-beyond")).to_be_visible()
    expect(page.get_by_role("status").filter(has_text="the printer's own proof decides")).to_be_visible()
    assert me.violations() == []
    page.get_by_label("Show the marks").uncheck()
    expect(page.locator(".stage-beyond")).to_be_hidden()
    expect(page.locator(".stage-proof")).to_be_visible()
    page.locator("[data-frame]").press("Escape")
    expect(page.locator(".stage-proof")).to_have_count(0)
    expect(look).to_have_attribute("aria-pressed", "false")
