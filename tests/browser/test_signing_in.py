"""Protects what waits for a sign-in: what was typed goes at the first send, and a mail's link leads to its place."""

import pytest
from allauth.mfa.totp.internal.auth import format_hotp_value, hotp_value, yield_hotp_counters_from_time
from playwright.sync_api import expect

from tests.browser.agreed import PASSWORD, agreed, member  # noqa: F401  fixtures
from tests.browser.watching import Person

pytestmark = [pytest.mark.browser, pytest.mark.services]
TALK = "/c/{draft}/talk/campaign/{draft}/"
TYPED = "One line,\n\nand “another” <b>one</b> & a third."
SECRET = "JBSWY3DPEHPK3PXP"
_SECOND_STEP = """
from allauth.mfa.totp.internal.auth import TOTP
from portal.models import User
TOTP.activate(User.objects.get(email="producer@elderbrook.example"), {secret!r})
"""


def sign_in(page, role: str) -> None:
    page.get_by_label("E-mail").fill(f"{role}@elderbrook.example")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()


def say(me: Person, text: str) -> None:
    me.page.get_by_label("What you want to say", exact=True).fill(text)
    me.page.get_by_role("radio", name="Everyone in the campaign").check()
    me.press("Say it")


def test_what_was_typed_while_signed_out_goes_at_the_first_send(member):  # noqa: F811
    me = member("client", TALK)
    me.context.clear_cookies(name="sessionid")
    with me.refused(422):
        say(me, TYPED)
        expect(me.page.get_by_text("You have been signed out, so this was not taken.")).to_be_visible()
    with me.context.expect_page() as opened:
        me.page.get_by_role("link", name="Sign in in a new window").click()
    sign_in(opened.value, "client")
    expect(opened.value.get_by_role("button", name="sign out")).to_be_visible()
    opened.value.close()
    me.press("Send it again")
    said = me.page.locator("[id^=comment-]").filter(has_text="and “another” <b>one</b> & a third.")
    expect(said).to_have_count(1)


@pytest.mark.parametrize("steps", [1, 2])
def test_the_part_of_a_page_that_a_mail_leads_to_is_kept_through_the_sign_in(chromium, agreed, member, steps):  # noqa: F811
    author = member("agency", TALK)
    say(author, f"A comment with a place of its own, {steps}.")
    anchor = author.page.locator("[id^=comment-]").last.get_attribute("id")
    role = "photographer" if steps == 1 else "producer"
    me = Person(chromium, agreed.address, role)
    me.page.goto(agreed.address + TALK.format(**agreed.keys) + f"#{anchor}")
    if steps == 2:
        agreed.manage("shell", "-c", _SECOND_STEP.format(secret=SECRET))
    sign_in(me.page, role)
    if steps == 2:
        counter = next(iter(yield_hotp_counters_from_time()))
        me.page.get_by_label("Code").fill(format_hotp_value(hotp_value(SECRET, counter)))
        me.page.get_by_role("button", name="Sign in").click()
    expect(me.page.get_by_role("button", name="sign out")).to_be_visible()
    assert me.page.url == agreed.address + TALK.format(**agreed.keys) + f"#{anchor}"
    expect(me.page.locator(f"#{anchor}")).to_be_in_viewport()
    assert me.complaints == []
    me.close()
