"""Protects the pages of who signs for whom: what they say, what they take, and nothing for those whom it is not for."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils.timezone import localdate

from portal.access import Role
from portal.delegation import actions
from portal.delegation.models import Delegation
from portal.people import queries as home
from portal.sealing.models import SignOff
from tests.factories import MemberFactory, UserFactory
from tests.portal.conftest import again

TODAY = localdate()


@pytest.fixture
def colleague(people):
    return MemberFactory(campaign=people.campaign, role=Role.CLIENT, user=UserFactory(name="Ida Moss"))


@pytest.fixture
def stands_in(people, colleague, out):
    people.client.user.name = "Jon Field"
    people.client.user.save()
    last_day = TODAY + timedelta(days=3)
    return actions.delegate(again(people.client), to=colleague.key, first_day=TODAY, last_day=last_day)


def at(name, member, *args):
    return reverse(f"portal:{name}", args=[member.campaign.key, *args])


def days(first=0, last=3):
    return {"first_day": TODAY + timedelta(days=first), "last_day": TODAY + timedelta(days=last)}


def test_a_signer_asks_somebody_on_the_page_of_signatures(people, colleague, sign_in):
    signer = sign_in(people.client)
    shown = signer.get(at("signatures", people.client)).text
    assert "Ida Moss, client" in shown
    assert str(people.stylist.user) not in shown.split('id="delegate"')[1]

    answer = signer.post(at("delegate", people.client), {"to": colleague.key, **days()}, follow=True)

    assert "Ida Moss signs for you from" in answer.text
    assert "holds today" in answer.text
    assert Delegation.objects.get().delegate == colleague


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        ({}, "Choose who signs for you."),
        ({"to": "nobody"}, "Choose somebody of your own side"),
        ({"first_day": "tomorrow"}, "Write a day as 2027-05-03."),
        (days(3, 1), "The last day comes before the first."),
    ],
)
def test_what_is_wrong_comes_back_with_all_that_was_typed(people, colleague, sign_in, sent, says):
    posted = {"to": colleague.key, **days()} | sent if sent else days()
    answer = sign_in(people.client).post(at("delegate", people.client), posted)
    assert answer.status_code == 422
    assert says in answer.text
    assert f'value="{posted["last_day"]}"' in answer.text
    assert not Delegation.objects.exists()


def test_who_does_not_sign_has_no_form_and_may_send_none(people, colleague, sign_in):
    reader = sign_in(people.stylist)
    assert 'id="delegate"' not in reader.get(at("signatures", people.stylist)).text
    assert reader.post(at("delegate", people.stylist), {"to": colleague.key, **days()}).status_code == 403


def test_pages_tell_the_two_and_everybody_who_signs_for_whom(people, colleague, stands_in, sign_in):
    assert "Ida Moss may sign for you until" in sign_in(people.client).get(at("campaign", people.client)).text
    shown = sign_in(colleague).get(at("campaign", colleague)).text
    assert "You may sign for Jon Field until" in shown
    assert "Version 1 waits for your signature for Jon Field." in shown
    shown = sign_in(people.stylist).get(at("people", people.stylist)).text
    assert "also by Ida Moss" in shown
    assert "signs for Jon Field until" in shown
    (row,) = home.waiting(colleague.user)
    assert row.says == ["Version 1 waits for your signature for Jon Field."]


@pytest.mark.parametrize("name", ["campaign", "version", "sign-for"])
def test_a_delegate_signs_from_the_page_that_asks(people, colleague, stands_in, sign_in, out, name):
    delegate = sign_in(colleague)
    url = at("sign-for", colleague, 1, people.client.key)
    args = {"campaign": [], "version": [1], "sign-for": [1, people.client.key]}[name]
    assert url in delegate.get(at(name, colleague, *args)).text

    posted = {"digest": out.digest, "typed_name": "Ida Moss"}
    answers = [delegate.post(url, posted).status_code for _ in range(2)]  # a double click is one

    assert answers == [302, 302]
    assert SignOff.objects.get().given_by == colleague
    shown = sign_in(people.stylist).get(at("version", people.stylist, 1)).text
    assert "signed</span> as “Ida Moss” by Ida Moss" in shown
    assert "Ida Moss for Jon Field has signed" in shown


def test_a_delegate_declines_from_the_page(people, colleague, stands_in, sign_in, out):
    url = at("decline-for", colleague, 1, people.client.key)
    posted = {"digest": out.digest, "typed_name": "Ida Moss", "reason": "The old packaging."}
    assert sign_in(colleague).post(url, posted).status_code == 302
    shown = sign_in(people.producer).get(at("campaign", people.producer)).text
    assert "The old packaging." in shown
    shown = sign_in(people.producer).get(at("version", people.producer, 1)).text
    assert "Ida Moss for Jon Field declined version 1" in shown


@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("role", ["agency", "producer", "photographer", "assistant"])
def test_the_page_of_a_delegate_is_for_nobody_else(people, stands_in, sign_in, role, method, out):
    member = getattr(people, role)
    for name in ("sign-for", "decline-for"):
        posted = {"digest": out.digest, "typed_name": "X", "reason": "Y"}
        answer = getattr(sign_in(member), method)(at(name, member, 1, people.client.key), posted)
        assert answer.status_code == 403
        assert "Nobody has asked you to sign for them" in answer.text
    assert not SignOff.objects.exists()


def test_it_is_ended_from_the_page_by_those_who_may(people, colleague, stands_in, sign_in):
    url = at("end-delegation", people.client, stands_in.key)
    stranger = sign_in(people.stylist)
    assert url not in stranger.get(at("signatures", people.stylist)).text
    assert stranger.post(url).status_code == 403
    ender = sign_in(people.producer)
    assert url in ender.get(at("signatures", people.producer)).text
    assert "Ida Moss no longer signs for Jon Field." in ender.post(url, follow=True).text
    assert "ended early" in ender.get(at("signatures", people.producer)).text
    assert ender.post(at("end-delegation", people.client, "not-there")).status_code == 404


def test_the_log_tells_of_it_in_sentences(people, colleague, stands_in, sign_in, out):
    delegate = sign_in(colleague)
    posted = {"digest": out.digest, "typed_name": "Ida Moss"}
    delegate.post(at("sign-for", colleague, 1, people.client.key), posted)
    delegate.post(at("end-delegation", colleague, stands_in.key))
    shown = sign_in(people.producer).get(at("log", people.producer)).text
    assert "Jon Field (Client) asked Ida Moss to sign for them from" in shown
    assert "Ida Moss (Client) signed version 1 for Jon Field." in shown
    assert "Ida Moss (Client) ended that Ida Moss signs for Jon Field." in shown


@pytest.mark.parametrize("many", [1, 4])
def test_the_page_costs_the_same_however_many(people, colleague, sign_in, django_assert_max_num_queries, many):
    for at_ in range(many):
        first_day = TODAY + timedelta(days=10 * at_)
        actions.delegate(again(people.client), to=colleague.key, first_day=first_day, last_day=first_day)
    reader = sign_in(people.client)
    with django_assert_max_num_queries(12):
        reader.get(at("signatures", people.client))
