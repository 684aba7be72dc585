"""Protects that a page asks the database as often for 60 shots as for 3, and never more than twenty times."""

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from portal.access import Role
from portal.brief import sections
from portal.models import Member, Version
from portal.record.canonical import canonical, section_digests, version_digest
from portal.sealing import actions as sealing
from tests.bench import rows
from tests.bench.pages import PAGES

pytestmark = pytest.mark.django_db
MOST = 20
FEW, MANY = 3, 60
FORMATS = 2
ROLES = (Role.AGENCY, Role.CLIENT, Role.DESIGNER)
# Who may not open a page has no count for it.
NOT_FOR = {(Role.CLIENT, "put forward"), (Role.DESIGNER, "put forward"), (Role.DESIGNER, "sign")}


def counted(big, role, pages=PAGES) -> dict[str, int]:
    """Queries by page, once the first page has kept where the campaign stands."""
    client = Client()
    client.force_login(big.members[role].user)
    client.get(reverse("portal:campaign", args=[big.campaign.key]))
    asked = {}
    for name, (address, headers) in pages.items():
        if (role, name) in NOT_FOR:
            continue
        with CaptureQueriesContext(connection) as captured:
            answer = client.get(address(big), headers=headers)
        assert answer.status_code == 200, (name, answer.status_code)
        asked[name] = len(captured)
    return asked


def put_forward(big) -> None:
    """Out for signature as it stands, whatever readiness says of it."""
    campaign, agency = big.campaign, big.members[Role.AGENCY]
    document = sections.assemble(campaign)
    digests = section_digests(document)
    campaign.open_version = Version.objects.create(
        campaign=campaign,
        number=1,
        document=canonical(document).decode(),
        sections=digests,
        digest=version_digest(digests),
        signers=[big.members[role].key for role in (Role.CLIENT, Role.AGENCY, Role.PHOTOGRAPHER)],
        put_forward_by=agency,
        put_forward_at=timezone.now(),
    )
    campaign.save(update_fields=["open_version"])


def lock(big) -> None:
    """Signed by all whose signature is asked."""
    for role in (Role.CLIENT, Role.AGENCY, Role.PHOTOGRAPHER):
        signer = Member.objects.select_related("campaign", "user").get(pk=big.members[role].pk)
        sealing.sign(signer, digest=big.campaign.open_version.digest, typed_name="Signed")


def named(*names: str) -> dict:
    """Pages beside those of the benchmark, of the campaign and its first version."""
    numbers = {"version": [1], "sign": [1]}

    def page(name: str):
        return lambda big: reverse(f"portal:{name.replace(' ', '-')}", args=[big.campaign.key, *numbers.get(name, [])])

    return {name: (page(name), {}) for name in names}


def check(both, pages) -> None:
    few, many = ({role: counted(big, role, pages) for role in ROLES} for big in both)
    assert many == few
    assert {(role, name): n for role in ROLES for name, n in many[role].items() if n > MOST} == {}


def test_pages_of_a_draft_ask_no_more_for_many_shots():
    check((rows.make(FEW, FORMATS, 2), rows.make(MANY, FORMATS, 2)), PAGES | named("put forward"))


def test_pages_of_a_version_ask_no_more_for_many_shots():
    both = rows.make(FEW, FORMATS, 2), rows.make(MANY, FORMATS, 2)
    for big in both:
        put_forward(big)
    check(both, PAGES | named("version", "sign"))
    for big in both:
        lock(big)
    check(both, PAGES | named("version"))


def test_pages_of_a_campaign_to_which_nothing_has_come_ask_no_more_for_many_shots():
    check((rows.make(FEW, FORMATS, 2, come=False), rows.make(MANY, FORMATS, 2, come=False)), PAGES)
