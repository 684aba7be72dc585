"""Protects waivers given at the same instant: one finding has one waiver, whoever clicks and however often."""

import pytest
from django.urls import reverse

from portal.access import Role
from portal.brief import sections
from portal.brief.finding import Finding
from portal.models import LogEntry, Waiver

FAULT = Finding("must-fix", "The layout has one fault.", "48-sheet", "one fault", (Role.DESIGNER,), "/layout/", "fault")


@pytest.fixture
def waive(campaign, monkeypatch):
    """A function that sends the form of a waiver from somebody's browser."""
    monkeypatch.setattr(sections, "_checks", {"fault": lambda _: [FAULT]})
    url = reverse("portal:waive", args=[campaign.key, FAULT.key[:16]])
    told = {"finding": FAULT.key, "reason": "Agreed."}
    return lambda browser: lambda: browser.post(url, told | {"typed_name": str(browser.member.user)})


def test_two_signers_at_once_give_one_waiver_and_the_second_is_told(campaign, person, at_once, waive):
    client, photographer = person(Role.CLIENT, may_sign=True), person(Role.PHOTOGRAPHER)
    answers = at_once([waive(client), waive(photographer)])
    assert sorted(answer.status_code for answer in answers) == [302, 422]
    refused = next(answer for answer in answers if answer.status_code == 422)
    assert f"{Waiver.objects.get().typed_name} has waived this already: “Agreed.”" in refused.text
    assert LogEntry.objects.filter(act="waiver.given").count() == 1


def test_a_click_that_comes_three_times_at_once_gives_one_waiver(campaign, person, at_once, waive):
    client = person(Role.CLIENT, may_sign=True)
    assert [answer.status_code for answer in at_once([waive(client)] * 3)] == [302] * 3
    assert (Waiver.objects.count(), LogEntry.objects.filter(act="waiver.given").count()) == (1, 1)


def test_a_waiver_that_races_put_forward_is_in_the_version_or_neither_is_there(campaign, person, at_once, waive):
    client, producer = person(Role.CLIENT, may_sign=True), person(Role.PRODUCER)
    photographer = person(Role.PHOTOGRAPHER)
    assert photographer.member.key
    forward = reverse("portal:put-forward", args=[campaign.key])
    put, given = at_once([lambda: producer.post(forward, {"digest": "0" * 64}), waive(client)])
    # What was read was never a brief that could go: the fault stood in its way, or the waiver had come since.
    assert (put.status_code, given.status_code) == (409, 302)
    campaign.refresh_from_db()
    assert (campaign.open_version, Waiver.objects.get().holds) == (None, True)
