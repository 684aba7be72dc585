"""Protects a version that is put forward while others edit and send: it holds all of an act, or the act is refused."""

import json

import pytest
from django.urls import reverse

from layouts.models import Mockup
from portal.access import Role
from portal.brief import actions
from portal.models import Campaign, LogEntry, Version
from shots.models import HeroFood, Shot
from tests.filled import filled
from tests.layouts.mockup_files import upload

ROUNDS = range(3)


@pytest.fixture
def producer(campaign, person):
    """Whoever puts versions forward; a client signs."""
    person(Role.CLIENT, may_sign=True)
    return person(Role.PRODUCER)


@pytest.fixture
def forward(campaign, producer):
    """Sends the form of a version, with the digest of the draft as it was read."""
    url = reverse("portal:put-forward", args=[campaign.key])
    form = filled(producer.get(url))
    return lambda: producer.post(url, form)


def order(*acts):
    """These acts in the order of the log."""
    return list(LogEntry.objects.filter(act__in=acts).order_by("sequence").values_list("act", flat=True))


def holds(act):
    """The document of the one version, which is out, and is the last of what the log tells of it and of `act`."""
    version = Version.objects.get()
    assert Campaign.objects.get().open_version == version
    assert order("version.put-forward", act)[-1] == "version.put-forward"
    return json.loads(version.document)


@pytest.mark.parametrize("round", ROUNDS)
def test_an_edit_that_races_a_form_that_was_read(campaign, person, at_once, forward, round):
    """The form carries the draft's digest: whichever comes second is refused."""
    food, browser = HeroFood.objects.get(), person(Role.STYLIST)
    url = reverse("shots:food", args=[campaign.key, food.key])
    form = filled(browser.get(url)) | {"supplier": "At the last moment"}
    put, edited = (answer.status_code for answer in at_once([forward, lambda: browser.post(url, form)]))
    food.refresh_from_db()
    if put == 302:
        assert edited == 409
        assert food.supplier == "Invented kitchen"
        assert holds("food.edited")["food"][0]["supplier"] == "Invented kitchen"
        assert order("food.edited", "version.put-forward") == ["version.put-forward"]
    else:
        assert (put, edited) == (409, 303)
        assert food.supplier == "At the last moment"
        assert not Version.objects.exists()


@pytest.mark.parametrize("round", ROUNDS)
def test_an_edit_that_races_a_version_of_whatever_stands(campaign, person, producer, at_once, round, monkeypatch):
    """Without a digest, as a script puts a version forward, it holds the edit whole or the edit is refused."""
    food, browser = HeroFood.objects.get(), person(Role.STYLIST)
    url = reverse("shots:food", args=[campaign.key, food.key])
    form = filled(browser.get(url)) | {"supplier": "At the last moment", "prep": "Warm milk last."}
    real = actions.put_forward
    monkeypatch.setattr(actions, "put_forward", lambda by, **said: real(by, note=said["note"]))
    put_url = reverse("portal:put-forward", args=[campaign.key])
    read = filled(producer.get(put_url))
    put, edited = (
        answer.status_code
        for answer in at_once([lambda: producer.post(put_url, read), lambda: browser.post(url, form)])
    )
    assert put == 302
    told = holds("food.edited")["food"][0]
    if edited == 303:
        assert (told["supplier"], told["prep"]) == ("At the last moment", "Warm milk last.")
        assert order("food.edited", "version.put-forward") == ["food.edited", "version.put-forward"]
    else:
        assert edited == 409
        assert (told["supplier"], told["prep"]) == ("Invented kitchen", "")
        assert order("food.edited") == []
    food.refresh_from_db()
    assert food.supplier == told["supplier"]


@pytest.mark.parametrize("round", ROUNDS)
def test_a_file_that_races_a_version(campaign, person, at_once, forward, round):
    shot, browser = Shot.objects.get(), person(Role.DESIGNER)
    url = reverse("layouts:mockup", args=[campaign.key, shot.key])
    form = filled(browser.get(url)) | {"file": upload("late.png")}
    put, sent = (answer.status_code for answer in at_once([forward, lambda: browser.post(url, form)]))
    if put == 302:
        assert sent == 409
        assert not Mockup.objects.exists()
        assert "late.png" not in Version.objects.get().document
    else:
        assert (put, sent) == (409, 302)
        assert Mockup.objects.get().name == "late.png"
        assert not Version.objects.exists()


def test_a_double_click_on_put_forward_makes_one_version(campaign, at_once, forward):
    assert [answer.status_code for answer in at_once([forward, forward])] == [302, 302]
    assert Version.objects.count() == 1
    assert order("version.put-forward") == ["version.put-forward"]
