"""Coming in by an invitation, and signing in again: by a password, or by a code that comes by mail."""

from playwright.sync_api import expect

from tests.browser.watching import Person
from tests.journey import agency, mail

PASSWORD = "a bowl of warm oats"


def comes_in(me: Person, env: dict[str, str], role: str, *, password: str = PASSWORD) -> None:
    """Follow the link of the invitation's mail; without a password the account is made for codes alone."""
    _, name, address = agency.PEOPLE[role]
    me.open(mail.invitation_link(env, address))
    expect(me.page.get_by_label("Your name")).to_have_value(name)
    if password:
        me.write("Password", password)
    me.press("Come in")
    expect(me.page.get_by_text("You are in. You work on it as")).to_be_visible()


def signs_out(me: Person) -> None:
    me.press("sign out")
    expect(me.page.get_by_label("E-mail").first).to_be_visible()


def signs_in_by_password(me: Person, role: str) -> None:
    me.write("E-mail", agency.PEOPLE[role][2])
    me.write("Password", PASSWORD)
    me.press("Sign in")
    me.go(agency.TITLE)


def signs_in_by_code(me: Person, env: dict[str, str], role: str) -> None:
    address = agency.PEOPLE[role][2]
    me.write("E-mail", address)
    me.press("Send me a code")
    me.write("Code", mail.code(env, address))
    me.press("Sign in")
    me.go(agency.TITLE)
