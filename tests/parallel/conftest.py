"""Situations of parallel requests: a campaign whose brief could go out, people signed in, and a proof at the end."""

from dataclasses import replace

import pytest
from django.db import transaction
from django.test import Client

from layouts.formats import actions as formats
from portal.access import Role
from portal.brief import sections
from portal.models import LogEntry
from portal.sealing import log, verify
from tests.factories import CampaignFactory, HeroFoodFactory, ShotFactory, member_of
from tests.parallel.meeting import Meeting


def joined(campaign, role, **fields):
    """A member whom the log knows, as it knows those who took up an invitation."""
    with transaction.atomic():
        member = member_of(campaign, role, **fields)
        log.append(member, "member.joined", f"member/{member.key}", role=str(member.role), may_sign=member.may_sign)
    return member


@pytest.fixture
def at_once(monkeypatch):
    """A function that does requests at the same instant."""
    return Meeting(monkeypatch).of


@pytest.fixture
def nothing_owed(monkeypatch):
    """The whole brief, of which readiness finds nothing: what is tested is who comes first, not what is missing."""
    ready = {name: replace(section, ready=lambda _: []) for name, section in sections._sections.items()}
    monkeypatch.setattr(sections, "_sections", ready)
    monkeypatch.setattr(sections, "_checks", {})


@pytest.fixture
def campaign(transactional_db, nothing_owed):
    """A campaign with one shot, one food and one format. After the test its log, versions and files are proven."""
    screen = {"name": "Lift screen", "kind": "screen", "width_px": 1080, "height_px": 1920}
    with transaction.atomic():  # the log vouches for what its entries find in their own transaction
        campaign = CampaignFactory()
        shot = ShotFactory(campaign=campaign, number=1, title="Bowl by the window")
        HeroFoodFactory(shot=shot, name="Porridge")
        formats.add_formats(joined(campaign, Role.AGENCY), formats=[screen])
    yield campaign
    campaign.refresh_from_db()
    proof = verify.prove(campaign)
    assert proof.breaks == []
    sequences = LogEntry.objects.filter(campaign=campaign).order_by("sequence").values_list("sequence", flat=True)
    assert list(sequences) == list(range(1, campaign.log_length + 1))


@pytest.fixture
def person(campaign):
    """A function that makes a member of a role, signed in to a browser of their own; the browser knows its member."""

    def made(role=Role.PRODUCER, **fields):
        browser = Client()
        browser.member = joined(campaign, role, **fields)
        browser.force_login(browser.member.user)
        return browser

    return made
