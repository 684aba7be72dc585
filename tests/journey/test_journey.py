"""Protects the main job: a campaign from an empty portal to a locked brief, by five people, on either backend."""

import pytest

from tests.browser.watching import Person
from tests.journey import agency, client, designer, joining, locked, mail, photographer, stylist
from tests.journey.recording import recording

pytestmark = [pytest.mark.browser, pytest.mark.services]


@pytest.fixture
def heard():
    """All that the client's browser receives."""
    with recording() as record:
        yield record


@pytest.fixture
def people(browser, site, heard):
    """Five people, each in a browser of their own; whatever axe or a browser complains of fails the test at its end."""
    five = {role: Person(browser, site.address, role) for role in ("agency", "designer", "photographer", "stylist")}
    five["client"] = Person(browser, site.address, "client", proxy=heard.proxy, **client.PHONE)
    yield five
    complaints = [said for person in five.values() for said in person.complaints]
    for person in five.values():
        person.close()
    assert complaints == []


def test_campaign_from_nothing_to_a_locked_brief(site, people, layouts, heard, tmp_path):
    producer, artist, camera, table, buyer = (
        people[role] for role in ("agency", "designer", "photographer", "stylist", "client")
    )
    agency.is_given_an_account(site)
    agency.signs_in(producer)
    agency.starts_a_campaign(producer)
    agency.invites_four(producer)
    agency.adds_two_shots(producer)
    agency.orders_formats(producer)

    joining.comes_in(artist, site.env, "designer")
    joining.comes_in(table, site.env, "stylist")
    joining.comes_in(buyer, site.env, "client")
    joining.comes_in(camera, site.env, "photographer", password="")
    for person, role in ((artist, "designer"), (table, "stylist"), (buyer, "client"), (camera, "photographer")):
        joining.signs_out(person)
        if role == "photographer":
            joining.signs_in_by_code(person, site.env, role)
        else:
            joining.signs_in_by_password(person, role)

    photographer.sends_a_mockup(camera, 1)
    photographer.marks_by_numbers(camera, 1)
    designer.drops_all(artist, layouts)
    designer.sees_them_checked(artist)
    designer.answers_the_question(artist)
    designer.sends_the_right_one(artist, layouts)
    photographer.sends_a_mockup(camera, 2)
    photographer.marks_by_dragging(camera, 2)
    photographer.sees_previews_appear(camera, 1)
    photographer.sees_previews_appear(camera, 2)
    designer.sends_a_newer_revision(artist, layouts)
    photographer.sees_previews_appear(camera, 1)
    photographer.flips_and_compares(camera)
    photographer.reads_what_is_missing(camera, "key light", "hero food")
    for shot in (1, 2):
        photographer.writes_light_and_camera(camera, shot)
    photographer.answers_for_every_role(camera)
    photographer.says_something_for_the_working_side(camera, 1)

    for shot in (1, 2):
        stylist.lists_food(table, shot)
        stylist.lists_props(table, shot)
    stylist.mends_a_row(table)
    stylist.asks_the_client(table)
    locked.are_a_draft(stylist.takes_the_lists(table, tmp_path))

    client.sees_the_pictures(buyer)
    client.comments_on_a_point(buyer)
    client.looks_everywhere(buyer)
    client.confirms_recipes(buyer)
    photographer.resolves(camera, client.COMMENT)

    agency.waives_what_is_left(producer)
    agency.puts_it_forward(producer)
    agency.signs(camera, "Ines Varga")
    agency.signs(producer, "Maren Holloway")
    agency.signs(buyer, "Callum Reyes")
    stamp = locked.is_locked(producer)
    locked.carry(stylist.takes_the_lists(table, tmp_path), stamp)
    locked.says_why_not(table)
    designer.is_told_that_it_is_locked(artist, layouts)
    client.looks_everywhere(buyer)

    assert heard.having(client.COMMENT) != []
    assert heard.having(photographer.SECRET) == []
    assert [text for m in mail.mails(site.env) if photographer.SECRET in (text := mail.text_of(m))] == []
    assert "It is whole." in site.manage("verify_campaign", agency.CODE)
