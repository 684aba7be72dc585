"""Protects what is used on set, on a phone: a format on the day, answered as it is drawn; pictures for live view."""

import re
import zipfile

import pytest
from playwright.sync_api import expect

from tests.browser.watching import PATIENCE_MS, Person
from tests.layouts import layout_files

pytestmark = [pytest.mark.browser, pytest.mark.services]


@pytest.fixture
def on_set(signed_in, demo):
    """A function that opens one of a shot's pages for the set as the photographer; complaints fail the test."""
    visits = []

    def visit(page: str, **how) -> Person:
        me = signed_in("photographer", **how)
        visits.append(me)
        me.open(f"/c/{demo.keys['campaign']}/shots/{demo.keys['shot']}/{page}/")
        return me

    yield visit
    assert [said for me in visits for said in me.complaints] == []


def fits(page) -> bool:
    return page.evaluate("document.documentElement.scrollWidth <= innerWidth")


@pytest.mark.parametrize(("width", "ground"), [(360, "light"), (390, "dark"), (1280, "light")])
def test_a_format_is_answered_as_it_is_chosen_and_as_the_hero_is_drawn(on_set, width, ground):
    me = on_set("on-the-day", width=width, height=844, color_scheme=ground)
    page = me.page
    expect(page.get_by_label("Width")).to_be_hidden()
    page.get_by_label("Format", exact=True).select_option("city-light")
    answer = page.locator("#answer")
    expect(answer).to_contain_text("serves it as it is")
    me.clean()
    assert fits(page)
    before = answer.inner_text()
    corner = page.locator(".zone-corner").last
    corner.scroll_into_view_if_needed()
    at = corner.bounding_box()
    page.mouse.move(at["x"] + at["width"] / 2, at["y"] + at["height"] / 2)
    page.mouse.down()
    page.mouse.move(at["x"] - 60, at["y"] - 30, steps=5)
    page.mouse.up()
    expect(answer).not_to_have_text(before, use_inner_text=True)
    expect(page.get_by_text("the hero zone as it is drawn below")).to_be_visible()
    # By keys, on an edge.
    drawn = answer.inner_text()
    page.get_by_role("slider", name="Bottom edge of the hero zone").press("PageUp")
    expect(answer).not_to_have_text(drawn, use_inner_text=True)
    me.clean()
    assert fits(page)


def test_by_hand_it_asks_for_what_a_poster_and_a_screen_need(on_set):
    me = on_set("on-the-day", width=390, height=844)
    page = me.page
    page.get_by_label("Format", exact=True).select_option("screen")
    expect(page.get_by_text("Give its width and height in pixels.")).to_be_visible()
    expect(page.get_by_label("Resolution of the artwork")).to_be_hidden()
    page.get_by_label("Width").fill("1080")
    page.get_by_label("Height").fill("1080")
    page.get_by_label("Height").blur()
    expect(page.locator("#answer .verdict")).to_be_visible()
    page.get_by_label("Format", exact=True).select_option("poster")
    expect(page.get_by_label("Resolution of the artwork")).to_be_visible()
    me.clean()


def test_a_dropped_layout_makes_the_answer_exact_without_a_reload(on_set, tmp_path):
    file = tmp_path / "square.png"
    file.write_bytes(layout_files.encoded(layout_files.drawn((1080, 1080))))
    me = on_set("on-the-day", width=390, height=844)
    page = me.page
    page.get_by_label("Format", exact=True).select_option("square-screen")
    page.get_by_label("Drop its layout, if there is one").set_input_files(file)
    me.settle()
    page.get_by_role("button", name="Look into it").click()
    expect(page.get_by_text("This is exact for square.png")).to_be_visible(timeout=PATIENCE_MS)
    expect(page.locator("hero-zone img")).to_have_attribute("src", re.compile(r"/on-the-day/layout/"))
    me.clean()
    assert fits(page)


def test_without_javascript_it_is_asked_and_answered(on_set):
    me = on_set("on-the-day", width=390, height=844, java_script_enabled=False)
    page = me.page
    page.get_by_label("Format", exact=True).select_option("city-light")
    page.get_by_role("button", name="Ask").click()
    expect(page.locator("#answer .verdict")).to_contain_text("serves it as it is")
    page.get_by_label("Left edge").fill("40")
    page.get_by_role("button", name="Ask").click()
    expect(page.get_by_text("the hero zone as it is drawn below")).to_be_visible()


@pytest.mark.parametrize("width", [390, 1280])
def test_set_overlays_are_asked_for_waited_for_and_taken(on_set, width):
    me = on_set("set-overlays", width=width, height=844)
    page = me.page
    page.get_by_label("Longer side").fill(str(600 + width))
    me.press("Have them drawn")
    take = page.get_by_role("link", name="Take all")
    take.first.wait_for(timeout=PATIENCE_MS)
    me.clean()
    assert fits(page)
    page.get_by_text("Single files").first.click()
    me.clean()
    with page.expect_download() as coming:
        take.first.click()
    with zipfile.ZipFile(coming.value.path()) as pack:
        assert pack.testzip() is None
        assert pack.namelist()[0].endswith("-index.txt")
