"""Protects notices by mail: to the other sides alone, without what was said, once an hour for a thread and a person."""

import pytest
from django.core import mail
from django.core.cache import cache

from portal.access import Audience
from portal.talk import actions, notices
from portal.talk.models import Comment
from tests.work import run_work


@pytest.fixture(autouse=True)
def _fresh_cache():
    cache.clear()


def say(by, text="What of the steam?", audience=Audience.EVERYONE):
    return actions.comment(by, kind="campaign", key=by.campaign.key, text=text, audience=audience)


def addresses():
    return sorted(address for sent in mail.outbox for address in sent.to)


def mails_of(*members):
    return sorted(member.user.email for member in members)


def test_the_other_sides_are_told_and_nothing_of_what_was_said(people):
    say(people.client)
    run_work("portal.notice")
    crew_and_agency = (people.agency, people.designer, people.producer, people.photographer, people.stylist)
    assert addresses() == mails_of(*crew_and_agency)
    sent = mail.outbox[0]
    assert sent.subject == f"New talk in {people.campaign.code}"
    assert "steam" not in sent.body
    assert f"/c/{people.campaign.key}/talk/campaign/{people.campaign.key}/#comment-" in sent.body
    assert f"{people.client.user}, client, wrote a comment" in sent.body


@pytest.mark.parametrize(
    ("author", "audience", "told"),
    [
        ("photographer", Audience.WORKING, ("agency", "designer")),
        ("agency", Audience.WORKING, ("producer", "photographer", "stylist")),
        ("agency", Audience.BUYING, ("client",)),
        ("client", Audience.BUYING, ("agency",)),
    ],
)
def test_a_side_is_told_of_what_it_may_read(people, author, audience, told):
    notices.tell(say(getattr(people, author), audience=audience))
    assert addresses() == mails_of(*(getattr(people, role) for role in told))


def test_those_who_left_are_not_told(people):
    people.stylist.left_at = people.stylist.joined_at
    people.stylist.save()
    people.designer.user.is_active = False
    people.designer.user.save()
    notices.tell(say(people.client))
    assert addresses() == mails_of(people.agency, people.producer, people.photographer)


def test_a_person_is_told_once_an_hour_of_a_thread_and_again_of_another(people):
    first = say(people.client)
    notices.tell(first)
    mail.outbox.clear()
    notices.tell(actions.answer(people.client, first.key, text="And of the spoon?"))
    assert addresses() == []
    notices.tell(actions.answer(people.photographer, first.key, text="It can."))
    assert addresses() == mails_of(people.client)  # agency and designer were told a moment ago
    mail.outbox.clear()
    notices.tell(say(people.client, "Another matter."))
    assert len(addresses()) == 5


def test_when_mail_fails_the_next_try_goes_on_where_it_stopped(people, monkeypatch):
    written = say(people.client)
    sent = []

    class Breaks:
        def __init__(self, *args):
            self.to = args[3]

        def send(self):
            if len(sent) == 2:
                raise OSError("the mail server does not answer")
            sent.extend(self.to)

    monkeypatch.setattr(notices, "EmailMessage", Breaks)
    with pytest.raises(OSError, match="does not answer"):
        notices.tell(written)
    monkeypatch.undo()
    assert notices.tell(written) == 3
    assert sorted(sent + addresses()) == mails_of(
        people.agency, people.designer, people.producer, people.photographer, people.stylist
    )


def test_a_comment_that_is_gone_fails_with_a_sentence(people):
    written = say(people.client)
    Comment.objects.filter(pk=written.pk).delete()
    (work,) = run_work("portal.notice")
    assert (work.state, work.says) == ("failed", "The comment is no longer there.")
    assert mail.outbox == []
