"""Protects what is recorded on set without a network: sent once, by its writer alone, and lost never."""

import re

import pytest
from playwright.sync_api import expect

from tests.browser import on_set
from tests.browser.on_set import (
    ELSEWHERE,
    PASSWORD,
    PEOPLE,
    PHONE,
    SAID,
    camera,
    fill,
    kept,
    press_send,
    recorded,
    sign_in,
    stands,
)
from tests.browser.watching import Person

pytestmark = [pytest.mark.browser, pytest.mark.services]
scene, phone = on_set.scene, on_set.phone


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


def test_signing_out_clears_the_page_from_the_phone_and_leaves_what_waits(phone, scene):
    me = phone("lighting")
    names = "async () => (await caches.keys()).filter((name) => name.startsWith('on-set '))"
    assert me.page.evaluate(names) == [f"on-set {scene.page.removeprefix(scene.address)}"]
    me.page.get_by_label("What is different from now on").fill("Not sent yet")
    me.page.get_by_label("Take a photo").set_input_files(camera(800, 600))
    assert kept(me.page, "one.what") == "Not sent yet"
    with me.page.expect_navigation():
        me.page.get_by_role("button", name="sign out").click()
    me.page.wait_for_function("async () => (await caches.keys()).length === 0")
    assert kept(me.page, "one.what") == "Not sent yet"


def test_a_sign_in_that_ran_out_leaves_no_page_for_who_comes_next(phone, scene):
    me = phone("lighting")
    me.context.clear_cookies()
    me.page.goto(f"{scene.address}/account/login/")
    me.page.wait_for_function("async () => (await caches.keys()).length === 0")


def test_nothing_but_the_page_and_what_it_is_made_of_is_kept(phone, scene):
    me = phone("stylist")
    me.page.reload()
    expect(me.page.locator("[data-shell]")).to_contain_text("opens without a network too")
    urls = me.page.evaluate(
        "async () => { const kept = await caches.open((await caches.keys())[0]);"
        " return (await kept.keys()).map((request) => request.url); }"
    )
    assert [url for url in urls if not url.startswith(f"{scene.address}/static/")] == [scene.page]
