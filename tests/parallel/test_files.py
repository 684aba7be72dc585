"""Protects files, formats, comments and invitations that are sent at the same instant: each once, none lost."""

import pytest
from django.core import mail
from django.urls import reverse

from layouts.models import Format, Incoming, Layout, Mockup, Placement
from portal.access import Role
from portal.models import Comment, Invitation, StoredFile
from shots.models import Shot
from tests.filled import filled
from tests.layouts import layout_files
from tests.layouts.mockup_files import upload

ROUNDS = range(3)


@pytest.mark.parametrize("round", ROUNDS)
def test_two_mockups_for_one_shot_are_two_revisions(campaign, person, at_once, round):
    url = reverse("layouts:mockup", args=[campaign.key, Shot.objects.get().key])
    people = [person(Role.DESIGNER) for _ in range(2)]
    forms = [filled(b.get(url)) | {"file": upload(f"{n}.png", seed=n)} for n, b in enumerate(people)]
    answers = at_once([lambda b=b, f=f: b.post(url, f) for b, f in zip(people, forms, strict=True)])
    assert [answer.status_code for answer in answers] == [302, 302]
    assert list(Mockup.objects.order_by("revision").values_list("revision", "current")) == [(1, False), (2, True)]
    # Whoever came second is told, and only they.
    second = Mockup.objects.get(current=True).sent_by
    told = [b.member for b, answer in zip(people, answers, strict=True) if "?since=" in answer["Location"]]
    assert told == [second]


@pytest.mark.parametrize("round", ROUNDS)
def test_two_layouts_for_one_placement_are_two_revisions(campaign, person, at_once, round):
    placement = Placement.objects.get()
    page = reverse("layouts:layout", args=[campaign.key, placement.key])
    url = reverse("layouts:send-layout", args=[campaign.key, placement.key])
    people = [person(Role.DESIGNER) for _ in range(2)]
    drawn = [layout_files.upload(f"{n}.png", size=(540, 960), seed=n) for n in range(2)]
    forms = [filled(b.get(page), "send/") | {"files": [file]} for b, file in zip(people, drawn, strict=True)]
    answers = at_once([lambda b=b, f=f: b.post(url, f) for b, f in zip(people, forms, strict=True)])
    assert [answer.status_code for answer in answers] == [302, 302]
    assert list(Layout.objects.order_by("revision").values_list("revision", "current")) == [(1, False), (2, True)]
    second = Layout.objects.get(current=True).sent_by
    told = [b.member for b, answer in zip(people, answers, strict=True) if "since=" in answer["Location"]]
    assert told == [second]


def test_a_file_that_is_sent_twice_at_once_is_taken_once(campaign, person, at_once):
    placement, browser = Placement.objects.get(), person(Role.DESIGNER)
    page = reverse("layouts:layout", args=[campaign.key, placement.key])
    url = reverse("layouts:send-layout", args=[campaign.key, placement.key])
    form = filled(browser.get(page), "send/")
    files = [layout_files.upload("a.png", size=(540, 960)) for _ in range(2)]
    sends = [lambda file=file: browser.post(url, form | {"files": [file]}) for file in files]
    first, second = at_once(sends)
    assert first["Location"] == second["Location"]
    assert (Layout.objects.count(), Incoming.objects.count(), StoredFile.objects.count()) == (1, 1, 1)


def test_one_file_that_two_send_at_once_is_stored_once(campaign, person, at_once):
    url = reverse("layouts:mockup", args=[campaign.key, Shot.objects.get().key])
    people = [person(Role.DESIGNER) for _ in range(2)]
    files = [upload("same.png") for _ in people]
    sends = [lambda b=b, file=file: b.post(url, {"file": file}) for b, file in zip(people, files, strict=True)]
    assert sorted(answer.status_code for answer in at_once(sends)) == [302, 422]
    assert (Mockup.objects.count(), StoredFile.objects.count()) == (1, 1)


def test_a_double_click_on_the_order_of_a_format(campaign, person, at_once):
    browser, url = person(Role.AGENCY), reverse("layouts:format-by-hand", args=[campaign.key, "screen"])
    form = filled(browser.get(url)) | {"name": "Kiosk", "width_px": "1080", "height_px": "1920"}
    assert [answer.status_code for answer in at_once([lambda: browser.post(url, form)] * 2)] == [302, 302]
    assert Format.objects.filter(name="Kiosk").count() == 1


def test_a_double_click_on_a_comment(campaign, person, at_once):
    browser = person(Role.AGENCY)
    url = reverse("portal:thread", args=[campaign.key, "campaign", campaign.key])
    typed = filled(browser.get(url), url, "text") | {"text": "Warmer, please.", "audience": "everyone"}
    assert [answer.status_code for answer in at_once([lambda: browser.post(url, typed)] * 2)] == [302, 302]
    assert Comment.objects.count() == 1


def test_a_double_click_on_an_invitation(campaign, person, at_once):
    browser = person(Role.PRODUCER)
    form = filled(browser.get(reverse("portal:people", args=[campaign.key])), "invite/", "people")
    form |= {"people": "Mara Quist <mara@example.com>", "role": "retoucher"}
    url = reverse("portal:invite", args=[campaign.key])
    assert [answer.status_code for answer in at_once([lambda: browser.post(url, form)] * 2)] == [302, 302]
    assert Invitation.objects.count() == 1
    assert [message.to for message in mail.outbox] == [["mara@example.com"]]
