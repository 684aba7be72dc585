"""Protects a change recorded on set: in one screen of a telephone, with few steps, upright, and without JavaScript too.

How it stays under 20 seconds: `test_the_way_there_is_short` counts what a person does and prints the estimate of the
keystroke-level model (S. K. Card, T. P. Moran, A. Newell, "The keystroke-level model for user performance time with
interactive systems", Communications of the ACM 23:7, 1980: pointing 1.1 s, mental preparation 1.35 s; figures from
memory) and, for the sentence, of dictation at some 150 words a minute (S. Ruan et al., "Speech is 3x faster than
typing", 2016: from memory). No wall time is asserted.
"""

import io

import pytest
from PIL import Image
from playwright.sync_api import expect

from tests.browser import on_set
from tests.browser.on_set import PEOPLE, SAID, camera, fill, kept, press_send, recorded, stands

pytestmark = [pytest.mark.browser, pytest.mark.services]
scene, phone = on_set.scene, on_set.phone
POINT_S, THINK_S, WORDS_A_MINUTE = 1.1, 1.35, 150


def test_it_fits_one_screen_and_can_be_read_and_hit(phone):
    me = phone("stylist")
    page = me.page
    fill(page)
    for name in ("Which shot", "It changes"):
        box = page.get_by_label(name).bounding_box()
        assert box["y"] + box["height"] <= page.get_by_role("button", name="Send", exact=True).bounding_box()["y"]
    assert page.evaluate("scrollY") == 0
    small = page.evaluate(
        """() => [...document.querySelectorAll("pivot-form :is(button, select, textarea, summary),"
          + " .on-set-choices > label, .on-set-take, .on-set-head a")].filter((one) => one.checkVisibility())
          .map((one) => [one.textContent.trim(), one.getBoundingClientRect()])
          .filter(([, box]) => box.height < 44 || box.width < 44).map(([name]) => name)"""
    )
    assert small == []


@pytest.mark.parametrize("ground", ["dark", "light"])
def test_axe_finds_nothing_and_nothing_sticks_out(phone, ground):
    me = phone("stylist")
    me.page.evaluate("(ground) => document.querySelector(`[data-choose-ground='${ground}']`).click()", ground)
    press_send(me.page)  # with nothing told: every refusal stands on the page
    expect(me.page.get_by_text("There is no photo yet.")).to_be_visible()
    for width in (360, 390, 430, 1280):
        me.page.set_viewport_size({"width": width, "height": 844})
        assert me.violations() == []
        assert me.page.evaluate("document.documentElement.scrollWidth") <= width


def test_the_way_there_is_short(phone, scene, capsys):
    """Each step is one that a thumb makes; the camera's own two (release, use) are the telephone's."""
    me = phone("stylist")
    page, steps = me.page, []

    def step(name: str, does) -> None:
        does()
        steps.append(name)

    what = f"{SAID} (short)"
    step("tap “Take a photo”", lambda: None)
    step("release", lambda: None)
    step("use it", lambda: page.get_by_label("Take a photo").set_input_files(camera()))
    step("tap the sentence's field", lambda: page.get_by_label("What is different from now on").tap())
    step("tap the microphone", lambda: None)
    step("say it", lambda: page.get_by_label("What is different from now on").fill(what))
    step("tap who else is here", lambda: page.get_by_label(PEOPLE["photographer"]).tap())
    step("tap who agrees", lambda: page.get_by_role("radio", name=PEOPLE["client"]).tap())
    step("tap Send", lambda: page.get_by_role("button", name="Send", exact=True).tap())
    expect(stands(page)).to_contain_text("is recorded")

    taps, words = len(steps) - 1, len(SAID.split())
    seconds = taps * POINT_S + 2 * THINK_S + 60 * words / WORDS_A_MINUTE
    with capsys.disabled():
        print(f"\n{len(steps)} steps: {', '.join(steps)}; about {seconds:.0f} s of a person's time.")
    (row,) = recorded(scene, what)
    assert [one["name"] for one in row["present"]] == [PEOPLE["stylist"], PEOPLE["photographer"], PEOPLE["client"]]
    assert (row["state"], row["agrees_name"]) == ("asked", PEOPLE["client"])
    assert (row["photo__width"], row["photo__height"], row["photo__type"]) == (2560, 1920, "jpeg")


def test_the_photo_goes_upright_and_without_what_the_camera_noted(phone):
    """Orientation 6, as a telephone held upright writes it (CIPA DC-008, tag 274): the dark third is on top."""
    me = phone("stylist", service_workers="block", ready=False)
    me.page.get_by_label("Take a photo").set_input_files(camera(800, 600, orientation=6))
    expect(me.page.get_by_alt_text("The photo that will be sent")).to_be_visible()
    made = kept(me.page, "new Response(one.photo).arrayBuffer().then((bytes) => [...new Uint8Array(bytes)])")
    picture = Image.open(io.BytesIO(bytes(made)))
    assert (picture.size, dict(picture.getexif())) == ((600, 800), {})
    assert picture.getpixel((300, 60))[0] < 60 < 180 < picture.getpixel((300, 700))[0]


def test_a_double_tap_is_one_change(phone, scene):
    me = phone("stylist")
    what = f"{SAID} (twice)"
    fill(me.page, what=what)
    me.page.get_by_role("button", name="Send", exact=True).dblclick()
    expect(stands(me.page)).to_contain_text("is recorded")
    expect(me.page.locator(".field-errors:visible")).to_have_count(0)
    assert len(recorded(scene, what)) == 1


def test_what_is_half_written_is_there_after_the_page_was_closed(phone):
    """A telephone may put the page away while its camera is open."""
    me = phone("operator")
    me.page.get_by_label("What is different from now on").fill("Half a sent")
    me.page.get_by_label("Take a photo").set_input_files(camera(800, 600))
    expect(me.page.get_by_alt_text("The photo that will be sent")).to_be_visible()
    assert kept(me.page, "one.what") == "Half a sent"
    me.page.reload()
    expect(me.page.get_by_label("What is different from now on")).to_have_value("Half a sent")
    expect(me.page.get_by_alt_text("The photo that will be sent")).to_be_visible()


def test_without_javascript_the_same_form_is_posted(phone, scene):
    me = phone("stylist", java_script_enabled=False, ready=False)
    page, what = me.page, f"{SAID} (no script)"
    with me.refused(422):
        press_send(page)
        expect(page.get_by_role("heading", name="Three things are to be put right")).to_be_visible()
    page.get_by_label("Take a photo").set_input_files(camera(800, 600))
    page.get_by_label("What is different from now on").fill(what)
    page.get_by_role("radio", name=PEOPLE["client"]).check()
    press_send(page)
    expect(page.get_by_text("is recorded. It counts once Bram Oosterveld has accepted it.")).to_be_visible()
    assert len(recorded(scene, what)) == 1
