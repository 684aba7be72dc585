"""Protects proving and telling of logs that hold together and yet tell what no portal tells: anybody can chain a log
anew, and what its entries say is then read by every part of the proof and by the story."""

import json

import pytest
from django.utils import timezone

from portal.record.chain import START, entry_digest
from portal.sealing import words
from portal.sealing.models import LogEntry
from tests.portal.archives import entry, rebuilt, small_archive
from tests.portal.test_archive_hostile import came

VALUES = [None, [], {}, {"a": [{"b": None}]}, [[1], {}], "word", "", -1, 2**53 - 1, 1.5, True, "0001-01-01", {"": ""}]
# What the proof follows. The names are those that it looks for in a payload.
PROVEN = (
    "campaign.started", "member.joined", "member.changed", "member.removed", "signing.delegated",
    "signing.delegation-ended", "version.put-forward", "version.withdrawn", "version.signed", "version.declined",
    "version.locked", "change.raised", "change.accepted", "change.refused", "change.withdrawn", "waiver.given",
    "waiver.withdrawn",
)  # fmt: skip
NAMES = (
    "number", "digest", "note", "signer", "name", "reason", "reads", "role", "may_sign", "account", "now", "was",
    "delegate", "first_day", "last_day", "proof", "place", "says", "change", "present", "away", "signer_name",
)  # fmt: skip


@pytest.fixture
def small(people, tmp_path):
    return small_archive(people, tmp_path)


def chained(path, change):
    """The archive with its log's entries changed, chained anew and in accord with campaign and manifest."""
    before, lines = START, []
    for told in change([json.loads(line) for line in entry(path, "log.jsonl").splitlines()]):
        told |= {"before": before, "sequence": len(lines) + 1}
        before = told["digest"] = entry_digest(told)
        lines.append(json.dumps(told).encode() + b"\n")

    def changed(name, data):
        if name == "rows/portal.campaign.jsonl":
            return json.dumps(json.loads(data) | {"log_head": before, "log_length": len(lines)}).encode() + b"\n"
        return b"".join(lines) if name == "log.jsonl" else data

    return rebuilt(path, changed, manifest=lambda told: told["log"].update(head=before, entries=len(lines)))


@pytest.mark.django_db
def test_a_log_that_is_chained_anew_holds(small):
    """Else all below would be refused for their chain, and the rest of the proof would read nothing."""
    assert came(chained(small, lambda log: log)) == ""


@pytest.mark.django_db
def test_what_an_entry_tells_may_be_of_any_shape(small):
    """Each name of each entry with one of the values: refused with a sentence, or of no weight in the proof."""
    log = [json.loads(line) for line in entry(small, "log.jsonl").splitlines()]
    places = [(number, name) for number, one in enumerate(log) for name in one["payload"]]
    assert len(places) > 20
    for place, (number, name) in enumerate(places):
        value = VALUES[place % len(VALUES)]

        def other(log, number=number, name=name, value=value):
            log[number]["payload"][name] = value
            return log

        weighs = name == "digest" and log[number]["act"] != "version.locked"  # whose subject says which
        assert came(chained(small, other)) or not weighs, (number, name, value)


@pytest.mark.django_db
@pytest.mark.parametrize("act", PROVEN)
def test_an_act_may_tell_anything(small, act):
    """An entry more, of an act that the proof follows, with nothing told or all of one shape."""
    at = PROVEN.index(act)
    subject = f"{act.partition('.')[0]}/{'k' * 12}"
    for payload in (
        {},
        dict.fromkeys(NAMES, VALUES[at % len(VALUES)]),
        dict.fromkeys(NAMES, VALUES[(at + 5) % len(VALUES)]),
    ):
        more = {"act": act, "subject": subject, "payload": payload}
        assert came(chained(small, lambda log, more=more: [*log, log[-1] | more])), (act, payload)


@pytest.mark.parametrize("value", VALUES, ids=repr)
def test_the_story_says_something_of_whatever_an_entry_tells(value):
    for act in {*PROVEN, *words._sentences, "no.such-act", "none"}:
        for payload in (dict.fromkeys(NAMES, value), {"was": {"a": value}, "now": {"a": value, "b_px": value}}):
            told = LogEntry(act=act, actor_name="Ida", subject="", payload=payload, at=timezone.now())
            assert "Ida" in words.say(told, {}) or act in words._sentences
