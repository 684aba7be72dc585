"""Protects the pages about people: who gets in, what each is shown, that a refused form keeps what was typed."""

from datetime import timedelta

import pytest
from django.core import mail
from django.utils import timezone

from portal.access import Role
from portal.models import Campaign, Invitation, Member, User
from portal.people import actions
from portal.people.addresses import Person
from tests.factories import MemberFactory, UserFactory, member_of
from tests.portal.test_people_actions import invited, put_out


def people(member):
    return f"/c/{member.campaign.key}/people/"


INVITE = {"people": "Ida Moss <ida@example.com>\nbo@example.com", "role": "stylist"}


# ---- the door

EVERY = ["", "invite/", "invitations/{i}/resend/", "invitations/{i}/withdraw/", "{m}/change/", "{m}/remove/"]


def every_address(producer):
    invitation, member = invited(producer), member_of(producer, Role.PROPS)
    return [people(producer) + path.format(i=invitation.key, m=member.key) for path in EVERY]


@pytest.mark.parametrize("method", ["get", "post"])
def test_every_address_is_404_to_an_outsider_and_to_a_former_member(client, producer, method):
    addresses = every_address(producer)
    outsider, former = MemberFactory(), member_of(producer, Role.PRODUCER, left_at=timezone.now())

    for stranger in (outsider, former):
        client.force_login(stranger.user)
        # A wrong method is refused before anything is looked up, and says nothing of the campaign.
        assert {getattr(client, method)(address).status_code for address in addresses} <= {404, 405}
        assert client.get(addresses[0]).status_code == 404
        assert [client.post(address).status_code for address in addresses[1:]] == [404] * 5

    assert Invitation.objects.get().state == "open"


def test_every_address_asks_the_signed_out_to_sign_in(client, producer):
    for address in every_address(producer):
        method = client.get if address == people(producer) else client.post
        assert method(address).headers["Location"] == f"/account/login/?next={address}"


@pytest.mark.parametrize("role", [Role.CLIENT, Role.DESIGNER, Role.STYLIST, Role.ASSISTANT])
def test_those_who_may_not_invite_read_names_and_get_403_from_every_act(client, producer, sign_in, role):
    addresses = every_address(producer)
    sign_in(member_of(producer, role))

    page = client.get(addresses[0])

    assert page.status_code == 200
    assert producer.user.name in page.text
    for hidden in (producer.user.email, "ida@example.com", "Invite people", "Withdraw"):
        assert hidden not in page.text
    assert [client.post(address).status_code for address in addresses[1:]] == [403] * 5


def test_the_agency_is_offered_its_own_roles_and_no_control_over_the_crew(client, producer, sign_in):
    agency = member_of(producer, Role.AGENCY)
    designer = member_of(producer, Role.DESIGNER)
    sign_in(agency)

    page = client.get(people(agency))

    assert f"{people(agency)}{designer.key}/change/" in page.text
    assert f"{people(agency)}{producer.key}/change/" not in page.text
    assert client.get(f"{people(agency)}{producer.key}/remove/").status_code == 404


@pytest.mark.parametrize("count", [1, 12])
def test_people_asks_the_database_the_same_number_of_times(client, producer, sign_in, django_assert_num_queries, count):
    for index in range(count):
        member_of(producer, Role.STYLIST)
        invited(producer, person=Person("", f"p{index}@example.com"))
    sign_in(producer)
    client.get(people(producer))

    with django_assert_num_queries(5):
        client.get(people(producer))


# ---- inviting


def test_invite_sends_and_says_so(client, producer, sign_in, django_capture_on_commit_callbacks):
    sign_in(producer)

    with django_capture_on_commit_callbacks(execute=True):
        answer = client.post(people(producer) + "invite/", INVITE)

    assert (answer.status_code, answer.headers["Location"]) == (302, people(producer))
    assert "The invitation to ida@example.com and bo@example.com has been sent." in client.get(people(producer)).text
    assert len(mail.outbox) == 2


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"people": "Ida at example"}, "has no e-mail address that mail could reach"),
        ({"people": ""}, "Write at least one e-mail address"),
        ({"may_sign": "on"}, "nobody signs"),
        ({"role": "king"}, "Select a valid choice"),
    ],
)
def test_invite_refused_says_why_and_keeps_what_was_typed(client, producer, sign_in, typed, says):
    sign_in(producer)

    answer = client.post(people(producer) + "invite/", INVITE | typed)

    assert answer.status_code == 422
    assert says in answer.text
    if "people" not in typed:
        assert "Ida Moss &lt;ida@example.com&gt;\nbo@example.com</textarea>" in answer.text
    assert not Invitation.objects.exists()


def test_invite_of_a_signer_while_a_version_is_out_keeps_what_was_typed(client, producer, sign_in):
    put_out(producer.campaign, member_of(producer, Role.PHOTOGRAPHER))
    sign_in(producer)

    answer = client.post(people(producer) + "invite/", INVITE | {"role": "client", "may_sign": "on"})

    assert answer.status_code == 422
    assert "Who signs is part of the brief. Version 1 is out for signature" in answer.text
    assert "bo@example.com</textarea>" in answer.text


def test_a_mail_that_failed_is_said_at_once_and_beside_the_invitation(
    client, producer, sign_in, monkeypatch, django_capture_on_commit_callbacks
):
    invited(producer)
    Invitation.objects.update(mail_failed=True)
    sign_in(producer)

    assert "The mail could not be sent." in client.get(people(producer)).text


def test_resend_and_withdraw(client, producer, sign_in):
    invitation = invited(producer)
    address = f"{people(producer)}invitations/{invitation.key}/"
    sign_in(producer)

    soon = client.post(address + "resend/")
    withdrawn = client.post(address + "withdraw/")

    assert (soon.status_code, withdrawn.status_code) == (422, 302)
    assert "less than a minute ago" in soon.text
    assert client.post(address + "withdraw/").status_code == 404
    assert Invitation.objects.get().state == "withdrawn"


# ---- changing and removing


def test_change_a_member(client, producer, sign_in):
    member = member_of(producer, Role.STYLIST)
    sign_in(producer)

    answer = client.post(
        f"{people(producer)}{member.key}/change/", {f"{member.key}-role": "client", f"{member.key}-may_sign": "on"}
    )

    member.refresh_from_db()
    assert answer.status_code == 302
    assert (member.role, member.may_sign) == ("client", True)


def test_change_of_a_signer_while_a_version_is_out_is_409_with_the_sentence(client, producer, sign_in):
    signer = member_of(producer, Role.CLIENT, may_sign=True)
    put_out(producer.campaign, signer)
    sign_in(producer)

    answer = client.post(f"{people(producer)}{signer.key}/change/", {f"{signer.key}-role": "client"})

    assert answer.status_code == 409
    assert "Who signs is part of the brief." in answer.text


def test_remove_asks_first_and_then_removes(client, producer, sign_in):
    member = member_of(producer, Role.STYLIST)
    address = f"{people(producer)}{member.key}/remove/"
    sign_in(producer)

    asked, done = client.get(address), client.post(address)

    assert f"Remove {member.user.name} from the campaign?" in asked.text
    assert done.status_code == 302
    sign_in(member)
    assert client.get(people(producer)).status_code == 404


def test_the_last_who_may_invite_is_kept_with_a_sentence(client, producer, sign_in):
    sign_in(producer)

    answer = client.post(f"{people(producer)}{producer.key}/remove/")

    assert answer.status_code == 422
    assert "is the last here who may invite" in answer.text
    assert Member.objects.active().filter(pk=producer.pk).exists()


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


# ---- the person's own pages


def test_home_lists_ones_own_campaigns_alone(client, producer, sign_in):
    MemberFactory()
    sign_in(producer)

    page = client.get("/")

    assert [row.seat for row in page.context["rows"]] == [producer]
    assert "Start a campaign" not in page.text


def test_home_asks_the_signed_out_to_sign_in(client, db):
    assert client.get("/").headers["Location"] == "/account/login/?next=/"


@pytest.mark.parametrize(("count", "queries"), [(0, 4), (1, 6), (15, 6)])
def test_home_asks_the_database_six_times_however_many_campaigns(client, db, django_assert_num_queries, count, queries):
    user = UserFactory()
    MemberFactory.create_batch(count, user=user)
    client.force_login(user)

    # session, user, seats, sign-offs, comments, invitations
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
