"""Protects the order of signing: the client waits for the agency, may decline, and is told so on each page."""

import pytest
from django.urls import reverse

from portal.access import Role
from portal.brief import actions as brief
from portal.brief.draft import BriefClosed
from portal.people import queries as home
from portal.sealing import actions, queries
from portal.sealing.models import SignOff
from tests.factories import MemberFactory
from tests.portal.conftest import again


@pytest.fixture
def producers(people):
    """Two of the agency who sign."""
    return MemberFactory.create_batch(2, campaign=people.campaign, role=Role.AGENCY, may_sign=True)


@pytest.fixture
def ordered(people, producers):
    """Version 1, out to be signed by the agency before the client."""
    brief.settle_terms(again(people.producer), sign_in_order=True)
    return brief.put_forward(again(people.producer))


def sign(member, version):
    return actions.sign(again(member), digest=version.digest, typed_name="As typed")


def decline(member, version):
    return actions.decline(again(member), digest=version.digest, typed_name="As typed", reason="The old packaging.")


def asked(people, version):
    return set(queries.asked_now(queries.standing_of(version, again(people.client).campaign)))


def test_the_client_cannot_sign_before_all_of_the_agency_have(people, producers, ordered):
    first, second = producers
    sign(first, ordered)

    with pytest.raises(BriefClosed, match=f"It waits for the agency: {second.user} signs before you do"):
        sign(people.client, ordered)
    assert SignOff.objects.count() == 1

    sign(second, ordered)
    sign(people.client, ordered)
    sign(people.photographer, ordered)
    assert again(people.client).campaign.locked_version == ordered


def test_the_photographer_signs_at_any_time_and_the_client_may_decline_early(people, producers, ordered):
    sign(people.photographer, ordered)
    decline(people.client, ordered)
    assert again(people.client).campaign.open_version is None


def test_whose_turn_it_is_follows_the_signatures(people, producers, ordered):
    agency = {member.key for member in producers}
    assert asked(people, ordered) == {*agency, people.photographer.key}
    for producer in producers:
        sign(producer, ordered)
    assert asked(people, ordered) == {people.client.key, people.photographer.key}
    decline(people.client, ordered)
    assert asked(people, ordered) == set()


def test_without_an_order_all_are_asked_at_once(people, producers, out):
    assert asked(people, out) == set(out.signers)


def test_an_order_without_an_agency_asks_the_client_at_once(people):
    brief.settle_terms(again(people.producer), sign_in_order=True)
    version = brief.put_forward(again(people.producer))
    sign(people.client, version)
    assert SignOff.objects.count() == 1


def test_the_order_is_in_the_document_and_closed_with_the_brief(people, ordered):
    assert '"sign_in_order":true' in ordered.document
    with pytest.raises(BriefClosed):
        brief.settle_terms(again(people.producer), sign_in_order=False)


def page(client, member, name, *args):
    client.force_login(member.user)
    return client.get(reverse(f"portal:{name}", args=[member.campaign.key, *args])).text


@pytest.mark.parametrize(("name", "args"), [("campaign", []), ("sign", [1]), ("version", [1])])
def test_pages_tell_the_client_to_wait_and_offer_to_decline(people, producers, ordered, client, name, args):
    shown = page(client, people.client, name, *args)
    assert "It waits for the agency" in shown
    assert "waits for your signature" not in shown
    assert f'action="{reverse("portal:sign", args=[people.campaign.key, 1])}"' not in shown
    assert "Decline it" in shown
    assert "waits for your signature" in page(client, producers[0], name, *args)


def test_a_posted_signature_out_of_turn_is_a_conflict(people, producers, ordered, client):
    client.force_login(people.client.user)
    posted = {"digest": ordered.digest, "typed_name": "Ben"}
    answer = client.post(reverse("portal:sign", args=[people.campaign.key, 1]), posted)
    assert answer.status_code == 409
    assert "Version 1 cannot be signed yet. It waits for the agency" in answer.text
    assert not SignOff.objects.exists()


def test_an_earlier_answer_to_the_same_brief_is_not_taken_for_one_to_this(people, producers, client):
    """Put forward twice without a change, both versions have one digest."""
    first = brief.put_forward(again(people.producer))
    sign(people.client, first)
    brief.withdraw(again(people.producer), reason="Too early")
    brief.put_forward(again(people.producer))
    client.force_login(people.client.user)
    posted = {"digest": first.digest, "typed_name": "Ben"}
    assert client.post(reverse("portal:sign", args=[people.campaign.key, 1]), posted).status_code == 302
    assert SignOff.objects.count() == 1  # the old form signs nothing new
    assert client.post(reverse("portal:sign", args=[people.campaign.key, 2]), posted).status_code == 302
    assert SignOff.objects.count() == 2


def test_the_list_of_campaigns_waits_for_those_whose_turn_it_is(people, producers, ordered):
    (row,) = home.waiting(people.client.user)
    assert (row.waits, row.rest) == (False, "Version 1 is out for signature. The agency signs before you do.")
    for producer in producers:
        sign(producer, ordered)
    (row,) = home.waiting(people.client.user)
    assert row.says == ["Version 1 waits for your signature."]
