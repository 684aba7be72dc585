"""Protects the editor of a layout's window: to the pixel by mouse, by keys, by numbers, and without JavaScript."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser.watching import Person

pytestmark = [pytest.mark.browser, pytest.mark.services]
# The demo's 48-sheet of shot 3 came with a surround: 7200 × 3600 px in a canvas of 7632 × 4032.
FOUND = ["216", "216", "7200", "3600"]
SURROUND = """
import json
from layouts.models import Placement
print("KEYS", Placement.objects.get(shot__number=3, format__name="48-sheet", language="en-GB").key)
"""


@pytest.fixture(scope="module")
def layout(demo):
    said = demo.manage("shell", "-c", SURROUND)
    key = next(line for line in said.splitlines() if line.startswith("KEYS")).split()[1]
    return f"/c/{demo.keys['campaign']}/layouts/of/{key}/"


@pytest.fixture
def designer(signed_in):
    """A function that signs the designer in; what the browser laments fails the test."""
    people = []

    def sign_in(**how) -> Person:
        people.append(signed_in("designer", **how))
        return people[-1]

    yield sign_in
    for me in people:
        me.close()
        assert me.complaints == []


def numbers(me: Person) -> list[str]:
    labels = ("From the left", "From the top", "Width", "Height")
    return [me.page.get_by_label(re.compile(f"^{label}")).input_value() for label in labels]


def edge(me: Person, name: str):
    return me.page.get_by_role("slider", name=f"{name} edge of the window")


def test_keys_move_an_edge_by_one_pixel_and_with_shift_by_ten(designer, layout):
    me = designer()
    me.open(layout)
    assert numbers(me) == FOUND
    edge(me, "Left").focus()
    me.page.keyboard.press("ArrowRight")
    me.page.keyboard.press("Shift+ArrowRight")
    assert numbers(me) == ["227", "216", "7189", "3600"]
    edge(me, "Bottom").focus()
    me.page.keyboard.press("ArrowUp")
    assert numbers(me) == ["227", "216", "7189", "3599"]
    expect(edge(me, "Bottom")).to_have_attribute("aria-valuetext", "3815\u202fpx from the top")
    expect(edge(me, "Bottom")).to_have_attribute("aria-valuemax", "4032")
    me.page.get_by_role("button", name="As found").click()
    assert numbers(me) == FOUND


def test_an_edge_is_dragged_and_the_ordered_shape_is_snapped_to(designer, layout):
    me = designer()
    me.open(layout)
    handle = edge(me, "Right").bounding_box()
    x, y = handle["x"] + handle["width"] / 2, handle["y"] + handle["height"] / 2
    me.page.mouse.move(x, y)
    me.page.mouse.down()
    me.page.mouse.move(x - 100, y, steps=4)
    me.page.mouse.up()
    left, top, width, height = (int(value) for value in numbers(me))
    assert (left, top, height) == (216, 216, 3600)
    assert width < 7000
    expect(me.page.get_by_text(re.compile(r"48-sheet is 2\.00"))).to_be_visible()
    me.page.get_by_role("button", name="Snap to the ordered shape").click()
    left, top, width, height = (int(value) for value in numbers(me))
    assert abs(width / height - 2) < 0.001


def test_the_magnified_view_shows_the_files_own_pixels_and_places_an_edge_to_the_pixel(designer, layout):
    me = designer()
    me.open(layout)
    me.page.get_by_role("button", name="Show the file’s own pixels").click()
    expect(me.page.get_by_text("The magnified view shows the file’s own pixels.")).to_be_visible()
    edge(me, "Left").focus()
    me.page.keyboard.press("ArrowRight")
    expect(me.page.get_by_text("Left edge: 217\u202fpx from the left.")).to_be_visible()
    # Eight px for each of the file: one left of the edge is clear now (squares of two greys), two left is surround.
    me.page.wait_for_function(
        """() => { const canvas = document.querySelector('[data-loupe]');
        const grey = (x) => canvas.getContext('2d').getImageData(canvas.width / 2 - x, 40, 1, 1).data[0];
        return [0x77, 0x63].includes(grey(6)) && ![0x77, 0x63].includes(grey(12)); }"""
    )
    view = me.page.locator("[data-loupe]").bounding_box()
    x, y = view["x"] + view["width"] / 2, view["y"] + view["height"] / 2
    me.page.mouse.move(x, y)
    me.page.mouse.down()
    me.page.mouse.move(x - view["width"] / 320 * 8, y, steps=3)
    me.page.mouse.up()
    assert numbers(me) == FOUND


def test_typed_numbers_move_the_rectangle_and_nonsense_hides_it(designer, layout):
    me = designer()
    me.open(layout)
    me.page.get_by_label(re.compile("^Width")).fill("3600")
    box = me.page.locator(".zone-box").bounding_box()
    frame = me.page.locator("[data-frame]").bounding_box()
    assert box["width"] / frame["width"] == pytest.approx(3600 / 7632, abs=0.005)
    me.page.get_by_label(re.compile("^Width")).fill("9000")
    expect(me.page.locator(".zone-box")).to_be_hidden()
    expect(me.page.get_by_text("no window that lies in the file")).to_be_visible()


@pytest.mark.parametrize("scripts", [True, False])
def test_a_correction_is_kept_and_taken_back(designer, layout, scripts):
    me = designer(java_script_enabled=scripts)
    me.page.goto(me.address + layout)
    for label, value in (("From the left", "226"), ("Width", "7180"), ("From the top", "221"), ("Height", "3590")):
        me.page.get_by_label(re.compile(f"^{label}")).fill(value)
    me.page.get_by_role("button", name="Keep this window").click()
    _until(me, layout, ["226", "221", "7180", "3590"])
    expect(me.page.get_by_text("The window was set by hand")).to_be_visible()
    me.page.get_by_role("button", name="As found").click()
    if scripts:
        me.page.get_by_role("button", name="Keep this window").click()
    _until(me, layout, FOUND)


def _until(me: Person, layout: str, window: list[str]) -> None:
    """Look at the page again until the worker has inspected the file anew."""
    for _ in range(60):
        me.page.goto(me.address + layout)
        if me.page.get_by_role("button", name="Keep this window").count() and numbers(me) == window:
            return
        me.page.wait_for_timeout(500)
    raise AssertionError(f"the page does not come to show {window}")


def test_a_reader_sees_the_marks_and_no_editor(signed_in, layout):
    me = signed_in("photographer")
    me.open(layout)
    expect(me.page.locator("rect.window")).to_be_visible()
    assert me.page.get_by_role("slider").count() == 0
    me.close()
    assert me.complaints == []
