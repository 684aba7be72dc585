"""Protects a person's own pages: the list of campaigns, starting one, and their settings."""

import pytest

from portal.models import Campaign, Member
from portal.people import actions
from portal.people.addresses import Person
from tests.factories import MemberFactory, UserFactory
from tests.portal.test_people_actions import invited

# ---- the person's own pages


def test_home_lists_ones_own_campaigns_alone(client, producer, sign_in):
    MemberFactory()
    sign_in(producer)

    page = client.get("/")

    assert [row.seat for row in page.context["rows"]] == [producer]
    assert "Start a campaign" not in page.text


def test_home_asks_the_signed_out_to_sign_in(client, db):
    assert client.get("/").headers["Location"] == "/account/login/?next=/"


@pytest.mark.parametrize(("count", "queries"), [(0, 4), (1, 5), (15, 5)])
def test_home_asks_the_database_five_times_however_many_campaigns(
    client, db, django_assert_num_queries, count, queries
):
    user = UserFactory()
    MemberFactory.create_batch(count, user=user)
    client.force_login(user)

    # session, user, seats, comments, invitations
    with django_assert_num_queries(queries):
        assert client.get("/").status_code == 200


def test_home_teaches_the_newcomer_and_who_may_start(client, db):
    client.force_login(UserFactory(email="new@example.com"))
    newcomer = client.get("/").text
    client.force_login(UserFactory(starts_campaigns=True))
    starter = client.get("/").text

    assert "You come into a campaign by invitation" in newcomer
    assert "new@example.com" in newcomer
    assert "/start/" not in newcomer
    assert "A campaign begins with its terms" in starter
    assert "/start/" in starter


def test_home_shows_open_invitations_to_this_address_alone(client, producer):
    ida = UserFactory(email="ida@example.com")
    invited(producer)
    actions.withdraw(producer, invited(producer, person=Person("", "other@example.com")).key)
    client.force_login(ida)

    assert [one.email for one in client.get("/").context["invitations"]] == ["ida@example.com"]
    client.force_login(UserFactory(email="other@example.com"))
    assert client.get("/").context["invitations"] == []


START = {
    "title": "Oats, winter posters", "code": " oat-27 ", "client": "Invented oats", "agency": "Invented agency",
    "about": "", "languages": ["en-GB", "cy"], "more_languages": "zh_hant", "media": "Posters", "territory": "UK",
    "period": "Six weeks", "rounds_included": "2", "role": "agency", "may_sign": "on",
}  # fmt: skip


def test_start_makes_a_campaign_with_its_terms_and_first_member(client, db):
    user = UserFactory(starts_campaigns=True)
    client.force_login(user)

    answer = client.post("/start/", START)

    campaign = Campaign.objects.get()
    assert answer.headers["Location"] == f"/c/{campaign.key}/people/"
    assert (campaign.code, campaign.languages, campaign.rounds_included) == ("OAT-27", ["en-GB", "cy", "zh-Hant"], 2)
    assert list(campaign.members.values_list("user", "role", "may_sign")) == [(user.pk, "agency", True)]


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"more_languages": "Welsh en-UK"}, "is not a language tag"),
        ({"more_languages": "Welsh en-UK"}, "Write en-GB."),
        ({"languages": [], "more_languages": ""}, "Choose at least one"),
        ({"languages": ["tlh"]}, "tlh is not one of the available choices"),
        ({"code": "OAT 27!"}, "letters, figures, dots and dashes alone"),
        ({"rounds_included": "90"}, "no limit at all"),
        ({"title": " "}, "Give it a title."),
        ({"role": "client"}, "Select a valid choice"),
    ],
)
def test_start_refused_says_why_and_keeps_what_was_typed(client, db, typed, says):
    client.force_login(UserFactory(starts_campaigns=True))

    answer = client.post("/start/", START | typed)

    assert answer.status_code == 422
    assert says in answer.text
    assert 'value="Invented oats"' in answer.text
    assert not Campaign.objects.exists()


def test_start_refuses_a_code_that_is_taken(client, producer):
    Campaign.objects.update(code="OAT-27")
    client.force_login(UserFactory(starts_campaigns=True))

    answer = client.post("/start/", START)

    assert answer.status_code == 422
    assert "That code is taken. Choose another." in answer.text


def test_a_photographer_who_starts_needs_no_tick_and_keeps_none(client, db):
    client.force_login(UserFactory(starts_campaigns=True))

    client.post("/start/", START | {"role": "photographer"})

    assert list(Member.objects.values_list("role", "may_sign")) == [("photographer", False)]


@pytest.mark.parametrize("method", ["get", "post"])
def test_start_is_for_those_who_may(client, db, method):
    client.force_login(UserFactory())

    assert getattr(client, method)("/start/", START).status_code == 403
    assert not Campaign.objects.exists()


def test_me_changes_name_and_ground(client, db):
    user = UserFactory()
    client.force_login(user)

    answer = client.post("/me/", {"name": "  Ida   Moss ", "ground": "dark"})

    user.refresh_from_db()
    assert (answer.status_code, user.name) == (302, "Ida Moss")
    assert answer.cookies["ground"].value == "dark"
    assert 'data-ground="dark"' in client.get("/me/").text
    assert client.post("/me/", {"name": "Ida Moss", "ground": "device"}).cookies["ground"].value == ""


@pytest.mark.parametrize("typed", [{"name": "", "ground": "dark"}, {"name": "Ida", "ground": "pink"}])
def test_me_refuses_what_it_cannot_keep(client, db, typed):
    user = UserFactory()
    client.force_login(user)

    assert client.post("/me/", typed).status_code == 422
    user.refresh_from_db()
    assert user.name != "Ida"
