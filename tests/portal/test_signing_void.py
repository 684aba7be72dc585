"""Protects that a signature on a version that does not hold is void for every reader, in words and with the reason."""

import pytest
from django.urls import reverse

from portal.brief import actions as brief
from portal.brief.models import Campaign
from portal.sealing import actions, queries
from tests.portal.conftest import again


def sign(member, version):
    return actions.sign(again(member), digest=version.digest, typed_name="As typed")


def withdrawn(people, out):
    sign(people.photographer, out)
    brief.withdraw(again(people.producer), reason="A typing error.")


def declined(people, out):
    sign(people.photographer, out)
    actions.decline(again(people.client), digest=out.digest, typed_name="Ben", reason="The old packaging.")


def replaced(people, out):
    """Locked, opened again by hand as an accepted change would, and locked anew."""
    for signer in (people.client, people.photographer):
        sign(signer, out)
    Campaign.objects.update(locked_version=None)
    brief.settle_terms(again(people.producer), media="Screens")
    for _ in range(2):  # the one between is withdrawn and takes no place
        between = brief.put_forward(again(people.producer))
        if between.number == 2:
            brief.withdraw(again(people.producer), reason="Too early.")
    for signer in (people.client, people.photographer):
        sign(signer, between)


WAYS = [
    (withdrawn, "the version was withdrawn"),
    (declined, "the version was declined"),
    (replaced, "version 3 took its place"),
]


@pytest.mark.parametrize(("way", "why"), WAYS)
@pytest.mark.parametrize("name", ["version", "brief", "signatures", "sign"])
def test_every_page_with_signatures_says_which_are_void_and_why(people, out, client, way, why, name):
    way(people, out)
    reader = people.photographer
    client.force_login(reader.user)
    args = [1] if name in ("version", "sign") else []
    shown = client.get(reverse(f"portal:{name}", args=[reader.campaign.key, *args])).text
    if name == "brief":
        assert f"{'are' if way is replaced else 'is'} void: {why}" in shown
    else:
        assert f'<s>signed as “As typed”</s> <b class="wrong">void</b>: {why}' in shown


def test_the_signatures_that_hold_are_named_first(people, out, client):
    replaced(people, out)
    client.force_login(people.stylist.user)
    shown = client.get(reverse("portal:signatures", args=[people.campaign.key])).text
    names = f"{people.client.user} and {people.photographer.user}"
    assert f"Version 3 is locked: the signatures of {names} hold." in shown
    assert shown.count(", holds") == 2
    assert shown.count("took its place") == 2


@pytest.mark.parametrize("way", [withdrawn, declined])
def test_where_all_was_taken_back_no_signature_holds(people, out, client, way):
    way(people, out)
    client.force_login(people.stylist.user)
    shown = client.get(reverse("portal:signatures", args=[people.campaign.key])).text
    assert "No signature holds now" in shown


def test_a_signature_on_what_is_out_is_not_void(people, out):
    sign(people.photographer, out)
    (here,) = queries.versions(again(people.client).campaign)
    assert [signer.void for signer in here.signers] == ["", ""]
    assert here.void_says == ""
