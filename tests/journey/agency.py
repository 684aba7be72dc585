"""What the agency producer does: starts the campaign, invites, adds shots, orders formats, puts forward."""

import re

from playwright.sync_api import expect

from tests.browser.watching import Person
from tests.services import Portal

EMAIL, PASSWORD, NAME = "maren@quarter.example", "seven grey plates", "Maren Holloway"
TITLE, CODE = "Kitchen table, spring", "KIT-1"
PEOPLE = {
    "designer": ("Designer", "Tobi Achterberg", "tobi@quarter.example"),
    "photographer": ("Photographer", "Ines Varga", "ines@studio.example"),
    "stylist": ("Food stylist", "Sunniva Prosser", "sunniva@studio.example"),
    "client": ("Client", "Callum Reyes", "callum@kitchen.example"),
}
_MOST_WAIVED = 20
SHOTS = {1: "The tall stack", 2: "The porridge bowl"}


def is_given_an_account(site: Portal) -> None:
    words = ("add_person", EMAIL, "--name", NAME, "--starts-campaigns", "--password-stdin")
    said = site.manage(*words, input=PASSWORD + "\n")
    assert "may start campaigns" in said


def signs_in(me: Person) -> None:
    me.open("/")
    me.write("E-mail", EMAIL)
    me.write("Password", PASSWORD)
    me.press("Sign in")
    expect(me.page.get_by_role("heading", level=1)).to_have_text("You are in no campaign yet.")


def starts_a_campaign(me: Person) -> None:
    me.go("Start a campaign")
    page = me.page
    me.write("Title", TITLE)
    me.write("Code", CODE)
    me.write("Client", "Kitchen Table (invented)")
    me.write("Agency", "Plain Quarter (invented)")
    me.write("What the pictures are for", "Spring posters for an invented chain of cafés.")
    page.get_by_role("checkbox", name="Welsh").check()
    expect(page.get_by_role("checkbox", name="British English")).to_be_checked()
    me.write("Media", "Roadside and street posters, screens")
    me.write("Territory", "Wales")
    me.write("Period of use", "Six weeks from 1 March 2027")
    page.get_by_role("radio", name="Agency producer").check()
    page.get_by_role("checkbox", name="I may sign for the agency").check()
    me.press("Start the campaign")
    expect(page.get_by_role("status").first).to_contain_text("The campaign has begun")


def invites_four(me: Person) -> None:
    for role, name, email in PEOPLE.values():
        me.write("Who", f"{name} <{email}>")
        me.page.get_by_label("As", exact=True).select_option(role)
        box = me.page.get_by_role("checkbox", name="They may sign")
        box.set_checked(role == "Client")
        me.press("Send the invitations")
    table = me.page.get_by_role("table", name="Invitations without an answer")
    expect(table.get_by_role("rowheader")).to_have_count(4)


def adds_two_shots(me: Person) -> None:
    me.section("Shots")
    for number, title in SHOTS.items():
        me.go("Add the first shot" if number == 1 else "Add a shot")
        me.write("Title", title)
        me.write("What the picture says", "One person, one spoon, nobody in a hurry.")
        me.write("Composition", "Right of the middle; the left half stays calm for type.")
        me.write("Grade", "Warm mids, clean whites.")
        me.write("Retouching", "Crumbs tidied, nothing added to the plate.")
        me.press("Add the shot")
        me.section("Shots")
    expect(me.page.get_by_role("table").get_by_role("rowheader")).to_have_count(2)


def orders_formats(me: Person) -> None:
    """Three from the catalogue and one by hand, which is wanted in English alone."""
    me.section("Formats")
    for name in ("96-sheet", "6-sheet", "Portrait screen, 75 inch"):
        me.page.get_by_role("checkbox", name=re.compile(rf"^{re.escape(name)} ")).check()
    me.press("Add what is ticked")
    me.go("a poster")
    me.write("Name", "Hoarding at the works", exact=True)
    me.write("Width, in mm", "4000")
    me.write("Height, in mm", "2000")
    me.write("Resolution of the artwork", "300")
    me.write("Viewing distance", "12")
    me.press("Add this format")
    grid = me.page.get_by_role("region", name="Grid of placements")
    expect(grid.get_by_role("cell")).to_have_count(2 * 4 * 2)
    me.go("Choose which are wanted")
    me.press("none of Hoarding at the works, Welsh")
    expect(grid.get_by_role("button", name=re.compile("^no "))).to_have_count(2)
    me.go("Done choosing")


def waives_what_is_left(me: Person) -> None:
    """By name: type that has less contrast than was agreed, over pictures that the shoot will replace."""
    for _ in range(_MOST_WAIVED):
        me.section("Where it stands")
        ways = me.page.get_by_role("link", name="Waive it")
        if not ways.count():
            break
        ways.first.click()
        expect(me.page.get_by_role("heading", level=1)).to_contain_text("Waive it?")
        me.write("Why the brief can be locked all the same", "The frame will be darker there than the mockup.")
        me.write("Your name", NAME)
        me.press("Waive it")
        expect(me.page.get_by_role("status").first).to_contain_text("It is waived, by your name.")
    expect(me.page.get_by_role("heading", level=1)).to_contain_text("Nothing stands between this brief and the lock.")


def puts_it_forward(me: Person) -> None:
    me.section("Where it stands")
    me.go("Put it forward")
    me.write("A word to the signers", "All as we settled it on Tuesday.")
    me.press("Put it forward")
    expect(me.page.get_by_role("heading", level=1)).to_contain_text("Version 1")


def signs(me: Person, name: str) -> None:
    """Anyone's signature: the name typed under the digest."""
    me.section("Where it stands")
    expect(me.page.get_by_role("heading", level=1)).to_contain_text("waits for your signature")
    me.go("Read version 1 before you sign")
    me.go("Sign or decline it")
    form = me.page.locator("form").filter(has=me.page.get_by_role("button", name="Sign it"))
    me.write("Your name", name, within=form)
    me.press("Sign it")
