"""Protects the pages on which people agree and depart from it: the main acts by keyboard, every width and ground."""

import re
from datetime import date, timedelta

import pytest
from playwright.sync_api import expect

from tests.browser.agreed import PEOPLE, agreed, member  # noqa: F401  fixtures
from tests.browser.watching import Person

pytestmark = [pytest.mark.browser, pytest.mark.services]
PHONE = {"width": 360, "height": 780}
# What depends on the ground; everything else axe has seen in the other.
COLOURS = '{runOnly: ["color-contrast", "link-in-text-block"]}'
AMBER = "The tumbler of shot 2 is amber glass instead of clear."


def in_both(me: Person) -> None:
    """The page as it stands, at the desk in the dark and on the telephone in the light; it stays there."""
    me.look(width=1280, ground="dark", options=COLOURS)
    me.look(width=360)


def keyed(me: Person, label: str, text: str = "", *, within=None) -> None:
    """Come to a field, button or what unfolds by Tab from wherever the focus is, and type; the others take Enter."""
    here = within or me.page
    wanted = here.get_by_label(label, exact=True).or_(here.get_by_role("button", name=label, exact=True))
    wanted = wanted.or_(
        here.locator("summary").get_by_text(label, exact=True).locator("xpath=ancestor-or-self::summary")
    )
    wanted = wanted.locator("visible=true").first
    for _ in range(120):
        if wanted.evaluate("(one) => one === document.activeElement"):
            break
        me.page.keyboard.press("Tab")
    expect(wanted).to_be_focused()
    me.page.keyboard.type(text) if text else me.page.keyboard.press("Enter")


def test_a_change_is_raised_and_decided_by_keyboard(member):  # noqa: F811
    me = member("photographer", "/c/{locked}/changes/", **PHONE)
    in_both(me)
    me.go("Raise a change")
    in_both(me)
    with me.refused(422):
        keyed(me, "Raise it")
        expect(me.page.get_by_text("Say in a sentence what shall be different.").first).to_be_visible()
    in_both(me)
    address = filled_in(me, AMBER)
    in_both(me)
    client = member("client", address, **PHONE)
    with client.refused(422):
        keyed(client, "Accept it")
        expect(client.page.get_by_text("Type your name as you decide.").first).to_be_visible()
    in_both(client)
    keyed(client, "Your name", PEOPLE["client"])
    keyed(client, "Accept it")
    expect(client.page.get_by_text(re.compile(r"Change \d+ is accepted\."))).to_be_visible()
    client.go("All changes")
    expect(client.page.get_by_role("main")).to_contain_text(AMBER)
    in_both(client)


def filled_in(me: Person, what: str) -> str:
    """Fill in the form of a change and raise it; the address of its page."""
    keyed(me, "What shall be different", what)
    keyed(me, "Why", "The clear one is broken.")
    keyed(me, "Who asked for it", PEOPLE["client"])
    keyed(me, "Raise it")
    expect(me.page.get_by_text(re.compile(r"Change \d+ is raised\."))).to_be_visible()
    return me.page.url.removeprefix(me.address)


def test_a_change_is_refused_by_keyboard_and_whoever_raised_it_reads_why(member):  # noqa: F811
    me = member("photographer", "/c/{locked}/changes/raise/", **PHONE)
    address = filled_in(me, "The plum is a fig.")
    client = member("client", address, **PHONE)
    keyed(client, "Refuse it instead")
    refusal = client.page.locator("form", has=client.page.get_by_role("button", name="Refuse it", exact=True))
    keyed(client, "Your name", PEOPLE["client"], within=refusal)
    with client.refused(422):
        keyed(client, "Refuse it", within=refusal)
        expect(client.page.get_by_text("Say why it is refused: whoever asked will read it.").first).to_be_visible()
    # What was typed is still there, and the form has stayed unfolded.
    expect(refusal.get_by_label("Your name", exact=True)).to_have_value(PEOPLE["client"])
    in_both(client)
    keyed(client, "Why it is refused", "A fig is not on the menu.", within=refusal)
    keyed(client, "Refuse it", within=refusal)
    expect(client.page.get_by_text(re.compile(r"Change \d+ is refused\."))).to_be_visible()
    expect(client.page.get_by_role("button", name="Accept it")).to_have_count(0)
    in_both(client)
    me.open(address)
    expect(me.page.get_by_role("main")).to_contain_text("Refused by Bram Oosterveld")
    expect(me.page.get_by_role("main")).to_contain_text("A fig is not on the menu.")
    expect(me.page.get_by_role("button", name="Withdraw it")).to_have_count(0)


def test_a_change_is_taken_back_by_keyboard_by_whoever_raised_it(member):  # noqa: F811
    me = member("photographer", "/c/{locked}/changes/raise/", **PHONE)
    address = filled_in(me, "The soup is red.")
    keyed(me, "Take it back")
    in_both(me)
    keyed(me, "Why it is taken back optional", "The green one was found.")
    keyed(me, "Withdraw it")
    expect(me.page.get_by_text(re.compile(r"Change \d+ is withdrawn\."))).to_be_visible()
    expect(me.page.get_by_role("main")).to_contain_text("The green one was found.")
    in_both(me)
    # There is no answer to give any more.
    client = member("client", address, **PHONE)
    expect(client.page.get_by_role("main")).to_contain_text("Withdrawn by Odile Marchetti")
    expect(client.page.get_by_role("button", name="Accept it")).to_have_count(0)


def test_somebody_else_is_asked_to_sign_by_keyboard(member):  # noqa: F811
    me = member("agency", "/c/{draft}/signatures/", **PHONE)
    in_both(me)
    who = me.page.get_by_label("Who signs for you")
    keyed(me, "Who signs for you", "Wim")
    assert "Wim Aalders" in who.evaluate("(one) => one.selectedOptions[0].textContent")
    first = date.today() + timedelta(days=7)
    for field, day in (("first_day", first), ("last_day", first + timedelta(days=2))):
        box = me.page.locator(f"[name={field}]")
        box.focus()
        me.page.keyboard.type(day.strftime("%m%d%Y"))
        expect(box).to_have_value(day.isoformat())
    keyed(me, "Let them sign for me")
    expect(me.page.get_by_text("Wim Aalders signs for you")).to_be_visible()
    in_both(me)
    keyed(me, "End it now")
    expect(me.page.get_by_text("Wim Aalders no longer signs for Neve Castellane.")).to_be_visible()


def test_a_must_fix_is_waived_by_keyboard_and_taken_back(member):  # noqa: F811
    me = member("client", "/c/{draft}/", **PHONE)
    me.page.get_by_role("link", name="Waive it").first.focus()
    me.page.keyboard.press("Enter")
    me.page.get_by_role("heading", name="Waive it?").wait_for()
    in_both(me)
    keyed(me, "Why the brief can be locked all the same", "It is drawn on the day.")
    keyed(me, "Your name", PEOPLE["client"])
    keyed(me, "Waive it")
    expect(me.page.get_by_text("It is waived, by your name.")).to_be_visible()
    me.go("See the waivers")
    in_both(me)
    keyed(me, "Take it back")
    expect(me.page.get_by_text("The waiver is taken back.")).to_be_visible()
    in_both(me)


def test_a_role_is_answered_by_keyboard(member):  # noqa: F811
    me = member("producer", "/c/{draft}/roles/", **PHONE)
    row = me.page.locator("[id^=role-]", has=me.page.get_by_text("Answer", exact=True)).first
    row_id = row.get_attribute("id")
    row = me.page.locator(f"#{row_id}")
    row.locator("summary").focus()
    me.page.keyboard.press("Enter")
    in_both(me)
    keyed(me, "Agreed by", PEOPLE["client"], within=row)
    keyed(me, "Why", "A small set.", within=row)
    keyed(me, "That is agreed", within=row)
    expect(row).to_contain_text("A small set.")


def test_how_mail_comes_is_said_by_keyboard(member):  # noqa: F811
    me = member("agency", "/c/{draft}/mail/", **PHONE)
    me.page.get_by_role("radio").and_(me.page.locator(":checked")).focus()
    me.page.keyboard.press("ArrowDown")
    keyed(me, "Keep")
    expect(me.page.get_by_text("Kept.")).to_be_visible()
    in_both(me)
    me.go("For all your campaigns, and your time zone")
    keyed(me, "Keep")
    expect(me.page.get_by_text("Kept.")).to_be_visible()


def test_the_page_of_a_plan_stands_without_a_plan(member):  # noqa: F811
    in_both(member("photographer", "/c/{draft}/shots/{draft-shot}/capture/", **PHONE))
