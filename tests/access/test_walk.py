"""Protects who may what: every address, read and written, as every role, a former member, an outsider and signed out.

An address without a row in agreed.py fails.
"""

from collections.abc import Iterator

import pytest
from django.db import transaction
from django.urls import get_resolver, reverse
from django.utils import timezone

from layouts.overlays import actions as overlays
from layouts.pictures import actions as pictures
from portal import access
from portal.access import May, Role
from portal.brief import sections
from portal.models import Campaign, Comment, LogEntry, Waiver
from portal.people import actions as people
from portal.people.addresses import Person
from portal.talk import actions as talk
from shots.food import actions as food
from shots.props import actions as props
from tests.access.agreed import READ, SIGNED_IN, SIGNED_OUT, WRITE
from tests.factories import UserFactory, member_of
from tests.layouts import layout_files, mockup_files
from tests.layouts.conftest import order
from tests.portal.archives import store
from tests.work import run_work

MEMBERS = [(role, signs) for role in Role for signs in (False, True) if signs <= (role in access.roles_that_may_sign())]


def addresses(patterns=None, space: str = "", above: tuple[str, ...] = ()) -> Iterator[tuple[str, list[str]]]:
    """Every name with the parameters of its address."""
    for pattern in patterns or get_resolver().url_patterns:
        parts = (*above, *pattern.pattern.converters)
        if hasattr(pattern, "url_patterns"):
            yield from addresses(pattern.url_patterns, f"{pattern.namespace}:" if pattern.namespace else space, parts)
        else:
            yield space + pattern.name, list(parts)


CAMPAIGN = {
    name: parts for name, parts in addresses() if name.startswith(("shots:", "layouts:")) or "campaign" in parts
}


@pytest.fixture(scope="module")
def made(django_db_setup, django_db_blocker, tmp_path_factory):
    """The world, made once; what is written to the database is rolled back."""
    kept = store(tmp_path_factory.mktemp("files"))
    with django_db_blocker.unblock(), transaction.atomic(), kept:
        yield _world(order()), kept.options["STORAGES"]
        transaction.set_rollback(True)


@pytest.fixture
def world(made, db, settings):
    address, settings.STORAGES = made
    return address


def _world(agency):
    """A campaign with a row of every kind, and the parts that its addresses are made of."""
    campaign = agency.campaign
    shot = campaign.shots.first()
    producer = member_of(campaign, Role.PRODUCER)
    eaten = food.add_food(producer, shot.key, name="Soup")
    prop = props.add_prop(producer, shot.key, name="Bowl")
    mockup = pictures.add_mockup(agency, shot.key, file=mockup_files.upload())
    pictures.mark_hero(agency, shot.key, zone=(0.4, 0.4, 0.6, 0.6))
    placed, asked = overlays.receive_files(
        agency,
        files=[
            layout_files.upload("shot1 48-sheet en-GB.png"),
            layout_files.upload("who knows.png", seed=3),
        ],
    )
    assert (placed.state, asked.state) == ("placed", "asked")
    (invitation,) = people.invite(producer, people=[Person("New", "new@example.com")], role=Role.DESIGNER)
    said = talk.comment(agency, kind="shot", key=shot.key, text="Hello", audience="everyone")
    run_work()
    placement = placed.layout.placement
    placement.preview.refresh_from_db()
    parts = {
        "campaign": campaign.key,
        "number": 1,
        "shot": shot.key,
        "food": eaten.key,
        "prop": prop.key,
        "format": placement.format.key,
        "placement": placement.key,
        "layout": placed.layout.key,
        "incoming": asked.key,
        "mockup": mockup.key,
        "comment": said.key,
        "change": shot.key,  # a draft has no changes: within the door there is none of this key
        "width": 480,
        "column": 0,
        "line": 0,
        "which": "composed",
        "stamp": "v1-9c41e07b",
        "section": "pictures",
        "sha256": mockup.file.sha256,
        "tag": placement.preview.work.key,
        "what": "props",
        "finding": _waivable(campaign),
        "waiver": _waived(agency),
        "role": "retoucher",
    }
    special = {
        "portal:resend": {"key": invitation.key},
        "portal:withdraw-invitation": {"key": invitation.key},
        "portal:change-member": {"key": member_of(campaign, Role.DESIGNER).key},
        "portal:remove-member": {"key": member_of(campaign, Role.DESIGNER).key},
        "portal:sign-for": {"key": producer.key},
        "portal:decline-for": {"key": producer.key},
        "portal:accept-change-for": {"key": producer.key},
        "portal:refuse-change-for": {"key": producer.key},
        "portal:end-delegation": {"key": "none-of-theirs"},
        "portal:thread": {"kind": "shot", "key": shot.key},
        "shots:list-file": {"kind": "csv"},
        "layouts:format-by-hand": {"kind": "poster"},
    }

    def address(name: str) -> str:
        known = parts | special.get(name, {})
        return reverse(name, kwargs={part: known[part] for part in CAMPAIGN[name]})

    address.campaign = campaign
    return address


def _waivable(campaign) -> str:
    """The beginning of the key of something that a signer can waive here."""
    found = sections.findings(Campaign.objects.get(pk=campaign.pk))
    return next(one.key[:16] for one in found if one.level == "must-fix" and one.waivable)


def _waived(by) -> str:
    waiver = Waiver.objects.create(
        campaign=by.campaign, finding="0" * 64, kind="layout", says="No layout.", what="48-sheet", reason="Agreed.",
        typed_name="Ana", given_by=by, given_role="Agency producer", given_at=timezone.now(),
    )  # fmt: skip
    return waiver.key


def test_every_address_has_its_row():
    named = {name for name, _ in addresses()} - set(CAMPAIGN)
    loose = {name for name in named if name not in SIGNED_IN | SIGNED_OUT and not name.startswith(("account_", "mfa_"))}
    assert (set(CAMPAIGN), loose, set(WRITE) - set(READ)) == (set(READ), set(), set())


def status(answer) -> int:
    if answer.streaming:
        b"".join(answer)  # read to its end, a streamed original closes its file
    return answer.status_code


def expected(member, act: May | None) -> str:
    if act is None:
        return "no such method"
    return "open" if access.may(member, act) else "refused"


def became(status: int) -> str:
    # 404 within a campaign's door: the row asked for is not there any more, or there is no version yet.
    return {403: "refused", 405: "no such method", 500: "broken"}.get(status, "open")


@pytest.mark.parametrize(("role", "signs"), MEMBERS)
def test_reading_as_a_member_follows_the_list(client, world, role, signs):
    member = member_of(world.campaign, role, may_sign=signs)
    client.force_login(member.user)

    found = {name: became(status(client.get(world(name)))) for name in READ}

    assert found == {name: expected(member, act) for name, act in READ.items()}


@pytest.mark.parametrize(("role", "signs"), MEMBERS)
def test_writing_as_a_member_follows_the_list_and_a_refusal_leaves_no_trace(client, world, role, signs):
    member = member_of(world.campaign, role, may_sign=signs)
    client.force_login(member.user)
    allowed = {name for name, act in WRITE.items() if access.may(member, act)}
    before = (LogEntry.objects.count(), Comment.objects.count())

    found = {name: became(status(client.post(world(name)))) for name in READ if name not in allowed}

    assert found == {name: "refused" if name in WRITE else found[name] for name in found}
    assert {name for name in found if name not in WRITE and found[name] == "open"} == set()
    assert (LogEntry.objects.count(), Comment.objects.count()) == before


@pytest.mark.parametrize(("role", "signs"), MEMBERS)
def test_writing_nothing_at_all_breaks_no_page(client, world, role, signs):
    """An empty form is answered with a sentence by whoever may send it, and never with an error of ours."""
    member = member_of(world.campaign, role, may_sign=signs)
    client.force_login(member.user)
    allowed = [name for name, act in WRITE.items() if access.may(member, act)]

    found = {name: status(client.post(world(name))) for name in allowed}

    assert {name: status for name, status in found.items() if status in (403, 405, 500)} == {}


@pytest.mark.parametrize("method", ["get", "post"])
def test_outsider_and_former_member_find_nothing(client, world, method):
    former = member_of(world.campaign, Role.PHOTOGRAPHER, left_at=timezone.now())

    for user in (UserFactory(), former.user):
        client.force_login(user)
        found = {name: status(getattr(client, method)(world(name))) for name in READ}
        wrong = {
            name for name, status in found.items() if status != 404 and not (status == 405 and _takes_not(name, method))
        }
        assert wrong == set()


@pytest.mark.parametrize("method", ["get", "post"])
def test_signed_out_is_sent_to_sign_in(client, world, method):
    found = {name: getattr(client, method)(world(name)) for name in READ}

    led = {
        name
        for name, answer in found.items()
        if answer.status_code == 302 and answer.headers["Location"].startswith(reverse("account_login"))
    }
    assert {name for name in set(found) - led if not _takes_not(name, method)} == set()


def _takes_not(name: str, method: str) -> bool:
    return (name not in WRITE) if method == "post" else (READ[name] is None)


@pytest.mark.parametrize("name", sorted(SIGNED_IN))
def test_a_persons_own_pages_ask_for_a_person(client, db, name):
    signed_out = client.get(reverse(name)).status_code
    client.force_login(UserFactory(starts_campaigns=True))

    assert (signed_out, client.get(reverse(name)).status_code) == (302, 200)
