"""Protects talk's pages and fragment: forms that lose nothing, in place by htmx, few queries, the right doors."""

import pytest
from django.urls import reverse

from portal.access import Audience, Role
from portal.talk import actions
from portal.talk.models import Comment
from tests.factories import MemberFactory, ShotFactory

HTMX = {"HX-Request": "true"}


def thread_at(member, kind="campaign", key=""):
    return reverse("portal:thread", args=[member.campaign.key, kind, key or member.campaign.key])


def talk_at(member):
    return reverse("portal:talk", args=[member.campaign.key])


def about(member, name, comment):
    return reverse(f"portal:{name}", args=[member.campaign.key, comment.key])


def say(by, text="What of the steam?", audience=Audience.EVERYONE, **more):
    where = {"kind": "campaign", "key": by.campaign.key} | more
    return actions.comment(by, text=text, audience=audience, **where)


def test_a_comment_with_a_place_is_posted_in_per_cent_and_kept_in_fractions(people, sign_in):
    shot = ShotFactory(campaign=people.campaign)
    posted = {"text": "Thicker here?", "audience": "everyone", "pin_x": "62.5", "pin_y": "44"}
    answer = sign_in(people.client).post(thread_at(people.client, "shot", shot.key), posted)
    kept = Comment.objects.get()
    assert (kept.subject, kept.pin_x, kept.pin_y) == (f"shot/{shot.key}", 0.625, 0.44)
    assert answer.url == f"{thread_at(people.client, 'shot', shot.key)}#comment-{kept.key}"


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"text": ""}, "Write something first."),
        ({"audience": ""}, "Choose who reads it."),
        ({"audience": "working"}, "Choose who reads it, from those given."),
        ({"pin_x": "50"}, "needs both numbers"),
        ({"pin_x": "101", "pin_y": "5"}, "less than or equal to 100"),
    ],
)
def test_a_comment_that_is_wrong_comes_back_as_it_was_typed(people, sign_in, change, says):
    posted = {"text": "Kept as typed", "audience": "everyone", "pin_x": "", "pin_y": ""} | change
    for headers in ({}, HTMX):
        answer = sign_in(people.client).post(thread_at(people.client), posted, headers=headers)
        assert answer.status_code == 422
        assert says in answer.text
        assert posted["text"] in answer.text
    assert not Comment.objects.exists()


def test_the_fragment_is_the_page_without_its_frame(people, sign_in):
    say(people.client)
    reader = sign_in(people.stylist)
    whole, part = reader.get(thread_at(people.stylist)), reader.get(thread_at(people.stylist), headers=HTMX)
    assert "<h1" in whole.text
    assert part.text.strip().startswith(f'<div class="stack" id="talk-campaign-{people.campaign.key}">')
    assert "What of the steam?" in part.text
    posted = reader.post(thread_at(people.stylist), {"text": "Sage?", "audience": "everyone"}, headers=HTMX)
    assert posted.status_code == 200
    assert "Sage?" in posted.text
    assert ">Sage?</textarea>" not in posted.text  # the form stands empty again


def test_a_thread_is_answered_resolved_and_opened_again(people, sign_in):
    first = say(people.client)
    reader = sign_in(people.photographer)
    answered = reader.post(about(people.photographer, "answer", first), {"text": "It can.", "back": "talk"})
    assert answered.url.startswith(f"{talk_at(people.photographer)}#comment-")
    part = reader.post(about(people.photographer, "resolve", first), headers=HTMX)
    assert f"resolved by {people.photographer.user}" in part.text
    assert reader.post(about(people.photographer, "reopen", first)).status_code == 302
    first.refresh_from_db()
    assert first.resolved_at is None


def test_an_empty_answer_comes_back_beside_its_thread(people, sign_in):
    first = say(people.client)
    answer = sign_in(people.photographer).post(about(people.photographer, "answer", first), {"text": " "})
    assert answer.status_code == 422
    assert "Write something first." in answer.text
    assert "<details open>" in answer.text


def test_all_talk_is_grouped_by_what_it_is_about_and_filtered(people, sign_in):
    shot = ShotFactory(campaign=people.campaign, number=4, title="The last spoon")
    say(people.client, "On the shot.", kind="shot", key=shot.key)
    settled = say(people.client, "Settled long ago.")
    actions.resolve(people.client, settled.key)
    say(people.stylist, "On the campaign.")
    reader = sign_in(people.designer)

    text = reader.get(talk_at(people.designer)).text
    assert "Two comments are open." in text
    assert "Shot 4, The last spoon" in text
    assert "Settled long ago." not in text
    resolved = reader.get(talk_at(people.designer), {"show": "resolved"}).text
    assert "Settled long ago." in resolved
    assert "On the shot." not in resolved


def test_what_was_said_of_a_thing_that_is_gone_is_still_read(people, sign_in):
    shot = ShotFactory(campaign=people.campaign)
    say(people.client, "On the shot.", kind="shot", key=shot.key)
    shot.delete()
    reader = sign_in(people.client)
    text = reader.get(talk_at(people.client)).text
    assert "A shot that is no longer in the brief" in text
    assert "On the shot." in text
    assert reader.get(thread_at(people.client, "shot", shot.key)).status_code == 404


@pytest.mark.parametrize("many", [2, 30])
def test_talk_costs_the_same_however_much_was_said(people, sign_in, django_assert_num_queries, many):
    shots = ShotFactory.create_batch(many, campaign=people.campaign)
    for shot in shots:
        first = say(people.client, kind="shot", key=shot.key)
        actions.answer(people.stylist, first.key, text="Yes.")
    reader = sign_in(people.designer)
    with django_assert_num_queries(7):
        reader.get(talk_at(people.designer))
    with django_assert_num_queries(5):
        reader.get(thread_at(people.designer, "shot", shots[0].key), headers=HTMX)


def test_who_may_not_comment_has_no_talk_and_outsiders_find_nothing(people, sign_in):
    first = say(people.client)
    for member, status in ((people.assistant, 403), (MemberFactory(role=Role.PHOTOGRAPHER), 404)):
        reader = sign_in(member)
        here = people.client
        for answer in (
            reader.get(talk_at(here)),
            reader.get(thread_at(here)),
            reader.post(thread_at(here), {"text": "Hello", "audience": "everyone"}),
            reader.post(about(here, "answer", first), {"text": "Hello"}),
            reader.post(about(here, "resolve", first)),
            reader.post(about(here, "reopen", first)),
        ):
            assert answer.status_code == status
    assert Comment.objects.count() == 1


def test_an_unknown_kind_is_not_found(people, sign_in):
    assert sign_in(people.client).get(thread_at(people.client, "unicorn", "x")).status_code == 404
