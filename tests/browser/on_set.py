"""A portal with a locked brief and its people on set, for the tests of recording a change there."""

import contextlib
import io
import json
from collections.abc import Iterator
from pathlib import Path

from PIL import Image

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
