"""Protects that a form sent twice has one effect, and that two people at one person's part overwrite nothing."""

from datetime import timedelta
from html import unescape

import pytest
from django.core import mail
from django.urls import reverse
from django.utils import timezone
from django.utils.timezone import localdate

from portal.access import Audience, Role
from portal.delegation import actions as delegation
from portal.models import Campaign, Change, Comment, Delegation, LogEntry, Member, Waiver
from portal.people import actions
from portal.talk import actions as talk
from portal.waivers import actions as waivers
from tests.agreed_world import agreed
from tests.factories import MemberFactory, UserFactory
from tests.filled import filled
from tests.portal.conftest import again
from tests.portal.test_people_actions import invited
from tests.portal.test_people_own_pages import START
from tests.portal.test_waivers_actions import WHY, finding
from tests.portal.test_waivers_actions import finds as finds_fixture

finds = finds_fixture


@pytest.fixture
def ida(people):
    """Another producer, who is quicker."""
    return MemberFactory(campaign=people.campaign, role=Role.PRODUCER, user=UserFactory(name="Ida Moss"))


def at(name, member, *args):
    return reverse(f"portal:{name}", args=[member.campaign.key, *args])


def twice(client, url, form, **more):
    answers = [client.post(url, form, **more) for _ in range(2)]
    return [answer.status_code for answer in answers]


def test_a_change_sent_twice_is_one_and_another_by_the_same_form_is_a_second(db, monkeypatch, sign_in):
    world = agreed(monkeypatch)
    client = sign_in(world.stylist)
    url = at("raise-change", world.stylist)
    form = filled(client.get(url), field="what") | {
        "what": "Amber glass.",
        "why": "Clear vanishes.",
        "asked_by": "Mira",
    }
    assert twice(client, url, form) == [302, 302]
    assert Change.objects.count() == 1
    # Gone back in the browser, and something else written there: nothing of it is lost.
    assert client.post(url, form | {"what": "Green glass."}).status_code == 302
    assert [change.what for change in Change.objects.order_by("number")] == ["Amber glass.", "Green glass."]


def test_a_delegation_that_was_ended_is_not_set_up_anew_by_a_form_sent_again(people, sign_in):
    colleague = MemberFactory(campaign=people.campaign, role=Role.CLIENT)
    client, today = sign_in(people.client), localdate()
    form = filled(client.get(at("signatures", people.client)), "delegate/")
    form |= {"to": colleague.key, "first_day": today, "last_day": today + timedelta(days=3)}
    assert client.post(at("delegate", people.client), form).status_code == 302
    delegation.end(again(people.client), Delegation.objects.get().key)
    assert client.post(at("delegate", people.client), form).status_code == 302
    assert Delegation.objects.get().ended_at


@pytest.mark.parametrize("headers", [{}, {"HX-Request": "true"}])
def test_a_comment_and_an_answer_sent_twice_are_one_each(people, sign_in, headers):
    client, url = sign_in(people.client), at("thread", people.client, "campaign", people.campaign.key)
    form = filled(client.get(url), url) | {"text": "Steam?", "audience": "everyone"}
    twice(client, url, form, headers=headers)
    first = Comment.objects.get()
    # However long it takes until the network is back.
    Comment.objects.update(written_at=timezone.now() - timedelta(hours=1))
    client.post(url, form, headers=headers)
    assert Comment.objects.get() == first
    answer = filled(client.get(url), "answer/") | {"text": "It can."}
    twice(client, at("answer", people.client, first.key), answer, headers=headers)
    assert Comment.objects.count() == 2
    assert LogEntry.objects.filter(act__startswith="comment.").count() == 2


def test_an_answer_sent_again_does_not_open_what_was_resolved_since(people, sign_in):
    said = {"kind": "campaign", "key": people.campaign.key, "text": "Steam?", "audience": Audience.EVERYONE}
    first = talk.comment(people.client, **said)
    client, url = sign_in(people.client), at("answer", people.client, first.key)
    form = filled(client.get(at("thread", people.client, "campaign", people.campaign.key)), "answer/")
    client.post(url, form | {"text": "It can."})
    talk.resolve(people.photographer, first.key)
    client.post(url, form | {"text": "It can."})
    first.refresh_from_db()
    assert first.resolved_at


def test_a_campaign_is_started_once(client, db):
    user = UserFactory(starts_campaigns=True)
    client.force_login(user)
    form = START | {"once": filled(client.get("/start/"))["once"]}
    answers = [client.post("/start/", form) for _ in range(2)]
    assert {answer.headers["Location"] for answer in answers} == {f"/c/{Campaign.objects.get().key}/people/"}


def test_an_invitation_is_sent_again_once(people, sign_in, django_capture_on_commit_callbacks):
    row = invited(people.producer)
    type(row).objects.update(sent_at=timezone.now() - timedelta(hours=1))
    mail.outbox.clear()
    client = sign_in(people.producer)
    form = filled(client.get(at("people", people.producer)), "resend/")
    with django_capture_on_commit_callbacks(execute=True):
        assert twice(client, at("resend", people.producer, row.key), form) == [302, 302]
    assert len(mail.outbox) == 1


def test_two_who_change_one_persons_part_are_both_shown(people, ida, sign_in):
    client, url = sign_in(people.producer), at("change-member", people.producer, people.stylist.key)
    key = people.stylist.key
    form = filled(client.get(at("people", people.producer)), f"{key}/change/")
    actions.change_member(again(ida), key, role=Role.PROPS)
    asked = client.post(url, form | {f"{key}-role": "assistant"})
    assert asked.status_code == 422
    assert "Ida Moss (Shoot producer) wrote this at" in unescape(asked.text)
    people.stylist.refresh_from_db()
    assert people.stylist.role == Role.PROPS
    mine = filled(asked, f"{key}/change/")
    assert mine[f"{key}-role"] == ["assistant"]
    taken = client.post(url, mine | {f"keep-{key}-role": "theirs"})
    people.stylist.refresh_from_db()
    assert (taken.status_code, people.stylist.role) == (302, Role.PROPS)
    assert twice(client, url, mine) == [302, 302]
    people.stylist.refresh_from_db()
    assert people.stylist.role == Role.ASSISTANT
    assert LogEntry.objects.filter(act="member.changed").count() == 2


def test_whoever_got_another_part_meanwhile_is_not_removed_unasked(people, ida, sign_in):
    client, url = sign_in(people.producer), at("remove-member", people.producer, people.stylist.key)
    form = filled(client.get(url))
    actions.change_member(again(ida), people.stylist.key, role=Role.PROPS)
    asked = client.post(url, form)
    assert asked.status_code == 422
    assert "Ida Moss" in unescape(asked.text)
    assert Member.objects.get(pk=people.stylist.pk).left_at is None
    assert twice(client, url, filled(asked)) == [302, 302]
    assert LogEntry.objects.filter(act="member.removed").count() == 1


def test_a_second_signers_reason_for_a_waiver_is_not_lost(people, finds, sign_in):
    finds(finding())
    client, url = sign_in(people.client), at("waive", people.client, finding().key[:16])
    form = filled(client.get(url)) | {"reason": "It is printed in two parts.", "typed_name": "Ben Lee"}
    waivers.give(again(people.photographer), finding().key, typed_name="Ines Sarr", reason=WHY)
    told = client.post(url, form)
    assert told.status_code == 422
    assert f"Ines Sarr has waived this already: “{WHY}”" in unescape(told.text)
    assert "You wrote: “It is printed in two parts.”" in told.text


def test_a_waiver_that_was_taken_back_is_not_given_anew_by_a_form_sent_again(people, finds, sign_in):
    finds(finding())
    client, url = sign_in(people.client), at("waive", people.client, finding().key[:16])
    form = filled(client.get(url)) | {"reason": WHY, "typed_name": "Ben Lee"}
    client.post(url, form)
    waivers.take_back(again(people.photographer), Waiver.objects.get().key)
    client.post(url, form)
    assert Waiver.objects.get().withdrawn_at
