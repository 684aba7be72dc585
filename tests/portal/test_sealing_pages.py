"""Protects the pages of putting forward, withdrawing and signing: refusals, double clicks, digests that changed."""

import pytest
from django.urls import reverse

from portal.access import Role
from portal.brief import actions, sections
from portal.brief.documents import draft_of
from portal.brief.finding import Finding
from portal.brief.models import Version
from portal.brief.sections import Section
from portal.sealing.models import SignOff
from tests.factories import MemberFactory
from tests.portal.conftest import again


def at(name, member, *args):
    return reverse(f"portal:{name}", args=[member.campaign.key, *args])


def forward(people):
    return {"note": "Read shot 2.", "digest": draft_of(again(people.producer).campaign).digest}


def test_put_forward_shows_whom_it_asks_and_puts_forward_what_was_read(people, sign_in):
    producer = sign_in(people.producer)
    shown = producer.get(at("put-forward", people.producer)).text
    assert f"the signature of {people.client.user} and {people.photographer.user}" in shown
    answer = producer.post(at("put-forward", people.producer), forward(people))
    assert answer.url == at("campaign", people.producer)
    assert Version.objects.get().note == "Read shot 2."


def test_put_forward_clicked_twice_is_one_version(people, sign_in):
    producer, posted = sign_in(people.producer), forward(people)
    first, second = (producer.post(at("put-forward", people.producer), posted) for _ in range(2))
    assert (first.status_code, second.status_code) == (302, 302)
    assert Version.objects.count() == 1


def test_put_forward_while_another_version_is_out_is_a_conflict(people, out, sign_in):
    answer = sign_in(people.agency).post(at("put-forward", people.agency), {"note": "", "digest": "0" * 64})
    assert answer.status_code == 409
    assert "Version 1 is out for signature" in answer.text


def test_put_forward_of_what_has_changed_since_is_a_conflict(people, sign_in):
    posted = forward(people)
    actions.settle_terms(again(people.agency), media="Screens")
    answer = sign_in(people.producer).post(at("put-forward", people.producer), posted)
    assert answer.status_code == 409
    assert "changed while you were reading" in answer.text
    assert not Version.objects.exists()


def test_put_forward_lists_what_stands_in_its_way_and_has_no_button(people, bare, sign_in, monkeypatch):
    must = Finding("must-fix", "Shot 1 has no mockup.", "Mockup of shot 1", "missing", (), "/there", "mockup")
    section = Section("test", "Test", 5, lambda _: [], bare.template, lambda _: [must])
    monkeypatch.setitem(sections._sections, "test", section)
    shown = sign_in(people.producer).get(at("put-forward", people.producer)).text
    assert "It cannot go yet: one thing stands in its way." in shown
    assert 'href="/there"' in shown
    assert 'name="digest"' not in shown
    answer = sign_in(people.producer).post(at("put-forward", people.producer), {"digest": "0" * 64})
    assert answer.status_code == 409
    assert "Shot 1 has no mockup." in answer.text


def test_a_round_past_those_included_is_said_before_it_is_sent(people, sign_in):
    people.campaign.rounds_included = 1
    people.campaign.save()
    for _ in range(2):
        actions.put_forward(again(people.producer))
        actions.withdraw(again(people.producer), reason="Again")
    shown = sign_in(people.producer).get(at("put-forward", people.producer)).text
    assert "Version 3 is round 2 of amends, and one is included" in shown


def test_withdraw_asks_for_a_reason_and_keeps_it(people, out, sign_in):
    producer = sign_in(people.producer)
    assert producer.post(at("withdraw", people.producer, 1), {"reason": " "}).status_code == 422
    assert producer.post(at("withdraw", people.producer, 1), {"reason": "A typing error"}).status_code == 302
    assert again(people.producer).campaign.open_version is None
    assert producer.post(at("withdraw", people.producer, 1), {"reason": "Once more"}).status_code == 409
    assert sign_in(people.client).get(at("withdraw", people.client, 1)).status_code == 403


def test_sign_posts_the_digest_that_was_shown_and_the_last_one_locks(people, out, sign_in):
    client = sign_in(people.client)
    shown = client.get(at("sign", people.client, 1)).text
    assert f'value="{out.digest}"' in shown
    answer = client.post(at("sign", people.client, 1), {"digest": out.digest, "typed_name": "B. Lee"}, follow=True)
    assert "You have signed version 1." in answer.text
    last = sign_in(people.photographer)
    posted = {"digest": out.digest, "typed_name": "Ida"}
    answer = last.post(at("sign", people.photographer, 1), posted, follow=True)
    assert "It is locked with your signature." in answer.text


def test_sign_clicked_twice_is_one_signature_even_when_it_locked(people, out, sign_in):
    for member in (people.photographer, people.client):
        signer, posted = sign_in(member), {"digest": out.digest, "typed_name": "X"}
        answers = [signer.post(at("sign", member, 1), posted).status_code for _ in range(2)]
        assert answers == [302, 302]
    assert SignOff.objects.count() == 2


def test_sign_when_the_version_has_changed_is_a_conflict(people, out, sign_in):
    actions.withdraw(people.producer, reason="A typing error")
    actions.settle_terms(again(people.producer), media="Screens")
    second = actions.put_forward(again(people.producer))
    signer = sign_in(people.client)
    for number in (1, 2):
        answer = signer.post(at("sign", people.client, number), {"digest": out.digest, "typed_name": "Ben"})
        assert answer.status_code == 409
        assert "no longer out for signature" in answer.text
    assert not SignOff.objects.exists()
    assert signer.post(at("sign", people.client, 2), {"digest": second.digest, "typed_name": "Ben"}).status_code == 302


def test_sign_without_a_name_shows_the_form_again(people, out, sign_in):
    answer = sign_in(people.client).post(at("sign", people.client, 1), {"digest": out.digest, "typed_name": ""})
    assert answer.status_code == 422
    assert "Type your name as you sign." in answer.text
    assert not SignOff.objects.exists()


def test_decline_keeps_the_reason_and_refuses_none(people, out, sign_in):
    client = sign_in(people.client)
    posted = {"digest": out.digest, "typed_name": "Ben", "reason": ""}
    refused = client.post(at("decline", people.client, 1), posted)
    assert refused.status_code == 422
    assert "Say what would have to change" in refused.text
    assert 'value="Ben"' in refused.text
    posted["reason"] = "The old packaging."
    assert client.post(at("decline", people.client, 1), posted).status_code == 302
    assert SignOff.objects.get().reason == "The old packaging."
    posted["reason"] = "The old packaging."
    assert client.post(at("decline", people.client, 1), posted).status_code == 302
    assert client.post(at("sign", people.client, 1), posted).status_code == 409


def test_who_is_not_asked_has_nothing_to_sign(people, out, sign_in):
    assert sign_in(people.producer).get(at("sign", people.producer, 1)).status_code == 403
    people.agency.may_sign = True
    people.agency.save()
    shown = sign_in(people.agency).get(at("sign", people.agency, 1)).text
    assert "You have nothing to sign here." in shown
    assert 'name="typed_name"' not in shown


@pytest.mark.parametrize("name", ["put-forward", "withdraw", "sign", "decline"])
def test_outsiders_find_nothing(people, out, sign_in, name):
    args = [] if name == "put-forward" else [1]
    stranger = sign_in(MemberFactory(role=Role.PHOTOGRAPHER))
    assert stranger.get(at(name, people.client, *args)).status_code == 404
    assert stranger.post(at(name, people.client, *args), {"digest": out.digest}).status_code == 404
