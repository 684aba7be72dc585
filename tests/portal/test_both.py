"""Protects the rule for two people at one thing, and its terms: which fields are written, and what is asked about."""

from html import unescape

import pytest
from django.core import mail
from django.urls import reverse

from portal.brief import both, once
from portal.brief.actions import settle_terms
from portal.brief.both import ChangedMeanwhile, Telling, settle
from portal.models import Invitation, LogEntry
from portal.record.chain import entry_digest
from portal.sealing import log
from portal.talk.actions import comment
from tests.filled import filled

TELLING = Telling(("thing.edited",))
NOW = {"a": "old", "b": "old", "c": 3, "d": [1, 2]}


def settled(by, read, now, typed, **more):
    return settle(by, read, now, typed, subject="thing/1", telling=TELLING, **more)


@pytest.mark.parametrize(
    ("now", "typed", "written"),
    [
        (NOW, {"a": "mine"}, {"a": "mine"}),
        (NOW, {"a": "mine", "b": "old", "c": 3}, {"a": "mine"}),  # what I left alone is not written again
        (NOW | {"b": "hers"}, {"a": "mine", "b": "old"}, {"a": "mine"}),  # hers stays
        (NOW | {"a": "same"}, {"a": "same"}, {"a": "same"}),  # we wrote the same
        (NOW, {"a": " old ", "d": (1, 2), "c": 3.0}, {}),  # the same in another dress
        (NOW | {"a": "x\ny"}, {"a": "x\r\ny"}, {"a": "x\r\ny"}),
    ],
)
def test_what_is_written_of_what_was_typed(people, now, typed, written):
    assert settled(people.producer, NOW, now, typed) == written


def test_a_script_that_has_read_nothing_writes_everything(people):
    assert settled(people.producer, None, NOW | {"a": "hers"}, {"a": "mine", "b": "old"}) == {"a": "mine", "b": "old"}


@pytest.mark.parametrize(
    ("read", "now", "typed", "more", "asked"),
    [
        (NOW, NOW | {"a": "hers"}, {"a": "mine", "b": "mine"}, {}, {"a"}),
        ({}, NOW, {"a": "mine", "b": "old"}, {}, {"a"}),  # nothing known of what was read
        (NOW, NOW | {"c": 4}, {"a": "mine", "c": 3}, {"together": [("a", "c")]}, {"a", "c"}),
        (NOW | {"on": 1}, NOW, {"a": "mine", "b": "old"}, {"rests": {"on": 2}}, {"a"}),
    ],
)
def test_what_is_asked_about(people, read, now, typed, more, asked):
    with pytest.raises(ChangedMeanwhile) as refused:
        settled(people.producer, read, now, typed, **more)
    assert set(refused.value.theirs) == asked


def test_who_it_was_is_the_last_who_changed_that_very_field(people):
    for by, now in ((people.client, {"a": "1"}), (people.agency, {"a": "2"}), (people.designer, {"b": "3"})):
        log.append(by, "thing.edited", "thing/1", was={}, now=now)
    log.append(people.stylist, "thing.edited", "thing/2", was={}, now={"a": "other"})
    with pytest.raises(ChangedMeanwhile) as refused:
        settled(people.producer, NOW, NOW | {"a": "2"}, {"a": "mine"})
    assert refused.value.theirs["a"].who == str(people.agency)
    assert refused.value.messages == [refused.value.theirs["a"].says]


def test_my_other_window_is_told_as_mine(people):
    log.append(people.producer, "thing.edited", "thing/1", was={}, now={"a": "2"})
    with pytest.raises(ChangedMeanwhile, match="You, in another window, wrote this at"):
        settled(people.producer, NOW, NOW | {"a": "2"}, {"a": "mine"})


def test_what_one_side_said_is_not_told_to_another(people):
    length = people.campaign.log.count()
    log.append(people.agency, "thing.edited", "thing/1", audience="buying", secret="£4210.55")
    comment(people.agency, kind="campaign", key=people.campaign.key, text="Hers alone", audience="everyone")
    assert both.since(people.producer, length) == []


def at(name, member, *args):
    return reverse(f"portal:{name}", args=[member.campaign.key, *args])


def test_terms_that_two_settle_at_once(people, sign_in):
    client, url = sign_in(people.producer), at("terms", people.producer)
    form = filled(client.get(url))
    settle_terms(people.agency, media="Hers", languages=["en-GB", "cy"])
    refused = client.post(url, form | {"media": "Mine", "period": "A year"})
    assert refused.status_code == 422
    assert f"{people.agency} wrote this at" in unescape(refused.text)
    mine = filled(refused)
    assert (mine["media"], mine["period"], mine["languages"]) == (["Mine"], ["A year"], ["en-GB cy"])
    people.campaign.refresh_from_db()
    assert (people.campaign.media, people.campaign.period) == ("Hers", "Six weeks")
    assert client.post(url, mine | {"keep-media": "theirs"}).status_code == 302
    people.campaign.refresh_from_db()
    assert (people.campaign.media, people.campaign.period) == ("Hers", "A year")
    assert people.campaign.languages == ["en-GB", "cy"]


def test_an_invitation_sent_twice_goes_out_once(people, sign_in, django_capture_on_commit_callbacks):
    client = sign_in(people.producer)
    form = filled(client.get(at("people", people.producer)), "invite/", "people")
    form |= {"people": "Mara Quist <mara@example.com>", "role": "retoucher"}
    with django_capture_on_commit_callbacks(execute=True):
        answers = [client.post(at("invite", people.producer), form) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [302, 302]
    assert Invitation.objects.count() == 1
    assert [message.to for message in mail.outbox] == [["mara@example.com"]]


class _Request:
    def __init__(self, path="/x/", **post):
        from django.http import QueryDict
        from django.utils.datastructures import MultiValueDict

        self.path, self.POST, self.FILES = path, QueryDict(mutable=True), MultiValueDict()
        for name, value in post.items():
            self.POST.setlist(name, value if isinstance(value, list) else [value])


def test_a_form_is_the_same_only_with_the_same_word_and_the_same_words():
    same = once.digest_of(_Request(once="w", title="A", csrfmiddlewaretoken="1"))
    assert len(same) == 24
    assert once.digest_of(_Request(once="w", title="A", csrfmiddlewaretoken="2")) == same
    others = [
        _Request(once="v", title="A"),
        _Request(once="w", title="B"),
        _Request(once="w", title=["A", "A"]),
        _Request("/y/", once="w", title="A"),
        _Request(once="w", title="A", more=""),
    ]
    assert same not in [once.digest_of(other) for other in others]
    assert once.digest_of(_Request(title="A")) == ""


def test_a_form_of_somebody_else_or_of_long_ago_is_not_known(people, monkeypatch):
    log.append(people.producer, "shot.added", "shot/1", once="d")
    assert once.done(people.agency, "d") == []
    assert [once.key(entry) for entry in once.done(people.producer, "d")] == ["1"]
    assert once.done(people.producer, "") == []
    monkeypatch.setattr(once, "_LAST", 2)
    for _ in range(2):
        log.append(people.producer, "thing.edited")
    assert once.done(people.producer, "d") == []


def test_what_a_form_leaves_in_the_log_is_sealed_with_it(people):
    entry = log.append(people.producer, "shot.added", "shot/1", **once.mark("d"))
    fields = ("sequence", "actor", "actor_name", "act", "subject", "payload", "audience", "before", "rows")
    held = {name: getattr(entry, name) for name in fields} | {"campaign": people.campaign.key}
    assert entry_digest(held | {"at": entry.at.isoformat()}) == entry.digest
    assert entry_digest(held | {"at": entry.at.isoformat(), "payload": {}}) != entry.digest
    assert LogEntry.objects.get(payload__once="d") == entry
