"""Protects the pages about people: who gets in, what each is shown, that a refused form keeps what was typed."""

import pytest
from django.core import mail
from django.utils import timezone

from portal.access import Role
from portal.models import Invitation, LogEntry, Member
from portal.people.addresses import Person
from tests.factories import MemberFactory, member_of
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

    with django_assert_num_queries(6):
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
    assert client.post(address + "withdraw/").status_code == 302  # a double click
    assert LogEntry.objects.filter(act="invitation.withdrawn").count() == 1
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
