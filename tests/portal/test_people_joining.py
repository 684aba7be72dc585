"""Protects the link in an invitation: one seat, once, for the address invited alone, and no account taken over."""

import threading
from datetime import timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.db import connection
from django.utils import timezone

from portal.access import Role
from portal.brief.draft import BriefClosed
from portal.models import Invitation, Member, User
from portal.people import accounts, actions
from portal.people.addresses import Person
from tests.factories import MemberFactory, UserFactory, member_of
from tests.portal.test_people_actions import acts, invited, put_out


def test_join_as_new_makes_an_account_whose_address_is_known_and_a_seat(producer):
    invitation = invited(producer, Role.CLIENT, may_sign=True)

    member = actions.join_as_new(token=invitation.token, name="  Ida   Moss ", password="a long enough one")

    assert (member.role, member.may_sign, member.campaign) == ("client", True, producer.campaign)
    assert (member.user.email, member.user.name) == ("ida@example.com", "Ida Moss")
    assert member.user.check_password("a long enough one")
    assert member.user.starts_campaigns is False
    assert list(member.user.emailaddress_set.values_list("email", "verified", "primary")) == [
        ("ida@example.com", True, True)
    ]
    assert acts(producer.campaign)[-1] == "member.joined"


def test_join_as_new_without_a_password_leaves_none_that_could_be_guessed(producer):
    member = actions.join_as_new(token=invited(producer).token, name="Ida")

    assert not member.user.has_usable_password()


def test_join_as_new_never_takes_over_an_account(producer):
    owner = UserFactory(email="ida@example.com")
    invitation = invited(producer)

    with pytest.raises(accounts.AccountExists):
        actions.join_as_new(token=invitation.token, name="Mallory", password="a long enough one")

    owner.refresh_from_db()
    invitation.refresh_from_db()
    assert not owner.check_password("a long enough one")
    assert invitation.state == "open"


def test_accept_is_for_the_address_invited_alone(producer):
    invitation = invited(producer)

    with pytest.raises(PermissionDenied, match=r"is for ida@example\.com"):
        actions.accept(UserFactory(), token=invitation.token)

    assert actions.accept(UserFactory(email="ida@example.com"), token=invitation.token).role == "stylist"


def test_accept_works_once(producer):
    invitation = invited(producer)
    ida = UserFactory(email="ida@example.com")
    actions.accept(ida, token=invitation.token)

    with pytest.raises(actions.InvitationEnded, match="has been used"):
        actions.accept(ida, token=invitation.token)

    assert Member.objects.filter(user=ida).count() == 1


def test_accept_ends_after_fourteen_days(producer):
    invitation = invited(producer)
    Invitation.objects.update(sent_at=timezone.now() - timedelta(days=14))

    with pytest.raises(actions.InvitationEnded, match="more than 14 days old"):
        actions.join_as_new(token=invitation.token, name="Ida")


def test_a_former_member_can_be_invited_again(producer):
    former = member_of(producer, Role.STYLIST)
    actions.remove_member(producer, former.key)
    invitation = invited(producer, person=Person("", former.user.email))

    again = actions.accept(former.user, token=invitation.token)

    assert again.pk != former.pk
    assert Member.objects.active().get(user=former.user) == again


def test_a_client_invited_to_sign_joins_without_signing_while_a_version_is_out(producer):
    invitation = invited(producer, Role.CLIENT, may_sign=True)
    put_out(producer.campaign, member_of(producer, Role.PHOTOGRAPHER))

    member = actions.join_as_new(token=invitation.token, name="Ida")

    assert member.may_sign is False


def test_a_photographer_waits_while_a_version_is_out_and_the_invitation_stands(producer):
    invitation = invited(producer, Role.PHOTOGRAPHER)
    put_out(producer.campaign, member_of(producer, Role.PHOTOGRAPHER))

    with pytest.raises(BriefClosed):
        actions.join_as_new(token=invitation.token, name="Ida")

    invitation.refresh_from_db()
    assert invitation.state == "open"
    assert not User.objects.filter(email="ida@example.com").exists()


@pytest.mark.django_db(transaction=True)
def test_two_who_accept_at_once_get_one_seat():
    producer = MemberFactory()
    invitation = invited(producer)
    ida = UserFactory(email="ida@example.com")
    barrier, seen = threading.Barrier(2), []

    def accept():
        barrier.wait()
        try:
            actions.accept(ida, token=invitation.token)
            seen.append("in")
        except actions.InvitationEnded:
            seen.append("ended")
        finally:
            connection.close()

    threads = [threading.Thread(target=accept) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert sorted(seen) == ["ended", "in"]
    assert Member.objects.filter(user=ida).count() == 1
