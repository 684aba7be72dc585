"""A portal with a campaign that was locked twice and one that is a draft, for the tests of what comes of agreeing."""

import json
from collections.abc import Iterator

import pytest
from playwright.sync_api import expect

from tests.browser.watching import PATIENCE_MS, Person
from tests.journey.database import wait_until_done
from tests.services import Portal, backend, portal

PASSWORD = "agreed-and-hungry"
PEOPLE = {
    "client": "Bram Oosterveld",
    "agency": "Neve Castellane",
    "photographer": "Odile Marchetti",
    "producer": "Sol Abernethy",
}
# Shot 1's mockup is drawn anew in version 2, shot 2 has its first one there; one word of the terms differs besides.
_BUILD = """
import json
from portal.models import Campaign, User
from layouts.pictures import actions
from tests.factories import CampaignFactory, MemberFactory, ShotFactory
from tests.layouts.mockup_files import upload
from tests.locked import lock
told = json.loads({told!r})
keys = {{}}
users = {{role: User.objects.create_user(f"{{role}}@elderbrook.example", name, told["password"])
         for role, name in told["people"].items()}}
for word, title in (("locked", "Elderbrook, first light"), ("draft", "Elderbrook, last light")):
    campaign = CampaignFactory(title=title, code=f"ELD-{{word[0].upper()}}", invented=True)
    shots = [ShotFactory(campaign=campaign, number=number, title=name)
             for number, name in enumerate(["Buckwheat waffles", "Plum crumble"], start=1)]
    seats = {{role: MemberFactory(campaign=campaign, user=user, role=role, may_sign=role in ("client", "agency"))
             for role, user in users.items()}}
    keys |= {{word: campaign.key, f"{{word}}-shot": shots[0].key}}
    if word == "draft":
        # Somebody of the agency's side, who may sign in its place.
        hand = User.objects.create_user("hand@elderbrook.example", "Wim Aalders", told["password"])
        MemberFactory(campaign=campaign, user=hand, role="designer")
        continue
    actions.add_mockup(seats["agency"], shots[0].key, file=upload("first.png", size=(1600, 1000), seed=0))
    lock(seats["producer"], signers=[seats["client"], seats["agency"]])
    Campaign.objects.filter(pk=campaign.pk).update(locked_version=None, media="Outdoor posters and screens")
    for shot, name in zip(shots, ("second.png", "crumble.png")):
        seat = MemberFactory._meta.model.objects.select_related("campaign").get(pk=seats["agency"].pk)
        actions.add_mockup(seat, shot.key, file=upload(name, size=(1600, 1000), seed=200))
    seat = MemberFactory._meta.model.objects.select_related("campaign").get(pk=seats["producer"].pk)
    lock(seat, signers=[seats["client"], seats["agency"]])
print("KEYS", json.dumps(keys))
"""


@pytest.fixture(scope="module")
def agreed(tmp_path_factory) -> Iterator[Portal]:
    """The running portal with its worker's work done; `keys` are those of both campaigns."""
    expect.set_options(timeout=PATIENCE_MS)
    folder = tmp_path_factory.mktemp("agreed")
    with backend("embedded", folder) as env, portal(folder, env) as site:
        told = json.dumps({"people": PEOPLE, "password": PASSWORD})
        said = site.manage("shell", "-c", _BUILD.format(told=told))
        site.keys = json.loads(next(line for line in said.splitlines() if line.startswith("KEYS"))[5:])
        wait_until_done(env)
        yield site


@pytest.fixture
def member(chromium, agreed):
    """A function that signs a role in and opens a page of a campaign of theirs; complaints fail the test."""
    people = []

    def open_as(role: str, path: str, **how) -> Person:
        me = Person(chromium, agreed.address, role, **how)
        people.append(me)
        me.page.goto(agreed.address + path.format(**agreed.keys))
        me.write("E-mail", f"{role}@elderbrook.example")
        me.write("Password", PASSWORD)
        me.page.get_by_role("button", name="Sign in").click()
        me.page.get_by_role("button", name="Sign in").wait_for(state="detached")
        me.clean()
        return me

    yield open_as
    complaints = [said for me in people for said in me.complaints]
    for me in people:
        me.close()
    assert not complaints, "\n".join(complaints)
