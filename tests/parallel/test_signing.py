"""Protects answers to a version that come at the same instant, twice, or too late: exactly one effect, and one lock."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils.timezone import localdate

from portal.access import Role
from portal.models import Campaign, Delegation, LogEntry, SignOff, Version
from portal.sealing import queries
from tests.filled import filled

ROUNDS = range(3)


@pytest.fixture
def producer(person):
    return person(Role.PRODUCER)


@pytest.fixture
def client_(person):
    return person(Role.CLIENT, may_sign=True)


@pytest.fixture
def photographer(person):
    return person(Role.PHOTOGRAPHER)


@pytest.fixture
def out(campaign, client_, photographer, producer) -> Version:
    """Version 1, out for the signatures of client and photographer."""
    url = reverse("portal:put-forward", args=[campaign.key])
    assert producer.post(url, filled(producer.get(url))).status_code == 302
    return Version.objects.get()


def at(campaign, name, *args):
    return reverse(f"portal:{name}", args=[campaign.key, *args])


def signs(browser, version, signer=None):
    """Sends a signature, in somebody's place where they are named."""
    name, args = ("sign-for", [signer.member.key]) if signer else ("sign", [])
    url, form = at(version.campaign, name, version.number, *args), {"digest": version.digest, "typed_name": "As typed"}
    return lambda: browser.post(url, form).status_code


def declines(browser, version):
    form = {"digest": version.digest, "typed_name": "As typed", "reason": "The old packaging."}
    return lambda: browser.post(at(version.campaign, "decline", version.number), form).status_code


def withdraws(browser, version):
    url = at(version.campaign, "withdraw", version.number)
    return lambda: browser.post(url, {"reason": "A typing error"}).status_code


def logged(*acts):
    return list(LogEntry.objects.filter(act__in=acts).order_by("sequence").values_list("act", flat=True))


def held():
    campaign = Campaign.objects.get()
    return campaign.locked_version_id, campaign.open_version_id


@pytest.mark.parametrize("round", ROUNDS)
def test_two_last_signers_at_once_lock_once(out, client_, photographer, at_once, round):
    assert at_once([signs(client_, out), signs(photographer, out)]) == [302, 302]
    assert held() == (out.pk, None)
    assert logged("version.signed", "version.locked") == ["version.signed", "version.signed", "version.locked"]


@pytest.mark.parametrize("round", ROUNDS)
@pytest.mark.parametrize("against", [withdraws, declines])
def test_the_last_signature_and_what_takes_the_version_back_do_not_both_hold(
    out, client_, photographer, producer, at_once, against, round
):
    signs(photographer, out)()
    other = producer if against is withdraws else client_
    # The decline comes from the second of two windows of one person.
    signed, taken_back = at_once([signs(client_, out), against(other, out)])
    assert sorted([signed, taken_back]) == [302, 409]
    assert held() == ((out.pk, None) if signed == 302 else (None, None))
    told = logged("version.signed", "version.withdrawn", "version.declined", "version.locked")
    assert len(told) == (3 if signed == 302 else 2)


@pytest.mark.parametrize("round", ROUNDS)
def test_a_decline_and_a_withdrawal_at_once_take_it_back_once(out, client_, producer, at_once, round):
    assert sorted(at_once([declines(client_, out), withdraws(producer, out)])) == [302, 409]
    assert held() == (None, None)
    assert len(logged("version.withdrawn", "version.declined")) == 1


@pytest.mark.parametrize("act", [signs, declines])
def test_a_double_click_of_an_answer_is_one(out, client_, at_once, act):
    assert at_once([act(client_, out)] * 3) == [302] * 3
    assert SignOff.objects.count() == 1
    assert len(logged("version.signed", "version.declined")) == 1


def test_a_double_click_of_a_withdrawal_is_one(out, producer, at_once):
    assert at_once([withdraws(producer, out)] * 3) == [302] * 3
    assert len(logged("version.withdrawn")) == 1


def test_a_double_click_of_putting_forward_is_one(campaign, client_, photographer, producer, at_once):
    url = at(campaign, "put-forward")
    form = filled(producer.get(url))
    assert at_once([lambda: producer.post(url, form).status_code] * 3) == [302] * 3
    assert Version.objects.count() == 1


def test_a_form_that_is_sent_again_after_all_is_over_does_nothing(campaign, client_, photographer, producer):
    """A browser that comes back to life sends once more what it sent yesterday, and the brief is as it was then."""
    url = at(campaign, "put-forward")
    form = filled(producer.get(url))
    producer.post(url, form)
    out = Version.objects.get()
    sent = [signs(photographer, out), declines(client_, out)]
    assert [send() for send in sent] == [302, 302]

    assert producer.post(url, form).status_code == 302
    assert [send() for send in sent] == [302, 302]

    assert held() == (None, None)
    assert (Version.objects.count(), SignOff.objects.count()) == (1, 2)


@pytest.fixture
def deputy(campaign, client_, person):
    """A colleague of the client, who signs for them today."""
    browser, today = person(Role.CLIENT), localdate()
    days = {"first_day": today, "last_day": today + timedelta(days=1)}
    assert client_.post(at(campaign, "delegate"), {"to": browser.member.key, **days}).status_code == 302
    return browser


@pytest.mark.parametrize("round", ROUNDS)
def test_the_signer_and_who_signs_for_them_at_once_are_one_signature(out, client_, deputy, at_once, round):
    assert sorted(at_once([signs(client_, out), signs(deputy, out, client_)])) == [302, 409]
    assert SignOff.objects.get().member == client_.member
    assert logged("version.signed") == ["version.signed"]


@pytest.mark.parametrize("round", ROUNDS)
def test_a_signature_and_the_end_of_the_leave_to_give_it(campaign, out, client_, deputy, at_once, round):
    end = at(campaign, "end-delegation", Delegation.objects.get().key)
    signed, ended = at_once([signs(deputy, out, client_), lambda: client_.post(end).status_code])
    assert ended == 302
    assert signed in (302, 403)
    told = logged("version.signed", "signing.delegation-ended")
    assert told == (["version.signed"] if signed == 302 else []) + ["signing.delegation-ended"]


@pytest.mark.parametrize("round", ROUNDS)
def test_two_colleagues_who_ask_each_other_at_once_make_no_chain(campaign, person, at_once, round):
    one, other = (person(Role.CLIENT, may_sign=True) for _ in range(2))
    today = localdate()
    days = {"first_day": today, "last_day": today}
    pairs = [(one, other), (other, one)]
    sends = [
        lambda by=by, to=to: by.post(at(campaign, "delegate"), {"to": to.member.key, **days}).status_code
        for by, to in pairs
    ]
    assert sorted(at_once(sends)) == [302, 422]
    assert Delegation.objects.count() == 1


@pytest.mark.parametrize("round", ROUNDS)
def test_the_clients_signature_at_the_instant_of_the_agencys(campaign, person, client_, photographer, at_once, round):
    """In order, the client's comes after the agency's or is refused: never before it."""
    Campaign.objects.update(sign_in_order=True)
    agency = person(Role.AGENCY, may_sign=True)
    url = at(campaign, "put-forward")
    agency.post(url, filled(agency.get(url)))
    out = Version.objects.get()
    first, second = at_once([signs(agency, out), signs(client_, out)])
    assert first == 302
    keys = list(LogEntry.objects.filter(act="version.signed").order_by("sequence").values_list("actor", flat=True))
    assert keys == [agency.member.key, *([client_.member.key] if second == 302 else [])]
    campaign.refresh_from_db()
    here = queries.standing_of(out, campaign)
    assert photographer.member.key in queries.asked_now(here)
