"""Protects the acts on a campaign's terms and its versions: who may, what is kept, what is refused."""

import json

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from portal.brief import actions, sections
from portal.brief.draft import BriefClosed
from portal.brief.finding import Finding
from portal.brief.models import Version
from portal.brief.signals import shape_changed
from portal.record.canonical import canonical, digest, section_digests, version_digest
from portal.sealing.models import LogEntry
from tests.portal.conftest import again


def acts_of(campaign):
    return list(LogEntry.objects.filter(campaign=campaign).values_list("act", flat=True))


def test_settle_terms_keeps_what_changed_and_logs_what_was(people):
    actions.settle_terms(people.producer, media="Screens", territory=people.campaign.territory)

    people.campaign.refresh_from_db()
    entry = LogEntry.objects.get()
    assert people.campaign.media == "Screens"
    assert entry.payload == {"was": {"media": "Outdoor posters"}, "now": {"media": "Screens"}}


def test_settle_terms_says_that_languages_changed(people):
    heard = []

    def listen(sender, campaign, **_):
        heard.append(campaign.languages)

    shape_changed.connect(listen)
    actions.settle_terms(people.producer, media="Screens")
    actions.settle_terms(people.producer, languages=["en-GB", "cy"])
    shape_changed.disconnect(listen)

    assert heard == [["en-GB", "cy"]]


@pytest.mark.parametrize("role", ["client", "designer", "stylist", "assistant"])
def test_settle_terms_by_others_leaves_no_trace(people, role):
    with pytest.raises(PermissionDenied):
        actions.settle_terms(getattr(people, role), media="Screens")

    people.campaign.refresh_from_db()
    assert people.campaign.media == "Outdoor posters"
    assert not LogEntry.objects.exists()


def test_settle_terms_refuses_what_is_no_term_and_what_is_wrong(people):
    with pytest.raises(ValueError, match="log_head"):
        actions.settle_terms(people.producer, log_head="x")
    with pytest.raises(ValidationError):
        actions.settle_terms(people.producer, title="")
    assert not LogEntry.objects.exists()


def test_put_forward_keeps_the_canonical_document_and_its_digests(people):
    version = actions.put_forward(people.agency, note=" Read shot 2. ")

    document = json.loads(version.document)
    assert version.number == 1
    assert version.document == canonical(document).decode()
    assert set(document) == {"campaign", "money"}
    assert version.sections == section_digests(document)
    assert version.digest == digest(canonical(version.sections)) == version_digest(version.sections)
    assert version.signers == [people.client.key, people.photographer.key]
    assert version.note == "Read shot 2."
    assert again(people.client).campaign.open_version == version
    assert acts_of(people.campaign) == ["version.put-forward"]


@pytest.mark.parametrize("role", ["client", "designer", "stylist", "assistant"])
def test_put_forward_by_others_is_refused(people, role):
    with pytest.raises(PermissionDenied, match="put a version forward"):
        actions.put_forward(getattr(people, role))
    assert not Version.objects.exists()


def test_put_forward_is_blocked_by_what_must_be_fixed(people, monkeypatch):
    must = Finding("must-fix", "Shot 1 has no mockup.", "Mockup", "missing", (), "/", "mockup")
    look = Finding("worth-a-look", "A prop has no source.", "Prop", "no source", (), "/", "prop")
    monkeypatch.setattr(sections, "findings", lambda _: [must, must, must, look])
    with pytest.raises(BriefClosed) as refused:
        actions.put_forward(people.producer)
    assert str(refused.value) == "The brief cannot be put forward yet. Shot 1 has no mockup. And two more."
    assert not Version.objects.exists()


def test_put_forward_of_a_draft_that_changed_since_is_refused(people):
    with pytest.raises(BriefClosed, match="changed while you were reading"):
        actions.put_forward(people.producer, digest="0" * 64)
    assert not Version.objects.exists()


def test_put_forward_twice_is_one_version(people, out):
    with pytest.raises(BriefClosed, match="Version 1 is out for signature"):
        actions.put_forward(people.producer)
    assert Version.objects.count() == 1


def test_while_a_version_is_out_the_draft_is_closed_and_withdrawing_opens_it(people, out):
    with pytest.raises(BriefClosed, match="Version 1 is out for signature"):
        actions.settle_terms(people.producer, media="Screens")

    actions.withdraw(people.agency, reason="A typing error")
    actions.settle_terms(people.producer, media="Screens")
    second = actions.put_forward(people.producer)

    assert second.number == 2
    assert second.digest != out.digest
    assert acts_of(people.campaign) == [
        "version.put-forward",
        "version.withdrawn",
        "terms.settled",
        "version.put-forward",
    ]


def test_withdraw_asks_for_a_reason_a_right_and_a_version_that_is_out(people, out):
    with pytest.raises(ValidationError, match="Say why"):
        actions.withdraw(people.agency, reason="  ")
    with pytest.raises(PermissionDenied):
        actions.withdraw(people.client, reason="I want to")
    with pytest.raises(BriefClosed, match="not out for signature"):
        actions.withdraw(people.agency, reason="Wrong one", number=7)
    assert again(people.client).campaign.open_version == out

    actions.withdraw(people.agency, reason="A typing error", number=1)
    with pytest.raises(BriefClosed, match="not out for signature"):
        actions.withdraw(people.agency, reason="Once more")
