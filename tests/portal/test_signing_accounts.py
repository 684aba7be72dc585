"""Protects that the log proves which account joined, without telling its address to anybody who reads it."""

import hashlib
import json
from collections import Counter

import pytest

from portal.access import Role
from portal.brief import actions as brief
from portal.models import LogEntry, Member
from portal.people import actions
from portal.people.account_proof import account_digest
from portal.people.addresses import Person
from portal.sealing import log, verify
from tests.factories import CampaignFactory, MemberFactory, UserFactory
from tests.portal.test_record_verify import forge

ADDRESS = "ida@example.com"


@pytest.fixture
def starter(db):
    """Who has started a campaign."""
    terms = {"title": "T", "code": "T-1", "client": "C", "languages": ["en-GB"]}
    return brief.start_campaign(UserFactory(starts_campaigns=True), **terms)


@pytest.fixture
def joined(starter):
    """Somebody who took up an invitation with a new account."""
    (invitation,) = actions.invite(starter, people=[Person("Ida", ADDRESS)], role=Role.CLIENT)
    return actions.join_as_new(token=invitation.token, name="Ida Moss")


def proof(member):
    return verify.prove(member.campaign.__class__.objects.get(pk=member.campaign_id))


def test_both_ways_in_are_proven(starter, joined):
    said = {entry.act: entry.payload["account"] for entry in LogEntry.objects.filter(payload__has_key="account")}
    assert said == {"campaign.started": account_digest(starter), "member.joined": account_digest(joined)}
    assert (proof(joined).breaks, proof(joined).remarks) == ([], [])


def test_the_digest_is_of_what_its_description_says(joined):
    """FIPS 180-4 over RFC 8785, both by the standard library: for these keys and texts, sorted and without spaces."""
    of = {"account": ADDRESS, "member": joined.key, "salt": joined.account_salt}
    written = json.dumps(of, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert account_digest(joined) == hashlib.sha256(written.encode()).hexdigest()


def test_the_log_tells_neither_the_address_nor_what_it_could_be_tried_out_with(starter, joined):
    whole = json.dumps(list(LogEntry.objects.values_list("payload", flat=True)))
    for member in (starter, joined):
        assert member.user.email not in whole
        assert member.account_salt not in whole
        for guess in (member.user.email, f"{member.key}{member.user.email}"):
            assert hashlib.sha256(guess.encode()).hexdigest() not in whole


def test_each_member_has_a_salt_of_their_own(db):
    MemberFactory.create_batch(20)
    assert set(Counter(Member.objects.values_list("account_salt", flat=True)).values()) == {1}


@pytest.mark.parametrize(
    "sql",
    [
        "portal_member SET user_id = %s WHERE id = %s",
        "portal_member SET account_salt = %s WHERE id = %s",
    ],
)
def test_another_account_in_somebodys_place_is_found(joined, sql):
    other = UserFactory()
    forge(f"UPDATE {sql}", other.pk, joined.pk)
    name = Member.objects.get(pk=joined.pk).user
    assert proof(joined).breaks[0] == (
        f"member {name}",
        "their account is not the one that joined, as the log has it",
    )


def test_another_address_of_the_account_is_found(joined):
    forge("UPDATE portal_user SET email = 'mallory@example.com' WHERE id = %s", joined.user.pk)
    ((_, says),) = proof(joined).breaks
    assert says == "their account is not the one that joined, as the log has it"


def test_another_name_is_nobody_else(joined):
    joined.user.name = "Ida Okafor"
    joined.user.save()
    assert proof(joined).breaks == []


def test_those_who_came_before_it_was_kept_are_told_apart(db):
    """An entry as earlier releases wrote it."""
    member = MemberFactory(campaign=CampaignFactory(), user=UserFactory(name="Ben Lee"))
    log.append(member, "member.joined", f"member/{member.key}", role=str(member.role), may_sign=False)
    found = proof(member)
    assert found.breaks == []
    assert found.remarks == [("members", "they came in before the log could prove which account somebody has: Ben Lee")]
