"""Protects a change recorded on set: in one screen of a telephone, without a network, sent once, lost never.

How it stays under 20 seconds: `test_the_way_there_is_short` counts what a person does and prints the estimate of the
keystroke-level model (S. K. Card, T. P. Moran, A. Newell, "The keystroke-level model for user performance time with
interactive systems", Communications of the ACM 23:7, 1980: pointing 1.1 s, mental preparation 1.35 s; figures from
memory) and, for the sentence, of dictation at some 150 words a minute (S. Ruan et al., "Speech is 3x faster than
typing", 2016: from memory). No wall time is asserted.
"""

import io
import re

import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from tests.browser.on_set import ELSEWHERE, PASSWORD, PEOPLE, OnSet, camera, on_set
from tests.browser.watching import PATIENCE_MS, Person

pytestmark = [pytest.mark.browser, pytest.mark.services]
PHONE = {"width": 390, "height": 844, "has_touch": True, "is_mobile": True}
SAID = "The bun is seeded: the plain ones did not come from the baker."
POINT_S, THINK_S, WORDS_A_MINUTE = 1.1, 1.35, 150
# Of the one entry that is kept, once it has words and a photo.
KEPT = """async () => {
  const asked = (ask) => new Promise((done) => { ask.onsuccess = () => done(ask.result); });
  const base = await asked(indexedDB.open("brieflock-on-set", 1));
  for (;;) {
    const [one] = await asked(base.transaction("entries").objectStore("entries").getAll());
    if (one?.photo) { base.close(); return WHAT; }
    await new Promise((done) => { setTimeout(done, 50); });
  }
}"""


@pytest.fixture(scope="module")
def scene(tmp_path_factory):
    expect.set_options(timeout=PATIENCE_MS)
    with on_set(tmp_path_factory.mktemp("on-set")) as running:
        yield running


@pytest.fixture
def phone(chromium, scene):
    """A function that gives a role a telephone of its own, signed in and on the page."""
    people = []

    def take(role: str, *, ready: bool = True, **how) -> Person:
        me = Person(chromium, scene.address, role, **(PHONE | how))
        # Without a network a browser complains of each try, in its own words.
        me._allowed.append("net::ERR_")
        people.append(me)
        sign_in(me, scene, role)
        if ready:
            expect(me.page.locator("[data-shell]")).to_contain_text("opens without a network too")
        return me

    yield take
    complaints = [said for me in people for said in me.complaints]
    for me in people:
        me.close()
    assert complaints == []


def sign_in(me: Person, scene: OnSet, role: str) -> None:
    me.page.goto(scene.page)
    me.write("E-mail", f"{role}@elderbrook.example")
    me.write("Password", PASSWORD)
    me.page.get_by_role("button", name="Sign in").click()
    me.page.get_by_role("heading", name="Record a change on set").wait_for()


def fill(page: Page, *, what: str = SAID, agrees: str = PEOPLE["client"], photo: dict | None = None) -> None:
    page.get_by_label("Take a photo").set_input_files(photo or camera(800, 600))
    expect(page.get_by_alt_text("The photo that will be sent")).to_be_visible()
    page.get_by_label("What is different from now on").fill(what)
    page.get_by_role("radio", name=agrees).check()


def press_send(page: Page) -> None:
    page.get_by_role("button", name="Send", exact=True).click()


def stands(page: Page):
    return page.locator("[data-stands]")


def kept(page: Page, what: str):
    return page.evaluate(KEPT.replace("WHAT", what))


def recorded(scene: OnSet, what: str) -> list[dict]:
    return [row for row in scene.rows() if row["what"] == what]


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
    assert row["present"] == [PEOPLE["stylist"], PEOPLE["photographer"], PEOPLE["client"]]
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


def test_written_without_a_network_closed_opened_and_sent_once_when_it_is_back(phone, scene):
    me = phone("stylist")
    what = f"{SAID} (no network)"
    me.context.set_offline(True)
    expect(stands(me.page)).to_contain_text("No network. Go on")
    fill(me.page, what=what)
    press_send(me.page)
    expect(stands(me.page)).to_contain_text("No network. One change waits on this phone")
    me.page.close()

    again = me.context.new_page()
    again.goto(scene.page)  # opened without a network: the worker answers
    expect(again.get_by_role("heading", name="Record a change on set")).to_be_visible()
    expect(stands(again)).to_contain_text("One change waits on this phone and is sent when it is back.")
    expect(again.get_by_label(PEOPLE["photographer"])).to_be_visible()
    me.page = again
    assert me.violations() == []
    assert recorded(scene, what) == []

    me.context.set_offline(False)
    expect(stands(again)).to_contain_text("is recorded")
    expect(again.get_by_text("On this phone", exact=True)).to_be_hidden()
    (row,) = recorded(scene, what)
    assert (row["raised_by__role"], row["photo__width"]) == ("stylist", 800)


def test_an_answer_that_never_came_is_asked_for_again_and_has_one_effect(phone, scene):
    me = phone("stylist", service_workers="block", ready=False)
    what, lost = f"{SAID} (answer lost)", []

    def lose_the_first(route):
        if route.request.method != "POST" or lost:
            return route.continue_()
        lost.append(route.fetch().status)  # the portal has it; the telephone never hears so
        return route.abort()

    me.page.route(re.compile(r"/changes/on-set/$"), lose_the_first)
    fill(me.page, what=what)
    press_send(me.page)
    expect(stands(me.page)).to_contain_text("No network. One change waits")
    assert (lost, len(recorded(scene, what))) == ([200], 1)
    me.page.evaluate("window.dispatchEvent(new Event('online'))")
    expect(stands(me.page)).to_contain_text("is recorded")
    assert len(recorded(scene, what)) == 1


def test_a_double_tap_is_one_change(phone, scene):
    me = phone("stylist")
    what = f"{SAID} (twice)"
    fill(me.page, what=what)
    me.page.get_by_role("button", name="Send", exact=True).dblclick()
    expect(stands(me.page)).to_contain_text("is recorded")
    expect(me.page.locator(".field-errors:visible")).to_have_count(0)
    assert len(recorded(scene, what)) == 1


def test_what_waits_is_never_sent_under_another_account(phone, scene):
    """A telephone that is handed on: her sign-in runs out before the network carries, and somebody else signs in."""
    me = phone("stylist")
    what = f"{SAID} (shared phone)"
    me.context.set_offline(True)
    fill(me.page, what=what)
    press_send(me.page)
    expect(stands(me.page)).to_contain_text("One change waits")
    other = me.context.new_page()
    me.page.close()
    me.page = other
    me.context.clear_cookies()
    me.context.set_offline(False)
    sign_in(me, scene, "props")
    expect(stands(other)).to_contain_text("One change of another account waits here too")
    assert recorded(scene, what) == []

    me.context.clear_cookies()
    sign_in(me, scene, "stylist")
    expect(stands(other)).to_contain_text("is recorded")
    assert [row["raised_by__role"] for row in recorded(scene, what)] == ["stylist"]


def test_a_page_left_open_does_not_send_once_somebody_else_has_signed_in(phone, scene):
    me = phone("stylist")
    what, hers = f"{SAID} (two tabs)", me.page
    fill(hers, what=what)
    me.context.clear_cookies()
    me.page = me.context.new_page()
    sign_in(me, scene, "props")
    press_send(hers)
    expect(stands(hers)).to_contain_text("Somebody else is signed in now. One change waits on this phone")
    assert recorded(scene, what) == []


def test_signed_out_between_asking_and_sending_is_no_refusal(phone, scene):
    me = phone("stylist", service_workers="block", ready=False)
    what = f"{SAID} (signed out between)"

    def sign_out_before_it_goes(route):
        if route.request.method == "POST":
            me.context.clear_cookies()
            headers = {name: value for name, value in route.request.headers.items() if name != "cookie"}
            return route.fulfill(response=route.fetch(headers=headers))
        return route.continue_()

    me.page.route(re.compile(r"/changes/on-set/$"), sign_out_before_it_goes)
    fill(me.page, what=what)
    with me.refused(403):
        press_send(me.page)
        expect(stands(me.page)).to_contain_text("Your sign-in has run out. One change waits on this phone")
    assert recorded(scene, what) == []


def test_a_sign_in_that_ran_out_is_said_with_the_way_to_it_and_the_entry_stays(phone, scene):
    me = phone("stylist")
    what = f"{SAID} (signed out)"
    fill(me.page, what=what)
    me.context.clear_cookies()
    press_send(me.page)
    expect(stands(me.page)).to_contain_text("Your sign-in has run out. One change waits on this phone")
    me.page.get_by_role("link", name="Sign in").click()
    me.write("E-mail", "stylist@elderbrook.example")
    me.write("Password", PASSWORD)
    me.page.get_by_role("button", name="Sign in").click()
    expect(stands(me.page)).to_contain_text("is recorded")
    assert len(recorded(scene, what)) == 1


def test_a_refusal_keeps_the_entry_and_says_why(phone, scene):
    me = phone("stylist")
    what = f"{SAID} (refused)"
    me.context.set_offline(True)
    fill(me.page, what=what)
    press_send(me.page)
    expect(stands(me.page)).to_contain_text("One change waits")
    member = f"Member.objects.filter(key={scene.keys['stylist']!r})"
    scene.run(f"from portal.models import Member; {member}.update(role='assistant')")
    try:
        with me.refused(403):
            me.context.set_offline(False)
            expect(stands(me.page)).to_contain_text("One change was not taken")
        expect(me.page.get_by_text("may not raise a change")).to_be_visible()
    finally:
        scene.run(f"from portal.models import Member; {member}.update(role='stylist')")
    me.page.get_by_role("button", name="Put it back in the form").click()
    expect(me.page.get_by_label("What is different from now on")).to_have_value(what)
    expect(me.page.get_by_alt_text("The photo that will be sent")).to_be_visible()
    press_send(me.page)
    expect(stands(me.page)).to_contain_text("is recorded")
    assert len(recorded(scene, what)) == 1


def test_a_brief_that_is_no_longer_locked_keeps_the_entry_and_its_reason(phone, scene):
    me = phone("stylist")
    what = f"{SAID} (not locked)"
    fill(me.page, what=what)
    of = "from portal.models import Campaign, Version; Campaign.objects.update(locked_version={})"
    scene.run(of.format("None"))
    try:
        with me.refused(409):
            press_send(me.page)
            expect(me.page.get_by_text("The brief is not locked, so nothing stands in the way")).to_be_visible()
        me.page.reload()  # there is no form now, and what was not taken is still there
        expect(me.page.get_by_label("What is different from now on")).to_have_count(0)
        expect(me.page.get_by_text(what)).to_be_visible()
        assert me.violations() == []
    finally:
        scene.run(of.format("Version.objects.get()"))
    me.page.get_by_role("button", name="Try again").click()
    expect(stands(me.page)).to_contain_text("is recorded")
    assert len(recorded(scene, what)) == 1


def test_an_answer_that_the_portal_cannot_give_now_is_asked_for_again_after_a_while(phone, scene):
    me = phone("stylist", service_workers="block", ready=False)
    what, tries = f"{SAID} (busy)", []

    def busy_once(route):
        if route.request.method != "POST":
            return route.continue_()
        tries.append(route.request.url)
        return route.fulfill(status=503, body="") if len(tries) == 1 else route.continue_()

    me.page.route(re.compile(r"/changes/on-set/$"), busy_once)
    fill(me.page, what=what)
    with me.refused(503):
        press_send(me.page)
        expect(stands(me.page)).to_contain_text(
            "One change waits on this phone and is sent as soon as the portal answers."
        )
        expect(stands(me.page)).to_contain_text("is recorded")
    assert (len(tries), len(recorded(scene, what))) == (2, 1)


def test_in_a_window_that_keeps_nothing_it_goes_at_once_or_stays_in_the_form(phone, scene):
    me = phone("stylist", service_workers="block", ready=False)
    me.page.add_init_script("indexedDB.open = () => { throw new Error('no room'); }")
    me.page.reload()
    what = f"{SAID} (private window)"
    fill(me.page, what=what)
    me.context.set_offline(True)
    press_send(me.page)
    expect(stands(me.page)).to_contain_text("this browser keeps nothing")
    expect(me.page.get_by_label("What is different from now on")).to_have_value(what)
    me.context.set_offline(False)
    me.page.wait_for_timeout(900)  # longer than a double tap
    press_send(me.page)
    expect(stands(me.page)).to_contain_text("is recorded")
    assert len(recorded(scene, what)) == 1


def test_at_an_address_without_https_the_open_page_still_keeps_and_says_that_it_must_stay_open(chromium, scene):
    port = scene.address.rpartition(":")[2]
    rules = f"--host-resolver-rules=MAP {ELSEWHERE} 127.0.0.1"
    browser = chromium.browser_type.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox", rules])
    me = Person(browser, f"http://{ELSEWHERE}:{port}", "stylist", **PHONE)
    try:
        me.page.goto(scene.page.replace(scene.address, me.address))
        me.write("E-mail", "stylist@elderbrook.example")
        me.write("Password", PASSWORD)
        me.page.get_by_role("button", name="Sign in").click()
        expect(me.page.locator("[data-shell]")).to_contain_text("Leave it open: what you send waits here")
        assert me.page.evaluate("isSecureContext") is False
        what = f"{SAID} (plain http)"
        me.context.set_offline(True)
        fill(me.page, what=what)
        press_send(me.page)
        expect(stands(me.page)).to_contain_text("No network. One change waits")
        me.context.set_offline(False)
        expect(stands(me.page)).to_contain_text("is recorded")
        assert len(recorded(scene, what)) == 1
    finally:
        browser.close()


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


def test_signing_out_clears_the_page_from_the_phone_and_leaves_what_waits(phone, scene):
    me = phone("lighting")
    names = "async () => (await caches.keys()).filter((name) => name.startsWith('on-set '))"
    assert me.page.evaluate(names) == [f"on-set {scene.page.removeprefix(scene.address)}"]
    me.page.get_by_label("What is different from now on").fill("Not sent yet")
    me.page.get_by_label("Take a photo").set_input_files(camera(800, 600))
    assert kept(me.page, "one.what") == "Not sent yet"
    with me.page.expect_navigation():
        me.page.get_by_role("button", name="sign out").click()
    assert me.page.evaluate(names) == []
    assert kept(me.page, "one.what") == "Not sent yet"


def test_nothing_but_the_page_and_what_it_is_made_of_is_kept(phone, scene):
    me = phone("stylist")
    me.page.reload()
    expect(me.page.locator("[data-shell]")).to_contain_text("opens without a network too")
    urls = me.page.evaluate(
        "async () => { const kept = await caches.open((await caches.keys())[0]);"
        " return (await kept.keys()).map((request) => request.url); }"
    )
    assert [url for url in urls if not url.startswith(f"{scene.address}/static/")] == [scene.page]


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
