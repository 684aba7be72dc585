"""The demo, served as people have it, for the tests that walk its pages in a browser."""

import json

import pytest
from playwright.sync_api import expect, sync_playwright

from fixtures.demo.scenario import LOCKED, SCENARIO
from tests.browser.kept import demo_portal
from tests.browser.watching import PATIENCE_MS, Person, launch

# A row of each kind that has a page of its own, in the middle of things: with talk, with a fault, with a question; and
# of the locked campaign the change that was carried out, the one made on set and the one that waits.
KEYS = f"""
import json
from layouts.models import Placement
from portal.models import Campaign, Member
campaign = Campaign.objects.get(title={SCENARIO["campaign"]["title"]!r})
locked = Campaign.objects.get(title={LOCKED["campaign"]["title"]!r})
shot = campaign.shots.get(number=2)
wide = Placement.objects.get(shot=shot, format__name="96-sheet", language="en-GB")
faulty = Placement.objects.get(shot=shot, format__name="6-sheet", language="en-GB")
changes = dict(locked.changes.values_list("number", "key"))
print("KEYS", json.dumps({{
    "campaign": campaign.key, "shot": shot.key, "wide": wide.key, "faulty": faulty.key, "format": wide.format.key,
    "food": shot.food.first().key, "prop": shot.props.first().key,
    "member": campaign.members.get(role="props").key,
    "locked": locked.key, "locked_shot": locked.shots.get(number=1).key,
    "carried_out": changes[1], "pivot": changes[3], "undecided": changes[4],
}}))
"""


# Of a module: Playwright runs once at a time in a process, and other modules start their own.
@pytest.fixture(scope="module")
def chromium():
    with sync_playwright() as play:
        started = launch(play)
        yield started
        started.close()


@pytest.fixture(scope="package")
def demo(tmp_path_factory):
    """The demo's portal with all its work done, and the keys of its rows."""
    expect.set_options(timeout=PATIENCE_MS)
    folder = tmp_path_factory.mktemp("demo")
    with demo_portal(folder) as site:
        said = site.manage("shell", "-c", KEYS)
        site.keys = json.loads(next(line for line in said.splitlines() if line.startswith("KEYS"))[5:])
        yield site


@pytest.fixture
def signed_in(chromium, demo):
    """A function that signs a role of the demo in, as a person in a browser of their own."""
    people = []

    def sign_in(role: str, **how) -> Person:
        me = Person(chromium, demo.address, role, **how)
        people.append(me)
        me.page.goto(demo.address)
        me.write("E-mail", f"{role}@oatlock.example")
        me.write("Password", SCENARIO["password"])
        me.page.get_by_role("button", name="Sign in").click()
        me.page.get_by_role("link", name="Oatlock, slow mornings").wait_for()
        return me

    yield sign_in
    for me in people:
        me.close()
