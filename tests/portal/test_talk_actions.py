"""Protects talk's acts: audiences fixed and inherited, threads, resolving, double clicks, a closed brief."""

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from portal.access import Audience, May, Role, may
from portal.notices.models import Notice
from portal.sealing.models import LogEntry
from portal.talk import actions, queries
from portal.talk.models import Comment
from portal.talk.subjects import NoSuchSubject
from tests.factories import MemberFactory, ShotFactory


def say(by, text="What of the steam?", audience=Audience.EVERYONE, **more):
    about = {"kind": "campaign", "key": by.campaign.key} | more
    return actions.comment(by, text=text, audience=audience, **about)


def test_a_comment_is_kept_logged_and_told(people):
    written = say(people.client, " What of the steam? ")
    entry = LogEntry.objects.get()
    assert (written.text, written.audience, written.subject) == (
        "What of the steam?",
        "everyone",
        f"campaign/{people.campaign.key}",
    )
    assert (entry.act, entry.audience) == ("comment.written", "everyone")
    assert "steam" not in str(entry.payload)
    assert Notice.objects.filter(subject=f"thread/{written.key}").exists()


@pytest.mark.parametrize("role", list(Role))
@pytest.mark.parametrize(
    ("audience", "act"),
    [(Audience.EVERYONE, May.COMMENT), (Audience.WORKING, May.COMMENT_WORKING), (Audience.BUYING, May.COMMENT_BUYING)],
)
def test_an_audience_is_written_for_by_who_belongs_to_it(people, role, audience, act):
    member = MemberFactory(campaign=people.campaign, role=role)
    if may(member, act):
        assert say(member, audience=audience).audience == audience
    else:
        with pytest.raises(PermissionDenied):
            say(member, audience=audience)
        assert not Comment.objects.exists()


def test_an_answer_has_the_audience_of_its_thread(people):
    first = say(people.photographer, audience=Audience.WORKING)
    answered = actions.answer(people.stylist, first.key, text="It can.")
    below = actions.answer(people.photographer, answered.key, text="Good.")
    assert (answered.audience, answered.subject, answered.answers) == ("working", first.subject, first)
    assert below.answers == first


@pytest.mark.parametrize("act", ["answer", "resolve", "reopen"])
def test_what_one_may_not_read_is_not_there_to_be_answered(people, act):
    first = say(people.photographer, audience=Audience.WORKING)
    words = {"text": "Hello?"} if act == "answer" else {}
    with pytest.raises(Comment.DoesNotExist):
        getattr(actions, act)(people.client, first.key, **words)
    with pytest.raises(Comment.DoesNotExist):
        getattr(actions, act)(MemberFactory(role=Role.PHOTOGRAPHER), first.key, **words)
    with pytest.raises(PermissionDenied):
        getattr(actions, act)(people.assistant, first.key, **words)
    assert Comment.objects.count() == 1


def test_resolving_and_opening_again_are_kept_with_who_did(people):
    first = say(people.client)
    actions.resolve(people.photographer, first.key)
    actions.resolve(people.photographer, first.key)
    first.refresh_from_db()
    assert (first.resolved_by, first.resolved_at is not None) == (people.photographer, True)

    actions.reopen(people.client, first.key)
    first.refresh_from_db()
    assert (first.resolved_by, first.resolved_at) == (None, None)
    assert list(LogEntry.objects.values_list("act", flat=True)) == [
        "comment.written",
        "comment.resolved",
        "comment.reopened",
    ]


def test_an_answer_opens_a_resolved_thread_again(people):
    first = say(people.client)
    actions.resolve(people.photographer, first.key)
    actions.answer(people.client, first.key, text="Not quite.")
    first.refresh_from_db()
    assert first.resolved_at is None


@pytest.mark.parametrize(("pin", "good"), [((0, 0), True), ((1, 1), True), ((0.5, 1.01), False), ((-0.1, 0.5), False)])
def test_a_place_lies_on_the_picture(people, pin, good):
    if good:
        written = say(people.client, pin=pin)
        assert (written.pin_x, written.pin_y) == pin
    else:
        with pytest.raises(ValidationError, match="between 0 and 100"):
            say(people.client, pin=pin)


@pytest.mark.parametrize("text", ["", "  \n ", "x" * 4001])
def test_a_comment_has_something_to_say_and_an_end(people, text):
    with pytest.raises(ValidationError):
        say(people.client, text)
    assert not Comment.objects.exists()


def test_a_form_sent_twice_is_one_comment_and_the_same_words_of_another_form_are_two(people):
    assert say(people.client, once="a form") == say(people.client, once="a form")
    say(people.stylist, once="a form")
    say(people.client, audience=Audience.BUYING)
    assert Comment.objects.count() == 3
    assert Notice.objects.values("sequence").distinct().count() == 3


def test_a_subject_must_be_in_the_campaign(people):
    theirs = ShotFactory()
    for kind, key in (("shot", theirs.key), ("campaign", theirs.campaign.key), ("unicorn", "x"), ("shot", "x")):
        with pytest.raises(NoSuchSubject):
            say(people.client, kind=kind, key=key)
    assert not Comment.objects.exists()


def test_talk_goes_on_when_the_brief_is_closed(people, out):
    first = say(people.client)
    actions.answer(people.photographer, first.key, text="Yes.")
    actions.resolve(people.client, first.key)
    assert Comment.objects.count() == 2


def test_places_are_numbered_in_each_readers_own_list(people):
    say(people.photographer, "Between us.", audience=Audience.WORKING, pin=(0.1, 0.1))
    say(people.client, "The steam.", pin=(0.62, 0.44))
    settled = say(people.client, "Settled.", pin=(0.7, 0.7))
    actions.resolve(people.client, settled.key)

    def pins(member):
        return [(pin["number"], pin["x"], pin["y"]) for pin in queries.pins(member, "campaign", people.campaign.key)]

    assert pins(people.client) == [(1, 0.62, 0.44)]
    assert pins(people.stylist) == [(1, 0.1, 0.1), (2, 0.62, 0.44)]
