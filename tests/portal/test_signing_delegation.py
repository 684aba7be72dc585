"""Protects signing in somebody's place: who may, on which days, bound to what they read, once for each asked signer."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.utils.timezone import localdate

from portal.access import Role
from portal.brief import actions as brief
from portal.brief.draft import BriefClosed
from portal.delegation import actions, queries
from portal.delegation.models import Delegation
from portal.people import actions as people_acts
from portal.sealing import actions as sealing
from portal.sealing import verify
from portal.sealing.models import LogEntry, SignOff
from tests.factories import MemberFactory
from tests.portal.conftest import again
from tests.portal.test_record_verify import forge

TODAY = localdate()


@pytest.fixture
def colleague(people):
    """Another of the client's side, who may not sign."""
    return MemberFactory(campaign=people.campaign, role=Role.CLIENT)


def ask(signer, delegate, first=0, days=7):
    first_day = TODAY + timedelta(days=first)
    last_day = first_day + timedelta(days=days - 1)
    return actions.delegate(again(signer), to=delegate.key, first_day=first_day, last_day=last_day)


def sign(by, version, signer=None):
    key = signer.key if signer else ""
    return sealing.sign(again(by), digest=version.digest, typed_name="As typed", signer=key)


def acts():
    return list(LogEntry.objects.filter(act__startswith="signing.").values_list("act", "actor"))


@pytest.fixture
def on(monkeypatch):
    """A function that sets the day on which the portal believes it is."""

    def set_to(day: date) -> None:
        for module in (queries, actions):
            monkeypatch.setattr(module, "localdate", lambda: day)

    return set_to


def test_a_delegate_signs_for_the_signer_with_both_keys(people, colleague, out):
    made = ask(people.client, colleague)
    sign(colleague, out, people.client)

    given = SignOff.objects.get()
    assert (given.member, given.given_by, given.digest) == (people.client, colleague, out.digest)
    logged = LogEntry.objects.get(act="version.signed")
    assert (logged.actor, logged.payload["signer"]) == (colleague.key, people.client.key)
    assert made.key in LogEntry.objects.get(act="signing.delegated").subject

    sign(people.photographer, out)
    assert again(people.client).campaign.locked_version == out


def test_a_signature_in_somebodys_place_covers_what_the_delegate_reads(people, out):
    """The photographer reads the money, the stylist does not."""
    ask(people.photographer, people.stylist)
    given = sign(people.stylist, out, people.photographer)
    assert sorted(given.sections) == ["campaign"]


def test_the_signers_of_the_document_stay_as_they_are(people, colleague):
    ask(people.client, colleague)
    version = brief.put_forward(again(people.producer))
    assert set(version.signers) == {people.client.key, people.photographer.key}


def test_a_delegate_declines_for_the_signer_too(people, colleague, out):
    ask(people.client, colleague)
    sealing.decline(
        again(colleague), digest=out.digest, typed_name="K", reason="The old packaging.", signer=people.client.key
    )
    assert again(people.client).campaign.open_version is None


def test_each_asked_signer_is_answered_for_once(people, colleague, out):
    ask(people.client, colleague)
    sign(colleague, out, people.client)
    with pytest.raises(BriefClosed, match=f"You have answered this version for {people.client.user} already"):
        sign(colleague, out, people.client)
    with pytest.raises(BriefClosed, match=f"{colleague.user} has answered this version for you already"):
        sign(people.client, out)
    assert SignOff.objects.count() == 1


def test_a_signer_who_is_back_early_signs_themself(people, colleague, out):
    ask(people.client, colleague)
    sign(people.client, out)
    with pytest.raises(BriefClosed, match=f"{people.client.user} has answered this version already"):
        sign(colleague, out, people.client)


@pytest.mark.parametrize(("day", "may"), [(0, False), (1, True), (3, True), (4, False)])
def test_both_ends_of_the_days_are_included_and_nothing_beyond(people, colleague, out, on, day, may):
    ask(people.client, colleague, first=1, days=3)
    on(TODAY + timedelta(days=day))
    if may:
        sign(colleague, out, people.client)
    else:
        with pytest.raises(PermissionDenied, match="the days for which they asked are over"):
            sign(colleague, out, people.client)
    assert SignOff.objects.exists() is may


def test_nobody_signs_for_somebody_who_has_not_asked_them_to(people, colleague, out):
    ask(people.client, colleague)
    for stranger in (people.stylist, people.photographer, MemberFactory(role=Role.CLIENT, may_sign=True)):
        with pytest.raises((PermissionDenied, BriefClosed)):
            sign(stranger, out, people.client)
    with pytest.raises(PermissionDenied, match="sign off"):
        sign(colleague, out)  # not in their own name
    assert not SignOff.objects.exists()


def test_the_delegate_is_of_the_same_side_and_in_the_campaign(people, colleague):
    former = MemberFactory(campaign=people.campaign, role=Role.CLIENT, left_at="2026-01-01T00:00Z")
    for other in (people.agency, people.photographer, people.client, former, MemberFactory(role=Role.CLIENT)):
        with pytest.raises(ValidationError, match="of your own side"):
            ask(people.client, other)
    with pytest.raises(PermissionDenied, match="sign off"):
        ask(people.producer, people.stylist)
    assert not Delegation.objects.exists()
    assert [one.pk for one in queries.may_be_asked(people.client)] == [colleague.pk]


@pytest.mark.parametrize(
    ("first", "days", "says"),
    [
        (-1, 7, "Begin today or later"),
        (0, 0, "comes before the first"),
        (0, 61, "At most 60 days"),
        (400, 2, "more than a year ahead"),
    ],
)
def test_days_that_cannot_be_are_refused(people, colleague, first, days, says):
    with pytest.raises(ValidationError, match=says):
        ask(people.client, colleague, first, days)
    assert not Delegation.objects.exists()


def test_sixty_days_can_be(people, colleague):
    made = ask(people.client, colleague, days=60)
    assert (made.last_day - made.first_day).days == 59


def test_a_delegate_of_a_delegate_is_refused_in_both_directions(people, colleague):
    third = MemberFactory(campaign=people.campaign, role=Role.CLIENT, may_sign=True)
    ask(people.client, third)
    with pytest.raises(ValidationError, match="while you do, nobody can sign for you"):
        ask(third, colleague, first=6)
    ask(third, colleague, first=7)
    with pytest.raises(ValidationError, match=f"{third.user} is away too"):
        ask(people.client, third, first=7)
    assert Delegation.objects.count() == 2


def test_one_delegate_at_a_time_and_the_same_words_twice_are_one(people, colleague):
    other = MemberFactory(campaign=people.campaign, role=Role.CLIENT)
    first, second = ask(people.client, colleague), ask(people.client, colleague)
    assert first == second
    with pytest.raises(ValidationError, match="signs for you"):
        ask(people.client, other, first=3)
    assert acts() == [("signing.delegated", people.client.key)]


def test_it_is_ended_by_the_two_and_by_who_decides_about_the_signer(people, colleague, out):
    for by in (people.client, colleague, people.producer):
        made = ask(people.client, colleague)
        actions.end(again(by), made.key)
        actions.end(again(by), made.key)  # a second click ends nothing more
        with pytest.raises(PermissionDenied):
            sign(colleague, out, people.client)
    assert [actor for act, actor in acts() if act == "signing.delegation-ended"] == [
        people.client.key, colleague.key, people.producer.key,
    ]  # fmt: skip
    made = ask(people.client, colleague)
    # The agency decides about its own side alone.
    for by in (people.agency, people.stylist):
        with pytest.raises(PermissionDenied, match="Only the two people"):
            actions.end(again(by), made.key)
    with pytest.raises(Delegation.DoesNotExist):
        actions.end(MemberFactory(), made.key)


def test_a_delegation_begun_while_a_version_is_out_holds_for_it(people, colleague, out):
    ask(people.client, colleague)
    assert sign(colleague, out, people.client)


def test_it_ends_when_the_signer_loses_the_right_and_when_either_leaves(people, colleague):
    ask(people.client, colleague)
    people_acts.change_member(again(people.producer), people.client.key, role=Role.CLIENT)
    people_acts.change_member(again(people.producer), people.client.key, role=Role.CLIENT, may_sign=True)
    ask(people.client, colleague)
    people_acts.change_member(again(people.producer), colleague.key, role=Role.DESIGNER)
    people_acts.change_member(again(people.producer), colleague.key, role=Role.CLIENT)
    ask(people.client, colleague)
    people_acts.remove_member(again(people.producer), people.client.key)

    assert not Delegation.objects.filter(ended_at=None).exists()
    ended = LogEntry.objects.filter(act="signing.delegation-ended")
    assert [entry.payload["because"] for entry in ended] == [
        f": {people.client.user} has another part now",
        f": {colleague.user} has another part now",
        f": {people.client.user} left the campaign",
    ]


def test_a_change_that_leaves_the_ground_of_it_ends_nothing(people, colleague):
    ask(people.client, colleague)
    people_acts.change_member(again(people.producer), colleague.key, role=Role.CLIENT, may_sign=True)
    assert Delegation.objects.get().ended_at is None


def test_who_lost_the_right_behind_the_portals_back_cannot_be_signed_for(people, colleague, out):
    ask(people.client, colleague)
    people.client.may_sign = False
    people.client.save()
    with pytest.raises(PermissionDenied):
        sign(colleague, out, people.client)


@pytest.fixture
def signed(people, colleague, out):
    ask(people.client, colleague)
    sign(colleague, out, people.client)
    return people


def breaks(people):
    return dict(verify.prove(again(people.client).campaign).breaks)


def test_a_campaign_with_a_delegation_is_whole(signed):
    known_by_no_log = {f"member {member.user}" for member in signed.campaign.members.all()}
    assert set(breaks(signed)) == known_by_no_log  # the factory let them in, and no act


@pytest.mark.parametrize(
    ("sql", "where", "says"),
    [
        ("portal_signoff SET given_by_id = NULL", "sign-off of", "it was given by somebody else, as the log has it"),
        ("portal_delegation SET last_day = '2030-01-01'", "delegation to", "its days are not those that the log has"),
        ("portal_delegation SET signer_id = delegate_id", "delegation to", "between other people"),
        ("portal_delegation SET ended_at = set_up_at", "delegation to", "the log knows nothing of it"),
        ("portal_delegation SET key = 'another'", "delegation to", "the log knows it, and it is gone"),
    ],
)
def test_what_was_altered_behind_the_portals_back_is_found(signed, sql, where, says):
    forge(f"UPDATE {sql}")
    found = [f"{place}: {what}" for place, what in breaks(signed).items()]
    assert any(one.startswith(where) and says in one for one in found), found


def test_a_signature_given_outside_of_its_days_is_found(signed):
    """Row and entry agree, and no delegation covers them: what a program would write that asks no leave."""
    later = LogEntry.objects.get(act="signing.delegated").at.date() + timedelta(days=30)
    forge("UPDATE portal_delegation SET first_day = %s, last_day = %s", later, later)
    forge(
        "UPDATE portal_logentry SET payload = %s WHERE act = 'signing.delegated'",
        f'{{"delegate": "{Delegation.objects.get().delegate.key}", "first_day": "{later}", "last_day": "{later}"}}',
    )
    says = breaks(signed)[f"sign-off of {signed.client.user} on version 1"]
    assert says.startswith("the log does not know that")
    assert says.endswith("could sign for them then")
