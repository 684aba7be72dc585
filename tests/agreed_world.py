"""A campaign of two shots whose brief was put forward, signed and locked by its people, for tests of changes to it."""

from dataclasses import dataclass
from typing import Any

from django.db import transaction

from layouts.formats.actions import fill_grid
from layouts.models import Format
from portal.access import Role
from portal.brief import actions as brief
from portal.brief import sections
from portal.changes import actions as changes
from portal.models import Campaign, Change, Member, Version
from portal.people.account_proof import account_digest
from portal.sealing import actions as sealing
from portal.sealing import log
from shots.models import HeroFood, Prop, Shot
from tests.factories import CampaignFactory, FormatFactory, HeroFoodFactory, MemberFactory, PropFactory, ShotFactory

OFFICE = {"why": "The client asked.", "asked_by": "Mira Holt"}


def again(member: Member) -> Member:
    """The member as a new request would load them."""
    return Member.objects.select_related("campaign", "user").get(pk=member.pk)


@dataclass
class World:
    campaign: Campaign
    people: dict[str, Member]
    shots: list[Shot]
    food: list[HeroFood]
    things: list[Prop]  # its props; `props` is the props stylist
    format: Format

    def __getattr__(self, role: str) -> Member:
        try:
            return again(self.people[role])
        except KeyError as none:
            raise AttributeError(role) from none

    def now(self) -> Campaign:
        return Campaign.objects.get(pk=self.campaign.pk)

    def raised(self, *opens: tuple[str, str], by: str = "stylist", **told: Any) -> Change:
        token = f"token-{Change.objects.count():04}"
        told = {"what": "Amber glass.", "sent_as": token, **OFFICE, **told}
        return changes.raise_change(getattr(self, by), opens=opens, **told)

    def opened(self, *opens: tuple[str, str], **told: Any) -> Change:
        """A change that the client has accepted."""
        return changes.accept_change(self.client, self.raised(*opens, **told).key, typed_name="Client")

    def sign(self, version: Version, *roles: str) -> None:
        for role in roles or ("client", "agency", "photographer"):
            sealing.sign(getattr(self, role), digest=version.digest, typed_name=role.capitalize())

    def lock_again(self) -> Version:
        version = brief.put_forward(self.producer)
        self.sign(version)
        return version


ROLES = ("client", "agency", "designer", "producer", "photographer", "stylist", "props", "lighting", "operator")


def agreed(monkeypatch: Any) -> World:
    """Two shots with a food, a prop and a placement each; client, agency and photographer have signed.

    Readiness has nothing to say: what it finds is tested elsewhere.
    """
    monkeypatch.setattr(sections, "findings", lambda _: [])
    with transaction.atomic():  # the log vouches for what its entries find in their own transaction
        world = _made()
    version = brief.put_forward(world.producer)
    world.sign(version)
    return world


def _made() -> World:
    campaign = CampaignFactory()
    people = {
        role: MemberFactory(campaign=campaign, role=Role(role), may_sign=role in ("client", "agency")) for role in ROLES
    }
    people["other"] = MemberFactory(campaign=campaign, role=Role.ASSISTANT)
    shots = [ShotFactory(campaign=campaign, number=number, title=f"Shot {number}") for number in (1, 2)]
    food = [HeroFoodFactory(shot=shot) for shot in shots]
    things = [PropFactory(shot=shot) for shot in shots]
    format = FormatFactory(campaign=campaign)
    fill_grid(campaign)
    for member in people.values():
        told = {"role": str(member.role), "may_sign": member.may_sign, "account": account_digest(again(member))}
        log.append(again(member), "member.joined", f"member/{member.key}", **told)
    return World(campaign, people, shots, food, things, format)
