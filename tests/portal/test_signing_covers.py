"""Protects what a signature is bound to: the sections that whoever signed could read, in row, log and pages alike."""

import pytest
from django.urls import reverse

from portal.brief import sections
from portal.sealing import actions, verify
from portal.sealing.models import LogEntry, SignOff
from tests.portal.conftest import again
from tests.portal.test_record_verify import forge


@pytest.fixture
def signed(people, out):
    """Version 1, signed by the client, who may not see the money, and by the photographer, who may."""
    for signer in (people.client, people.photographer):
        actions.sign(again(signer), digest=out.digest, typed_name="As typed")
    return people


def test_a_signature_names_the_sections_that_its_signer_could_read(signed, out):
    kept = {sign_off.member_id: sign_off.sections for sign_off in SignOff.objects.all()}

    assert kept == {
        signed.client.pk: {"campaign": out.sections["campaign"]},
        signed.photographer.pk: {"campaign": out.sections["campaign"], "money": out.sections["money"]},
    }
    logged = [entry.payload["reads"] for entry in LogEntry.objects.filter(act="version.signed")]
    assert logged == [["campaign"], ["campaign", "money"]]


def test_an_answer_that_declines_is_bound_alike(people, out):
    given = actions.decline(people.client, digest=out.digest, typed_name="Ben", reason="No")
    assert given.sections == {"campaign": out.sections["campaign"]}


def test_what_a_signer_may_read_later_changes_nothing(signed, out, bare, monkeypatch):
    before = SignOff.objects.get(member=signed.client).sections
    wider = {name: section for name, section in sections._sections.items() if name == "campaign"}
    monkeypatch.setattr(sections, "_sections", wider)
    assert SignOff.objects.get(member=signed.client).sections == before


def page(client, member, name="version", *args):
    client.force_login(member.user)
    return client.get(reverse(f"portal:{name}", args=[member.campaign.key, *args])).text


@pytest.mark.parametrize(("name", "args"), [("version", [1]), ("signatures", []), ("campaign", [])])
def test_pages_say_what_was_not_signed_for_to_those_who_can_read_it(signed, client, name, args):
    assert "for all but money" in page(client, signed.producer, name, *args)
    assert "Money" not in page(client, signed.stylist, name, *args)


def test_a_signature_from_before_this_was_kept_says_nothing_of_it(signed, client):
    forge("UPDATE portal_signoff SET sections = '{}' WHERE member_id = %s", signed.client.pk)
    assert "for all but" not in page(client, signed.producer, "version", 1)


@pytest.mark.parametrize("sections_", ["{}", '{"money": "' + "0" * 64 + '"}'])
def test_sections_that_were_altered_are_found(signed, sections_):
    forge("UPDATE portal_signoff SET sections = %s WHERE member_id = %s", sections_, signed.client.pk)

    found = dict(verify.prove(again(signed.client).campaign).breaks)

    where = f"sign-off of {signed.client.user} on version 1"
    assert found[where] == "the sections that it covers are not those of the version that the log names"
