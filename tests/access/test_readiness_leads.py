"""Protects that whatever readiness finds leads each reader to the very place: the page opens for them, and has it."""

import re
from datetime import date
from html.parser import HTMLParser

import pytest

from layouts.overlays import actions as overlays
from layouts.pictures import actions as pictures
from portal import access
from portal.access import May, Role
from portal.brief import sections
from portal.models import Campaign, Work
from portal.talk import actions as talk
from shots.models import HeroFood, Light, Prop
from tests.factories import CampaignFactory, HeroFoodFactory, PropFactory, ShotFactory, member_of
from tests.layouts import layout_files, mockup_files
from tests.layouts.conftest import order
from tests.work import run_work

pytestmark = pytest.mark.django_db
READERS = access.roles_that_may(May.READ_DRAFT)


class Ids(HTMLParser):
    def __init__(self, text):
        super().__init__()
        self.found = set()
        self.feed(text)

    def handle_starttag(self, _, attributes):
        self.found |= {value for name, value in attributes if name == "id"}


def nothing_yet():
    return CampaignFactory(media="", territory="", period="")


def bare_shots():
    """Shots of which nothing is told, and food and props of which too little is."""
    campaign = CampaignFactory()
    shot = ShotFactory(campaign=campaign, number=1)
    ShotFactory(campaign=campaign, number=2)
    for told in (
        {"hero": 0}, {"recipe": ""}, {"as_sold": HeroFood.AsSold.ASKED}, {"supplier": ""}, {"allergens": None},
        {"handling": ""}, {"substitution": "Shaving foam for cream"}, {"prep": "Flambé at the table with a blowtorch"},
    ):  # fmt: skip
        HeroFoodFactory(shot=shot, **told)
    PropFactory(shot=shot, source="")
    PropFactory(shot=shot, basis=Prop.Basis.HIRE, due=date(2027, 1, 2))
    PropFactory(shot=shot, name="Carving knife", note="Open flame behind the glass")
    Light.objects.create(shot=shot, key_light="Candles, open flame", power="Three 2 kW lamps on one circuit")
    talk.comment(member_of(campaign, Role.AGENCY), kind="shot", key=shot.key, text="Hello", audience="everyone")
    return campaign


def pictures_of_many_kinds():
    """Layouts and mockups that came, are owed, are asked about and could not be read."""
    agency = order()
    first, second = agency.campaign.shots.order_by("number")
    for shot in (first, second):
        pictures.add_mockup(agency, shot.key, file=mockup_files.upload())
    pictures.mark_hero(agency, first.key, zone=(0.05, 0.05, 0.95, 0.95))
    overlays.receive_files(
        agency,
        files=[
            layout_files.upload("shot1 48-sheet en-GB.png"),
            layout_files.upload("shot1 96-sheet en-GB.png", seed=5),
            layout_files.upload("who knows.png", seed=3),
        ],
    )
    run_work()
    broken = Work.objects.filter(kind="layouts.prepare").last()
    Work.objects.filter(pk=broken.pk).update(state=Work.State.FAILED, says="It could not be read.")
    return agency.campaign


WORLDS = [nothing_yet, bare_shots, pictures_of_many_kinds]


@pytest.mark.parametrize("role", READERS)
@pytest.mark.parametrize("world", WORLDS)
def test_every_finding_leads_this_reader_to_its_place(client, world, role):
    campaign = Campaign.objects.get(pk=world().pk)
    client.force_login(member_of(campaign, role).user)
    found = sections.findings(campaign)
    pages, wrong = {}, set()
    for finding in found:
        url, _, fragment = finding.place(role).partition("#")
        if url not in pages:
            answer = client.get(url)
            pages[url] = (answer.status_code, Ids(answer.text).found if answer.status_code == 200 else set())
        status, ids = pages[url]
        if status != 200 or (fragment and fragment not in ids):
            wrong.add((finding.kind, status, re.sub(r"\b[2-9a-z]{12}\b", "KEY", finding.place(role))))
    assert wrong == set()


# They lead to the pages of a layout, of a stage and of a capture plan, as others of theirs do, which are walked above.
ELSEWHERE = {
    "capture-camera", "capture-open", "capture-stale", "capture-stitched", "capture-unserved", "layout check",
    "layout fault", "layout look", "layout older", "mockup-unread", "preview-failed", "type-below-limit", "type-hard",
    "type-on-hero",
}  # fmt: skip


def test_these_worlds_hold_the_other_kinds_of_findings(db):
    held = {finding.kind for world in WORLDS for finding in sections.findings(Campaign.objects.get(pk=world().pk))}
    every = {kind for section in sections.sections() for kind in section.kinds}
    assert every - held == ELSEWHERE


def test_a_finding_names_who_can_mend_it_and_says_so_in_a_sentence(db):
    for world in WORLDS:
        for finding in sections.findings(Campaign.objects.get(pk=world().pk)):
            assert re.fullmatch(r"[^a-z].*[.?!]", finding.says, re.DOTALL), finding.says
            assert finding.roles or finding.kind in ("layout check", "comment"), finding
