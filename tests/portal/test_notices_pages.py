"""Protects the pages on which people say how they are told: their own wishes alone, and nothing lost when refused."""

from django.urls import reverse

from portal.models import MemberWish, PersonWish
from tests.factories import MemberFactory


def test_a_person_says_how_they_are_told_of_all_campaigns(people, sign_in):
    browser = sign_in(people.client)
    url = reverse("portal:my-mail")
    assert "You are told at once." in browser.get(url).text

    kept = browser.post(url, {"how": "daily", "hour": "17", "time_zone": "Pacific/Auckland"})

    assert kept.headers["Location"] == url
    wish = PersonWish.objects.get()
    assert (wish.user, wish.how, wish.hour, wish.time_zone) == (people.client.user, "daily", 17, "Pacific/Auckland")
    assert "You are told once a day, at 17:00." in browser.get(url).text


def test_what_cannot_be_is_refused_with_a_sentence(people, sign_in):
    browser = sign_in(people.client)
    for data in ({}, {"how": "hourly", "hour": "8"}, {"how": "daily", "hour": "25"},
                 {"how": "daily", "hour": "8", "time_zone": "Mars/Olympus"}):  # fmt: skip
        refused = browser.post(reverse("portal:my-mail"), data)
        assert (refused.status_code, "Choose one of them." in refused.text) == (422, True), data
    assert not PersonWish.objects.exists()


def test_a_member_says_it_of_one_campaign_and_takes_it_back(people, sign_in):
    browser = sign_in(people.client)
    url = reverse("portal:campaign-mail", args=[people.campaign.key])
    browser.post(url, {"how": "waits", "hour": "8"})
    assert MemberWish.objects.get().how == "waits"
    assert "You are told only of what waits for you." in browser.get(url).text
    assert "only of what waits for you" in browser.get(reverse("portal:my-mail")).text

    browser.post(url, {"how": "default", "hour": "8"})

    assert not MemberWish.objects.exists()


def test_ones_own_campaigns_alone_are_listed(people, sign_in):
    other = MemberFactory()
    page = sign_in(people.client).get(reverse("portal:my-mail")).text
    assert people.campaign.title in page
    assert other.campaign.title not in page
