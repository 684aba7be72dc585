"""Protects the log: its chain as it is written, its sentences, and who reads which entry."""

import json
from hashlib import sha256

import pytest
import rfc8785
from django.db import transaction
from django.urls import reverse

from portal.access import Audience, Role
from portal.brief import actions
from portal.record import chain
from portal.sealing import actions as sealing
from portal.sealing import log, words
from portal.sealing.log_queries import TOPICS, log_for
from portal.sealing.models import LogEntry
from portal.talk import actions as talk
from portal.talk.subjects import Subject
from tests.factories import CampaignFactory, MemberFactory
from tests.portal.conftest import again


def at(member):
    return reverse("portal:log", args=[member.campaign.key])


def test_entries_are_chained_campaign_by_campaign(people):
    other = MemberFactory(role=Role.PRODUCER)
    for n in range(3):
        log.append(again(people.producer), "thing.noted", n=n)
        log.append(again(other), "thing.noted", n=n)
    entries = list(LogEntry.objects.filter(campaign=people.campaign))
    people.campaign.refresh_from_db()
    assert [entry.sequence for entry in entries] == [1, 2, 3]
    assert [entry.before for entry in entries] == [chain.START, entries[0].digest, entries[1].digest]
    assert (people.campaign.log_length, people.campaign.log_head) == (3, entries[2].digest)


def test_an_act_that_fails_leaves_no_entry(people):
    def act():
        with transaction.atomic():
            log.append(people.producer, "thing.noted")
            raise RuntimeError

    with pytest.raises(RuntimeError):
        act()
    people.campaign.refresh_from_db()
    assert not LogEntry.objects.exists()
    assert people.campaign.log_length == 0


def entry(act, subject="", **payload):
    return LogEntry(act=act, subject=subject, payload=payload, actor_name="Ida Moss (Props stylist)")


@pytest.mark.parametrize(
    ("written", "says"),
    [
        (entry("version.signed", "version/x", number=2), "Ida Moss (Props stylist) signed version 2."),
        (
            entry("version.declined", number=2, reason="Too dark."),
            "Ida Moss (Props stylist) declined version 2: Too dark.",
        ),
        (entry("version.locked", number=2), "Version 2 is locked with its last signature."),
        (
            entry("terms.settled", was={"media": ""}, now={"media": "Screens"}),
            "Ida Moss (Props stylist) changed the terms: media Screens.",
        ),
        (
            entry("prop.edited", "prop/x", name="Slate vase", was={"quantity": 1}, now={"quantity": 2}),
            "Ida Moss (Props stylist) edited the prop Slate vase: quantity 2, was 1.",
        ),
        (entry("sheet.put-aside", "sheet/x", name="a.png"), "Ida Moss (Props stylist) put aside the sheet a.png."),
        (entry("prop.removed", was={"name": "Vase"}), "Ida Moss (Props stylist) removed the prop Vase."),
        (
            entry("version.signed", "version/x"),
            "Ida Moss (Props stylist) signed the version.",
        ),  # payload of another age
        (entry("comment.written", "shot/x"), "Ida Moss (Props stylist) wrote a comment on a shot."),
        (
            entry("x.edited", was=dict.fromkeys("abcdef", 1), now=dict.fromkeys("abcdef", 2)),
            "Ida Moss (Props stylist) edited the x: a 2, was 1; b 2, was 1; c 2, was 1; d 2, was 1; and 2 more.",
        ),
        (
            entry("capture.accepted", "shot/x", number=2, captures=1, served=7),
            "Ida Moss (Props stylist) accepted the capture plan of shot 2: one capture, seven placements served.",
        ),
        (
            entry("capture.settled", "shot/x", was={"hero_mm": 90.0}, now={"hero_mm": 120.0}),
            "Ida Moss (Props stylist) set the capture plan of a shot: hero 120 mm, was 90.",
        ),
        (
            entry("role.answered", title="Assistant", was={"reason": ""}, now={"reason": "It lends a hand."}),
            "Ida Moss (Props stylist) answered for the role of Assistant: reason It lends a hand.",
        ),
        (entry("odd"), "Ida Moss (Props stylist) noted the odd."),
    ],
)
def test_every_act_is_a_sentence(written, says):
    assert words.say(written, {}) == says


def test_a_shot_is_named_within_a_sentence():
    shot = Subject("Shot 3, The bun", "/")
    said = words.say(entry("comment.written", "shot/x"), {"shot/x": shot})
    assert said == "Ida Moss (Props stylist) wrote a comment on shot 3, The bun."


def test_the_page_tells_the_story_newest_first_with_what_it_is_about(people, out, sign_in):
    talk.comment(people.client, kind="campaign", key=people.campaign.key, text="Hello", audience="everyone")
    text = sign_in(people.designer).get(at(people.designer)).text
    later, earlier = (
        f"{people.client} wrote a comment on the campaign as a whole.",
        f"{people.producer} put version 1 forward",
    )
    assert text.index(later) < text.index(earlier)


@pytest.fixture
def told(people, out):
    """One entry of each kind of reader."""
    about = {"kind": "campaign", "key": people.campaign.key, "text": "x"}
    for author, audience in (
        ("photographer", Audience.WORKING),
        ("client", Audience.BUYING),
        ("client", Audience.EVERYONE),
    ):
        talk.comment(getattr(people, author), audience=audience, **about)
    sealing.decline(people.client, digest=out.digest, typed_name="Ben", reason="Too dark.")
    actions.settle_terms(again(people.producer), media="Screens")
    log.append(MemberFactory(campaign=CampaignFactory(), role=Role.PRODUCER), "thing.noted")
    return people


VERSIONS = ["version.declined", "version.put-forward"]
DRAFT = ["terms.settled"]


@pytest.mark.parametrize(
    ("role", "comments"),
    [("client", 2), ("agency", 3), ("designer", 2), ("photographer", 2), ("assistant", None)],
)
def test_each_reader_reads_what_is_theirs(told, role, comments):
    acts = sorted(log_for(getattr(told, role)).values_list("act", flat=True))
    if comments is None:
        assert acts == VERSIONS
    else:
        assert acts == sorted([*["comment.written"] * comments, *DRAFT, *VERSIONS])


def test_numbers_and_digests_of_entries_are_not_shown(told, sign_in):
    """A gap between numbers, or a head that moves, would count what the reader may not read."""
    text = sign_in(told.client).get(at(told.client)).text
    for digest in LogEntry.objects.values_list("digest", flat=True):
        assert digest[:8] not in text
    assert "of 6" not in text


@pytest.mark.parametrize("many", [2, 50])
def test_the_page_costs_the_same_however_long_the_story(people, sign_in, django_assert_num_queries, many):
    for n in range(many):
        log.append(again(people.producer), "shot.edited", f"shot/{n}", was={"title": "a"}, now={"title": "b"})
    reader = sign_in(people.client)
    with django_assert_num_queries(7):
        reader.get(at(people.client))


# ---- reading by person and topic, and taking it away


def test_the_story_is_read_by_person_and_by_topic(told, sign_in):
    reader = sign_in(told.agency)

    def acts(**asked):
        return reader.get(at(told.agency), asked).text

    assert "changed the terms" in acts(topic="terms")
    assert "put version 1 forward" not in acts(topic="terms")
    place = {key: at for at, key in enumerate(told.campaign.members.values_list("key", flat=True), start=1)}
    producer = place[told.producer.key]
    assert "put version 1 forward" in acts(topic="versions", who=producer)
    assert "declined version 1" not in acts(who=producer)
    assert "Nothing that you may read is of this kind." in acts(topic="people")
    assert "put version 1 forward" in acts(who="nobody", topic="nothing")  # what is not known chooses nothing


def test_a_choice_never_widens_what_is_read(told):
    for role in ("client", "assistant", "designer"):
        member = getattr(told, role)
        mine = set(log_for(member).values_list("pk", flat=True))
        for topic in (*TOPICS, "other", ""):
            for who in ("", told.photographer.key, told.client.key):
                assert set(log_for(member, who=who, topic=topic).values_list("pk", flat=True)) <= mine


def test_every_act_is_of_one_topic(told):
    many = [log_for(told.agency, topic=topic).count() for topic in (*TOPICS, "other")]
    assert sum(many) == log_for(told.agency).count()


def taken(sign_in, member):
    answer = sign_in(member).get(reverse("portal:log-file", args=[member.campaign.key]))
    assert answer.headers["Content-Type"].startswith("application/jsonl")
    return [json.loads(line) for line in b"".join(answer).decode().splitlines()]


def test_the_whole_log_is_taken_away_with_its_chain(told, sign_in):
    head, *entries = taken(sign_in, told.agency)
    told.campaign.refresh_from_db()
    assert (head["whole"], head["entries"], head["head"]) == (True, 6, told.campaign.log_head)
    assert [entry["sequence"] for entry in entries] == [1, 2, 3, 4, 5, 6]
    assert chain.prove(entries, length=6, head=head["head"]) is None
    assert entries[0]["says"].endswith("put version 1 forward to be signed.")


def test_each_line_is_proven_as_its_first_line_tells(told, sign_in):
    """Without code of ours: the standard's canonical form of what is left, and SHA-256."""
    _, *entries = taken(sign_in, told.agency)
    for entry in entries:
        digest = entry.pop("digest")
        del entry["says"]
        assert sha256(rfc8785.dumps(entry)).hexdigest() == digest


def test_a_part_says_that_it_is_one_and_counts_nothing(told, sign_in):
    head, *entries = taken(sign_in, told.client)
    assert head["whole"] is False
    assert head["says"].startswith("A part of the log")
    assert (head["entries"], head["head"]) == (0, "")
    acts = sorted(entry["act"] for entry in entries)
    assert acts == sorted(["comment.written"] * 2 + DRAFT + VERSIONS)
    assert all({"sequence", "before", "digest"}.isdisjoint(entry) for entry in entries)
    assert "working" not in {entry["audience"] for entry in entries}


def test_who_may_not_read_the_draft_takes_no_log_away(told, sign_in):
    url = reverse("portal:log-file", args=[told.campaign.key])
    assert sign_in(told.assistant).get(url).status_code == 403


def test_outsiders_find_nothing(people, sign_in):
    assert sign_in(MemberFactory(role=Role.PRODUCER)).get(at(people.client)).status_code == 404
