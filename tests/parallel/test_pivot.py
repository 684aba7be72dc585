"""Protects changes recorded on set at the same instant: one effect for a token, a number each for two of them."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from portal.access import Role
from portal.brief import actions as brief
from portal.models import Change, LogEntry, Member, StoredFile, Work
from portal.sealing import actions as sealing

ROUNDS = range(3)
SCRIPT = {"Accept": "application/json"}


@pytest.fixture
def locked(campaign, person):
    """The brief, locked by its client; and the client's key."""
    client, producer = person(Role.CLIENT, may_sign=True), person(Role.PRODUCER)
    version = brief.put_forward(producer.member)
    for key in version.signers:
        signer = Member.objects.select_related("campaign", "user").get(key=key)
        sealing.sign(signer, digest=version.digest, typed_name="Client")
    return client.member.key


def told(campaign, browser, signer: str, token: str) -> dict:
    made = io.BytesIO()
    Image.new("RGB", (64, 48), (120, 90, 60)).save(made, "JPEG")
    return {
        "photo": SimpleUploadedFile("on-set.jpg", made.getvalue(), "image/jpeg"),
        "what": "The bun is seeded.",
        "present": [browser.member.key],
        "agrees": signer,
        "about": "food",
        "sent_as": token * 32,
        "account": browser.member.key,
    }


@pytest.mark.parametrize("round", ROUNDS)
def test_the_same_entry_sent_three_times_at_once_is_one_change(campaign, person, at_once, locked, round):
    stylist = person(Role.STYLIST)
    url = reverse("portal:pivot", args=[campaign.key])
    forms = [told(campaign, stylist, locked, "a") for _ in range(3)]
    answers = at_once([lambda form=form: stylist.post(url, form, headers=SCRIPT) for form in forms])
    assert [answer.status_code for answer in answers] == [200] * 3
    assert len({answer.text for answer in answers}) == 1
    assert (Change.objects.count(), LogEntry.objects.filter(act="change.raised").count()) == (1, 1)
    assert (StoredFile.objects.count(), Work.objects.filter(kind="layouts.photo").count()) == (1, 1)


@pytest.mark.parametrize("round", ROUNDS)
def test_two_people_on_set_at_once_have_a_number_each(campaign, person, at_once, locked, round):
    url = reverse("portal:pivot", args=[campaign.key])
    people = [person(Role.STYLIST), person(Role.PROPS)]
    sends = [
        lambda one=one, token=token: one.post(url, told(campaign, one, locked, token), headers=SCRIPT)
        for one, token in zip(people, "bc", strict=True)
    ]
    numbers = [answer.json()["number"] for answer in at_once(sends)]
    assert sorted(numbers) == [1, 2]
