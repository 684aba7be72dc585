"""Situations that the portal's tests begin with: a campaign with its people, and a brief of the portal's sections."""

from dataclasses import dataclass

import pytest

from portal.access import May, Role
from portal.brief import actions, sections
from portal.brief.models import Campaign, Version
from portal.brief.sections import Section
from portal.people.models import Member
from tests.factories import CampaignFactory, MemberFactory


@dataclass
class People:
    """A campaign and one person for each role that tests ask for; client and photographer sign."""

    campaign: Campaign
    client: Member
    agency: Member
    designer: Member
    producer: Member
    photographer: Member
    stylist: Member
    assistant: Member

    def all(self) -> list[Member]:
        return [getattr(self, role) for role in ROLES]


ROLES = ("client", "agency", "designer", "producer", "photographer", "stylist", "assistant")


@pytest.fixture
def bare(monkeypatch):
    """The brief with the portal's own section and one that asks for the sight of money: no other room has a say."""
    own = sections._sections["campaign"]
    # Drawn by the campaign's template, which shows `title`: the sum must stand on a page to be able to leak.
    money = Section("money", "Money", 90, lambda _: {"title": "£4210.55"}, own.template, read=May.SEE_MONEY)
    monkeypatch.setattr(sections, "_sections", {"campaign": own, "money": money})
    return money


@pytest.fixture
def people(db, bare):
    campaign = CampaignFactory()
    members = {role: MemberFactory(campaign=campaign, role=Role(role), may_sign=role == "client") for role in ROLES}
    return People(campaign, **members)


@pytest.fixture
def out(people) -> Version:
    """Version 1, out for the signatures of client and photographer."""
    return actions.put_forward(people.producer, note="Please answer by Friday.")


def again(member: Member) -> Member:
    """The member as a new request would load them."""
    return Member.objects.select_related("campaign", "user").get(pk=member.pk)
