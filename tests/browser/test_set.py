"""Protects what is used for the set: a format on the day, answered as drawn; pictures for live view; a plan tried."""

import re
import zipfile

import pytest
from playwright.sync_api import expect

from tests.browser.watching import PATIENCE_MS, Person
from tests.layouts import layout_files
from tests.services import wait_for

pytestmark = [pytest.mark.browser, pytest.mark.services]


@pytest.fixture
def on_set(signed_in, demo):
    """A function that opens one of a shot's pages for the set as the photographer; complaints fail the test."""
    visits = []

    def visit(page: str, *, width: int = 390, **how) -> Person:
        me = signed_in("photographer", width=width, height=844, **how)
        visits.append(me)
        me.open(f"/c/{demo.keys['campaign']}/shots/{demo.keys['shot']}/{page}/")
        return me

    yield visit
    assert [said for me in visits for said in me.complaints] == []


@pytest.mark.parametrize(("width", "ground"), [(390, "dark"), (1280, "light")])
def test_a_format_is_answered_as_it_is_chosen_and_as_the_hero_is_drawn(on_set, width, ground):
    me = on_set("on-the-day", width=width, color_scheme=ground)
    page = me.page
    expect(page.get_by_label("Width")).to_be_hidden()
    page.get_by_label("Format", exact=True).select_option("city-light")
    answer = page.locator("#answer")
    expect(answer).to_contain_text("serves it as it is")
    me.clean()
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
    me.look(width=width, ground=ground)
    if width == 390:
        me.look(width=360)


def test_by_hand_it_asks_for_what_a_poster_and_a_screen_need_and_answers(on_set):
    me = on_set("on-the-day")
    page = me.page
    verdict = page.locator("#answer .verdict")
    page.get_by_label("Format", exact=True).select_option("screen")
    expect(page.get_by_text("Give its width and height in pixels.")).to_be_visible()
    expect(page.get_by_label("Resolution of the artwork")).to_be_hidden()
    expect(verdict).to_have_count(0)
    page.get_by_label("Width").fill("1080")
    page.get_by_label("Height").fill("1080")
    page.get_by_label("Height").blur()
    expect(verdict).to_be_visible()
    page.get_by_label("Format", exact=True).select_option("poster")
    page.get_by_label("Resolution of the artwork").fill("300")
    page.get_by_label("Resolution of the artwork").blur()
    expect(verdict).to_be_visible()
    me.look(width=390)
    me.look(width=1280, ground="dark")


def test_a_dropped_layout_makes_the_answer_exact_without_a_reload(on_set, tmp_path):
    file = tmp_path / "square.png"
    file.write_bytes(layout_files.encoded(layout_files.drawn((1080, 1080))))
    me = on_set("on-the-day")
    page = me.page
    page.get_by_label("Format", exact=True).select_option("square-screen")
    page.get_by_label("Drop its layout, if there is one").set_input_files(file)
    me.settle()
    page.get_by_role("button", name="Look into it").click()
    expect(page.get_by_text("This is exact for square.png")).to_be_visible()
    expect(page.locator("hero-zone img")).to_have_attribute("src", re.compile(r"/on-the-day/layout/"))
    me.look(width=390)
    me.look(width=1280, ground="dark")


def test_without_javascript_it_is_asked_and_answered(on_set):
    me = on_set("on-the-day", java_script_enabled=False)
    page = me.page
    page.get_by_label("Format", exact=True).select_option("city-light")
    page.get_by_role("button", name="Ask").click()
    expect(page.locator("#answer .verdict")).to_contain_text("serves it as it is")
    page.get_by_label("Left edge").fill("40")
    page.get_by_role("button", name="Ask").click()
    expect(page.get_by_text("the hero zone as it is drawn below")).to_be_visible()
    me.look(width=390)


def test_set_overlays_are_asked_for_waited_for_and_taken(on_set):
    me = on_set("set-overlays")
    page = me.page
    page.get_by_label("Longer side").fill("900")
    me.press("Have them drawn")
    take = page.get_by_role("link", name="Take all")
    take.first.wait_for()
    expect(page.get_by_text("are being drawn")).to_have_count(0)
    page.get_by_text("Single files").first.click()
    me.look(width=390)
    me.look(width=1280, ground="dark")
    with page.expect_download() as coming:
        take.first.click()
    with zipfile.ZipFile(coming.value.path()) as pack:
        assert pack.testzip() is None
        assert pack.namelist()[0].endswith("-index.txt")


def test_without_javascript_overlays_are_asked_for_and_taken(on_set):
    me = on_set("set-overlays", java_script_enabled=False)
    page = me.page
    page.get_by_label("Longer side").fill("700")
    me.press("Have them drawn")
    take = page.get_by_role("link", name="Take all")
    shown = page.get_by_text(re.compile(r"drawn at\s*700"))

    def drawn() -> bool:
        page.reload()
        return bool(shown.count() and take.count())

    wait_for(drawn, "the pictures for live view", PATIENCE_MS / 1000)
    me.look(width=390)
    with page.expect_download() as coming:
        take.first.click()
    assert zipfile.is_zipfile(coming.value.path())


def test_the_levers_of_the_plan_answer_by_keyboard_and_keep_nothing(on_set):
    me = on_set("capture", width=360)
    page = me.page
    changes = page.get_by_role("table", name="Each change by itself")
    expect(changes).to_be_visible()
    me.look(width=360)
    me.look(width=1280, ground="dark")
    margin = page.get_by_label("Margin on each side")
    kept = margin.input_value()
    margin.focus()
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Tab")
    expect(page.get_by_text("As tried:")).to_be_visible()
    assert "margin=" in page.url
    expect(changes).to_be_visible()
    me.look(width=360, ground="dark")
    me.look(width=1280)
    me.go("Back to the plan as it is kept")
    expect(margin).to_have_value(kept)
    expect(page.get_by_text("As tried:")).to_have_count(0)
