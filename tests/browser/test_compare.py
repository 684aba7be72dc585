"""Protects two versions beside each other in a real browser: pictures side by side, and one over the other in turn."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.agreed import agreed, member  # noqa: F401  fixtures

pytestmark = [pytest.mark.browser, pytest.mark.services]
COMPARE = "/c/{locked}/brief/compare/?old=1&new=2"
# The times, in ms, at which the picture that is seen was another one.
_WATCH = """(flicker) => {
  window.turns = [];
  new MutationObserver(() => window.turns.push(Date.now())).observe(flicker, {attributeFilter: ["data-shows"]});
}"""


class Pictures:
    """Shot 1's two mockups on the page of versions 1 and 2."""

    def __init__(self, me):
        self.me, self.page = me, me.page
        self.all = me.page.locator("picture-flicker", has=me.page.get_by_alt_text("Shot 1, mockup, as it was"))
        self.was, self.now = self.all.locator("[data-was] img"), self.all.locator("[data-now] img")
        self.pair, self.says = self.all.locator(".flicker-pair"), self.all.get_by_role("status")
        self.lay = self.button("Lay one over the other")
        self.turn, self.run = self.button("Show the other"), self.button("Flicker")

    def button(self, name):
        return self.all.get_by_role("button", name=name, exact=True)

    def are_side_by_side(self):
        for picture in (self.was, self.now):
            picture.scroll_into_view_if_needed()
            expect(picture).to_be_visible()
            expect(picture).to_have_js_property("complete", True)
            assert picture.evaluate("(image) => image.naturalWidth") > 0
        assert self.was.get_attribute("src") != self.now.get_attribute("src")
        boxes = [picture.bounding_box() for picture in (self.was, self.now)]
        assert (boxes[0]["x"], boxes[0]["y"]) != (boxes[1]["x"], boxes[1]["y"])

    def shows(self, number):
        """Only the picture of this version is seen."""
        seen, hidden = (self.was, self.now) if number == 1 else (self.now, self.was)
        expect(seen).to_be_visible()
        expect(hidden).to_be_hidden()

    def watched(self):
        self.all.evaluate(_WATCH)

    def turns(self) -> list[int]:
        return self.page.evaluate("window.turns")


@pytest.fixture
def pictures(member):  # noqa: F811
    return lambda **how: Pictures(member("client", COMPARE, **how))


def test_two_versions_stand_side_by_side_and_are_chosen(pictures):
    here = pictures()
    page = here.page
    expect(page.get_by_role("main")).to_contain_text("things differ, in ")
    expect(page.get_by_role("main")).to_contain_text("Outdoor posters and screens")
    here.are_side_by_side()
    # A picture that had none before it stands alone and is not turned.
    alone = page.locator("picture-flicker:not(:has([data-was]))")
    expect(alone.get_by_role("img")).to_be_visible()
    expect(alone.get_by_role("button")).to_have_count(0)
    page.get_by_label("After").select_option("draft")
    page.get_by_label("Before").select_option("2")
    here.me.press("Compare these")
    expect(page.get_by_role("main")).to_contain_text("Nothing differs")
    page.go_back()
    here.me.look(width=360)
    here.me.look(width=1280, ground="dark")


@pytest.mark.parametrize(("width", "ground"), [(390, "light"), (1280, "dark")])
def test_one_over_the_other_it_says_which_is_seen_and_is_turned_by_button_and_key(pictures, width, ground):
    here = pictures(width=width, color_scheme=ground)
    for hidden in (here.turn, here.run):
        expect(hidden).to_be_hidden()
    here.lay.focus()
    here.page.keyboard.press("Enter")
    expect(here.pair).to_be_focused()
    expect(here.pair).to_be_in_viewport(ratio=0.99)
    expect(here.pair).to_have_accessible_name(re.compile("left arrow as it was, right arrow as it is$"))
    boxes = [picture.bounding_box() for picture in (here.was, here.now)]
    assert boxes[0] == boxes[1]
    for key, number in ((None, 2), ("ArrowLeft", 1), ("ArrowLeft", 1), ("ArrowRight", 2), ("Space", 1)):
        if key:
            here.pair.press(key)
        here.shows(number)
        expect(here.says).to_have_text(f"Version {number}")
    here.turn.click()
    here.shows(2)
    expect(here.says).to_have_text("Version 2")
    here.me.look(width=width, ground=ground)
    here.pair.press("Escape")
    expect(here.lay).to_be_focused()
    here.are_side_by_side()
    expect(here.says).to_be_empty()
    expect(here.turn).to_be_hidden()
    # By the same button it is laid and put back.
    here.lay.click()
    here.button("Side by side").click()
    here.are_side_by_side()


def test_it_flickers_slowly_and_is_stopped(pictures):
    """WCAG 2.2: never more than three flashes in a second (2.3.1), and whatever moves can be stopped (2.2.2)."""
    here = pictures()
    here.page.clock.install()
    here.page.reload()
    here.me.settle()
    here.watched()
    here.lay.click()
    here.page.clock.run_for(5000)
    assert len(here.turns()) <= 1  # laid, it stands: nothing moves that was not asked for
    for stop in ("the button", "ArrowLeft", "Escape"):
        before = len(here.turns())
        here.run.click()
        expect(here.run).to_have_attribute("aria-pressed", "true")
        here.page.clock.run_for(10_000)
        turns = here.turns()[before:]
        assert len(turns) >= 5
        # A flash takes two turns; even one in each would keep to three in a second.
        assert max(sum(start <= turn < start + 1000 for turn in turns) for start in turns) <= 3
        here.run.click() if stop == "the button" else here.pair.press(stop)
        stopped = len(here.turns())
        here.page.clock.run_for(5000)
        assert len(here.turns()) == stopped
        expect(here.all.locator("[data-run]")).to_have_attribute("aria-pressed", "false")
    here.are_side_by_side()


def test_a_key_held_down_turns_once(pictures):
    """A key repeats some thirty times a second: turned each time, the pictures would flash."""
    here = pictures()
    here.lay.click()
    here.shows(2)
    here.watched()
    for place, key in ((here.pair, "Space"), (here.turn, "Enter")):
        before = len(here.turns())
        place.focus()
        for _ in range(8):
            here.page.keyboard.down(key)
        here.page.keyboard.up(key)
        assert len(here.turns()) == before + 1


def test_whoever_asks_for_less_motion_turns_by_hand(pictures):
    here = pictures(reduced_motion="reduce")
    here.lay.click()
    expect(here.run).to_be_hidden()
    here.turn.click()
    here.shows(1)
    # And who asks for it while it moves sees it stop.
    here.page.emulate_media(reduced_motion="no-preference")
    here.lay.page.reload()
    here.lay.click()
    here.run.click()
    here.page.emulate_media(reduced_motion="reduce")
    expect(here.run).to_be_hidden()
    expect(here.all.locator("[data-run]")).to_have_attribute("aria-pressed", "false")
    here.shows(2)


def test_without_javascript_they_stand_side_by_side_and_offer_nothing_that_does_not_work(pictures):
    here = pictures(java_script_enabled=False, width=390)
    here.are_side_by_side()
    expect(here.all.get_by_role("button")).to_have_count(0)
    here.page.get_by_label("Before").select_option("2")
    here.page.get_by_label("After").select_option("1")
    here.me.press("Compare these")
    here.are_side_by_side()
    here.me.look(width=390, ground="dark")
