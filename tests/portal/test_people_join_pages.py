"""Protects the page that an invitation's link opens: nothing shown, made or signed in beyond what it was sent for."""

from datetime import timedelta

import pytest
from django.utils import timezone

from portal.access import Role
from portal.models import Invitation, Member, User
from tests.factories import UserFactory, member_of
from tests.portal.test_people_actions import invited, put_out

# ---- the link in the mail


def test_an_unknown_link_is_404(client, db):
    assert client.get("/join/nothing/").status_code == 404


def test_the_link_shows_campaign_inviter_and_role(client, producer):
    page = client.get(f"/join/{invited(producer).token}/")

    assert page.status_code == 200
    assert producer.campaign.title in page.text
    assert f"{producer.user.name} asks you to work on this campaign for Invented client as food stylist." in page.text
    assert page.headers["Cache-Control"].startswith("max-age=0, no-cache, no-store")


def test_the_link_makes_an_account_and_signs_in(client, producer):
    invitation = invited(producer)

    answer = client.post(f"/join/{invitation.token}/", {"name": "Ida Moss", "password": ""})

    assert answer.headers["Location"] == f"/c/{producer.campaign.key}/"
    assert client.get("/").context["user"].email == "ida@example.com"
    assert client.get(f"/join/{invitation.token}/").status_code == 410


@pytest.mark.parametrize(
    ("typed", "says"), [({"name": ""}, "Write your name."), ({"name": "Ida", "password": "short"}, "too short")]
)
def test_a_refused_account_is_said_and_none_is_made(client, producer, typed, says):
    answer = client.post(f"/join/{invited(producer).token}/", typed)

    assert answer.status_code == 422
    assert says in answer.text
    assert not User.objects.filter(email="ida@example.com").exists()


def test_the_link_never_signs_an_existing_account_in(client, producer):
    UserFactory(email="ida@example.com")
    address = f"/join/{invited(producer).token}/"

    for page in (client.get(address), client.post(address, {"name": "Mallory", "password": "a long enough one"})):
        assert page.status_code == 200
        assert "There is an account for ida@example.com already" in page.text
        assert f"next=%2Fjoin%2F{address.split('/')[2]}%2F" in page.text
        assert page.context["user"].is_anonymous
    assert not Member.objects.filter(user__email="ida@example.com").exists()


def test_an_existing_account_signed_in_comes_in_by_one_button(client, producer):
    ida = UserFactory(email="ida@example.com")
    address = f"/join/{invited(producer).token}/"
    client.force_login(ida)

    assert "Come in" in client.get(address).text
    assert not Member.objects.filter(user=ida).exists()
    assert client.post(address).headers["Location"] == f"/c/{producer.campaign.key}/"
    assert Member.objects.filter(user=ida).exists()


def test_a_wrong_person_gets_a_sentence_and_nothing_of_the_campaign(client, producer):
    client.force_login(UserFactory())
    address = f"/join/{invited(producer).token}/"

    for page in (client.get(address), client.post(address)):
        assert page.status_code == 403
        assert "This invitation was sent to somebody else." in page.text
        assert producer.campaign.title not in page.text


@pytest.mark.parametrize(
    ("ending", "says"),
    [
        ({"withdrawn_at": timezone.now()}, "was withdrawn"),
        ({"accepted_at": timezone.now()}, "has been used"),
        ({"sent_at": timezone.now() - timedelta(days=14)}, "Ask whoever invited you to send it again"),
    ],
)
def test_a_link_that_ended_says_what_to_do_and_nothing_of_the_campaign(client, producer, ending, says):
    invitation = invited(producer)
    Invitation.objects.update(**ending)

    page = client.get(f"/join/{invitation.token}/")

    assert page.status_code == 410
    assert says in page.text
    assert producer.campaign.title not in page.text


def test_a_photographer_invited_to_a_closed_brief_is_told_to_wait(client, producer):
    invitation = invited(producer, Role.PHOTOGRAPHER)
    put_out(producer.campaign, member_of(producer, Role.PHOTOGRAPHER))

    answer = client.post(f"/join/{invitation.token}/", {"name": "Ida"})

    assert answer.status_code == 409
    assert "Who signs is part of the brief." in answer.text
    assert answer.context["user"].is_anonymous


def test_a_client_invited_to_sign_a_closed_brief_is_told_before_joining(client, producer):
    invitation = invited(producer, Role.CLIENT, may_sign=True)
    put_out(producer.campaign, member_of(producer, Role.PHOTOGRAPHER))

    assert "let you sign the next version" in client.get(f"/join/{invitation.token}/").text
