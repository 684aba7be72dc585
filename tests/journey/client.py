"""What the client does, on a telephone: sees the pictures, comments on a point, confirms recipes."""

import re

from playwright.sync_api import expect

from tests.browser.watching import Person
from tests.journey import agency
from tests.journey.stylist import FOOD

COMMENT = "Could the syrup run a little further down this side?"
PHONE = {"width": 390, "height": 844, "has_touch": True, "is_mobile": True, "device_scale_factor": 2}


def sees_the_pictures(me: Person) -> None:
    """On the first page: each shot with its mockup, and its placements at one scale."""
    me.section("Where it stands")
    pictures = me.page.get_by_role("region", name="The pictures")
    for number, title in agency.SHOTS.items():
        picture = pictures.get_by_role("img", name=f"Mockup of shot {number}, {title}")
        picture.scroll_into_view_if_needed()
        expect(picture).to_be_visible()
    me.clean()
    assert me.page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]


def comments_on_a_point(me: Person) -> None:
    pictures = me.page.get_by_role("region", name="The pictures")
    pictures.get_by_role("link", name=re.compile("6-sheet")).first.click()
    me.clean()
    me.page.get_by_role("button", name="Point at the picture").tap()
    box = me.page.locator("picture-stage [data-frame]").bounding_box()
    assert box
    me.page.touchscreen.tap(box["x"] + box["width"] * 0.5, box["y"] + box["height"] * 0.6)
    expect(me.page.get_by_text("The place is marked on the picture.")).to_be_visible()
    me.write("What you want to say", COMMENT)
    reads = me.page.get_by_role("radio", name="Everyone in the campaign")
    if reads.count():
        reads.check()
    me.press("Say it")
    expect(me.page.get_by_role("article").filter(has_text=COMMENT)).to_contain_text("1")


def reads_all_talk(me: Person) -> None:
    me.section("Talk")
    expect(me.page.get_by_role("heading", level=1)).to_have_text("Talk")


def looks_everywhere(me: Person) -> None:
    """Every section and every page of a shot that a client may open."""
    for section in ("Shots", "Formats", "Layouts", "Food and props", "Talk", "Brief", "People", "Where it stands"):
        me.section(section)
        assert me.page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"], section
    me.section("Shots")
    me.go(agency.SHOTS[1], within=me.page.get_by_role("table"))
    expect(me.page.locator("#talk").get_by_role("button", name="Say it")).to_be_visible()
    me.section("Where it stands")
    me.open(f"{me.page.url}log/")


def confirms_recipes(me: Person) -> None:
    me.section("Food and props")
    for food in FOOD.values():
        me.press(re.compile(rf"^Confirm\sas\ssold {food}$"))
    expect(me.page.get_by_text("confirmed as sold by")).to_have_count(2)
