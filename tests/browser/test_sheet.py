"""Protects the contact sheet in a browser: sizes on screen, the match to a bank card, widths, grounds, no scripts."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.watching import Person

pytestmark = [pytest.mark.browser, pytest.mark.services]
COLOURS = '{runOnly: ["color-contrast", "link-in-text-block"]}'
CSS_PX_PER_MM = 96 / 25.4  # CSS Values and Units Level 4, 6.2


@pytest.fixture
def reader(signed_in):
    """A function that signs the client in; what the browser laments fails the test."""
    people = []

    def sign_in(**how) -> Person:
        people.append(signed_in("client", **how))
        return people[-1]

    yield sign_in
    for me in people:
        me.close()
        assert me.complaints == []


@pytest.fixture
def sheet(demo):
    return f"/c/{demo.keys['campaign']}/contact-sheet/"


def wide(me: Person, name: str) -> float:
    """How wide the first picture of this placement is, in CSS px."""
    item = me.page.locator(".contact-item", has=me.page.get_by_role("link", name=name, exact=True)).first
    return item.locator("svg").bounding_box()["width"]


@pytest.mark.parametrize("rest", ["", "?as=seen", "?as=seen&eye=nowhere"])
def test_it_stands_in_every_width_and_ground(reader, sheet, rest):
    me = reader(width=390)
    found = []
    me.page.goto(me.address + sheet + rest)
    me.settle()
    for width in (390, 1280, 1920):
        me.page.set_viewport_size({"width": width, "height": 900})
        across = me.page.evaluate("document.documentElement.scrollWidth")
        found += [f"{width}: {across} px wide"] if across > width else []
        for ground, rules in (("light", "{}"), ("dark", COLOURS)):
            me.page.emulate_media(color_scheme=ground)
            found += [f"{width}, {ground}: {said}" for said in me.violations(rules)]
    assert found == []


@pytest.mark.parametrize("scripts", [True, False])
def test_as_seen_a_poster_is_as_wide_as_it_looks(reader, sheet, scripts):
    """12,192 mm, seen from 30 m, is 243.84 mm at 60 cm."""
    me = reader(java_script_enabled=scripts)
    me.page.goto(me.address + sheet + "?as=seen")
    text = me.page.locator(".contact-item", has_text="96-sheet").first.inner_text()
    metres = float(re.search(r"seen from ([\d.]+)", text)[1])
    assert wide(me, "96-sheet") == pytest.approx(12192 * 0.6 / metres * CSS_PX_PER_MM, rel=0.002)


def test_a_screen_is_matched_to_a_card_and_stays_matched(reader, sheet):
    me = reader()
    me.open(sheet + "?as=seen")
    before = wide(me, "96-sheet")
    me.page.get_by_text("Match the screen to a bank card").click()
    slider = me.page.get_by_role("slider", name="Width of the rectangle")
    slider.fill("400")
    assert me.page.locator("[data-card]").bounding_box()["width"] == pytest.approx(400, abs=1)
    after = wide(me, "96-sheet")
    assert after / before == pytest.approx(400 / (85.6 * CSS_PX_PER_MM), rel=0.002)
    me.open(sheet + "?as=seen")
    assert wide(me, "96-sheet") == pytest.approx(after, abs=1)
    expect(me.page.get_by_text("This screen is matched")).to_be_visible()
    me.page.get_by_text("Match the screen to a bank card").click()
    me.page.get_by_role("button", name="Forget the match").click()
    assert wide(me, "96-sheet") == pytest.approx(before, abs=1)


def test_the_eye_is_typed_in_a_sentence_and_the_rest_is_kept(reader, sheet):
    me = reader()
    me.open(sheet + "?as=seen&language=cy")
    before = wide(me, "96-sheet")
    me.write("From my eye to the screen", "30")
    me.press("Show it so")
    assert wide(me, "96-sheet") == pytest.approx(before / 2, abs=1)
    assert "language=cy" in me.page.url


def test_one_leads_to_it_from_the_pictures_and_from_a_shot(reader, demo):
    me = reader()
    me.open(f"/c/{demo.keys['campaign']}/")
    me.page.get_by_role("link", name=re.compile("^Contact sheet")).first.click()
    expect(me.page.get_by_role("heading", name="Contact sheet")).to_be_visible()
    me.open(f"/c/{demo.keys['campaign']}/shots/{demo.keys['shot']}/")
    me.page.get_by_role("link", name="Contact sheet of this shot").click()
    expect(me.page.get_by_text("The contact sheet of this shot")).to_be_visible()
