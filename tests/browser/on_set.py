"""A portal with a locked brief and its people on set, for the tests of recording a change there."""

import contextlib
import io
import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from tests.browser.watching import PATIENCE_MS, Person
from tests.services import Portal, backend, portal

# A name that browsers do not take for this machine: plain http there is no secure context.
ELSEWHERE = "brief.example"
PASSWORD = "on-set-and-hungry"
PEOPLE = {
    "photographer": "Odile Marchetti",
    "client": "Bram Oosterveld",
    "agency": "Neve Castellane",
    "stylist": "Tamsin Roe",
    "props": "Ilja Brandt",
    "lighting": "Kofi Mensa",
    "operator": "Ragna Lind",
    "producer": "Sol Abernethy",
}
PHONE = {"width": 390, "height": 844, "has_touch": True, "is_mobile": True}
SAID = "The bun is seeded: the plain ones did not come from the baker."
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
_BUILD = """
import json
from portal.models import User
from tests.factories import CampaignFactory, MemberFactory, ShotFactory
from tests.locked import lock
told = json.loads({told!r})
campaign = CampaignFactory(title="Elderbrook, first light", code="ELD-3", invented=True)
for number, title in enumerate(["Buckwheat waffles", "Plum crumble", "Green soup"], start=1):
    ShotFactory(campaign=campaign, number=number, title=title)
seats = {{}}
for role, name in told["people"].items():
    user = User.objects.create_user(f"{{role}}@elderbrook.example", name, told["password"])
    seats[role] = MemberFactory(campaign=campaign, user=user, role=role, may_sign=role in ("client", "agency"))
lock(seats["producer"], signers=[seats["client"], seats["agency"]])
print("KEYS", json.dumps({{"campaign": campaign.key, **{{role: seat.key for role, seat in seats.items()}}}}))
"""
_ROWS = """
import json
from portal.models import Change
fields = ["number", "what", "state", "present", "agrees_name", "opens", "sent_as", "raised_by__role"]
fields += ["photo__width", "photo__height", "photo__type"]
print("ROWS", json.dumps(list(Change.objects.order_by("number").values(*fields))))
"""


class OnSet:
    """The running portal, the keys of its rows, and what has been recorded in it."""

    def __init__(self, site: Portal) -> None:
        self.site, self.address = site, site.address
        told = json.dumps({"people": PEOPLE, "password": PASSWORD})
        self.keys = self._said("KEYS", _BUILD.format(told=told))
        self.page = f"{site.address}/c/{self.keys['campaign']}/changes/on-set/"

    def rows(self) -> list[dict]:
        return self._said("ROWS", _ROWS)

    def run(self, code: str) -> None:
        self.site.manage("shell", "-c", code)

    def _said(self, word: str, code: str):
        said = self.site.manage("shell", "-c", code)
        return json.loads(next(line for line in said.splitlines() if line.startswith(word))[len(word) :])


@contextlib.contextmanager
def on_set(folder: Path) -> Iterator[OnSet]:
    with backend("embedded", folder, BRIEFLOCK_HOSTS=f"localhost,{ELSEWHERE}") as env, portal(folder, env) as site:
        yield OnSet(site)


def camera(width: int = 4000, height: int = 3000, orientation: int = 1) -> dict:
    """A photo as a telephone's camera hands it over; in its orientation's own rows, its left third is dark."""
    picture = Image.new("RGB", (width, height), (214, 214, 214))
    picture.paste((30, 30, 30), (0, 0, width // 3, height))
    exif, made = Image.Exif(), io.BytesIO()
    exif[0x0112] = orientation
    picture.save(made, "JPEG", exif=exif)
    return {"name": "IMG_0001.JPG", "mimeType": "image/jpeg", "buffer": made.getvalue()}


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
