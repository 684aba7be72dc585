"""Protects who may bring in, change and remove people; that signers stay while a version is out; one seat a link."""

from datetime import timedelta

import pytest
from django.core import mail
from django.core.exceptions import PermissionDenied, ValidationError
from django.utils import timezone

from portal.access import Role
from portal.brief.draft import BriefClosed
from portal.brief.models import Version
from portal.models import Invitation, LogEntry, Member
from portal.people import actions
from portal.people.addresses import Person
from tests.factories import CampaignFactory, MemberFactory, member_of

IDA = Person("Ida Moss", "ida@example.com")


def invited(by, role=Role.STYLIST, person=IDA, **fields):
    return actions.invite(by, people=[person], role=role, **fields)[0]


def put_out(campaign, *signers, lock=False):
    version = Version.objects.create(
        campaign=campaign,
        number=1,
        document="{}",
        sections={},
        digest="0" * 64,
        signers=[signer.key for signer in signers],
        put_forward_by=signers[0],
        put_forward_at=timezone.now(),
    )
    field = "locked_version" if lock else "open_version"
    setattr(campaign, field, version)
    campaign.save(update_fields=[field])
    return version


def acts(campaign):
    return list(campaign.log.values_list("act", flat=True))


def test_invite_writes_one_mail_each_once_committed(producer, django_capture_on_commit_callbacks):
    people = [IDA, Person("", "bo@example.com")]

    with django_capture_on_commit_callbacks(execute=True):
        first, second = actions.invite(producer, people=people, role=Role.STYLIST)
        assert mail.outbox == []

    assert [message.to for message in mail.outbox] == [["ida@example.com"], ["bo@example.com"]]
    assert f"http://localhost:8000/join/{first.token}/" in mail.outbox[0].body
    assert "Ida Moss," in mail.outbox[0].body
    assert f"/join/{second.token}/" in mail.outbox[1].body
    assert acts(producer.campaign) == ["person.invited", "person.invited"]


def test_invitation_mail_keeps_campaign_and_link_out_of_its_subject(producer, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        invitation = invited(producer)

    subject = mail.outbox[0].subject
    assert subject == f"{producer.user.name} invites you to a campaign"
    assert producer.campaign.title not in subject
    assert invitation.token not in subject


def test_a_line_break_in_a_name_begins_no_header(producer, django_capture_on_commit_callbacks):
    producer.user.name = "Ana\nBcc: all@example.com"
    producer.user.save()

    with django_capture_on_commit_callbacks(execute=True):
        invited(producer)

    assert mail.outbox[0].subject == "Ana Bcc: all@example.com invites you to a campaign"
    assert mail.outbox[0].bcc == []


def test_a_mail_that_cannot_be_sent_is_noted_and_the_invitation_stands(
    producer, monkeypatch, django_capture_on_commit_callbacks
):
    def refuse(*args):
        raise ConnectionRefusedError

    monkeypatch.setattr("django.core.mail.EmailMessage.send", refuse)

    with django_capture_on_commit_callbacks(execute=True):
        invitation = invited(producer)

    invitation.refresh_from_db()
    assert (invitation.mail_failed, invitation.state) == (True, "open")


def test_the_log_does_not_keep_addresses(producer):
    invitation = invited(producer)

    entry = LogEntry.objects.get()
    assert entry.subject == f"invitation/{invitation.key}"
    assert entry.payload == {"name": "Ida Moss", "role": "stylist", "may_sign": False}


@pytest.mark.parametrize("role", [Role.CLIENT, Role.DESIGNER, Role.STYLIST, Role.ASSISTANT])
def test_invite_by_those_who_may_not_leaves_no_trace(producer, role):
    by = member_of(producer, role)

    with pytest.raises(PermissionDenied, match="may not invite people"):
        invited(by)

    assert not Invitation.objects.exists()
    assert not LogEntry.objects.exists()


def test_the_agency_invites_its_own_side_and_no_stylist(producer):
    agency = member_of(producer, Role.AGENCY)

    invited(agency, Role.DESIGNER)

    with pytest.raises(PermissionDenied, match="may not invite that role"):
        invited(agency, Role.STYLIST, Person("", "bo@example.com"))


def test_invite_refuses_who_is_here_and_who_has_an_open_invitation_and_invites_nobody(producer):
    here = member_of(producer, Role.STYLIST)
    invited(producer)
    people = [IDA, Person("", here.user.email), Person("", "new@example.com")]

    with pytest.raises(ValidationError) as refusal:
        actions.invite(producer, people=people, role=Role.STYLIST)

    assert refusal.value.messages == [
        f"{here.user.email} is in this campaign already.",
        "ida@example.com has an open invitation. Send that again, or withdraw it first.",
    ]
    assert Invitation.objects.count() == 1


def test_an_invitation_that_ended_makes_room_for_another(producer):
    old = invited(producer)
    Invitation.objects.update(sent_at=timezone.now() - timedelta(days=14, minutes=1))

    new = invited(producer, Role.PROPS)

    old.refresh_from_db()
    assert (old.state, new.state) == ("withdrawn", "open")


def test_may_sign_is_refused_for_a_role_that_never_signs(producer):
    with pytest.raises(ValidationError, match="In the role “Food stylist” nobody signs"):
        invited(producer, Role.STYLIST, may_sign=True)


def test_may_sign_is_not_kept_for_the_photographer_who_always_signs(producer):
    assert invited(producer, Role.PHOTOGRAPHER, may_sign=True).may_sign is False


@pytest.mark.parametrize("lock", [False, True])
def test_a_signer_is_not_invited_while_the_brief_is_closed_but_others_are(producer, lock):
    photographer = member_of(producer, Role.PHOTOGRAPHER)
    put_out(producer.campaign, photographer, lock=lock)

    with pytest.raises(BriefClosed, match="Who signs is part of the brief"):
        invited(producer, Role.CLIENT, may_sign=True)
    with pytest.raises(BriefClosed):
        invited(producer, Role.PHOTOGRAPHER)

    assert invited(producer, Role.CLIENT).state == "open"


def test_resend_begins_the_days_anew_and_keeps_the_link(producer, django_capture_on_commit_callbacks):
    invitation = invited(producer)
    Invitation.objects.update(sent_at=timezone.now() - timedelta(days=20))

    with django_capture_on_commit_callbacks(execute=True):
        again = actions.resend(producer, invitation.key)

    assert (again.token, again.state) == (invitation.token, "open")
    assert len(mail.outbox) == 1
    assert acts(producer.campaign) == ["person.invited", "invitation.resent"]


def test_resend_waits_a_minute(producer):
    invitation = invited(producer)

    with pytest.raises(ValidationError, match="less than a minute ago"):
        actions.resend(producer, invitation.key)


def test_withdraw_ends_the_link(producer):
    invitation = invited(producer)

    actions.withdraw(producer, invitation.key)

    with pytest.raises(actions.InvitationEnded, match="was withdrawn"):
        actions.join_as_new(token=invitation.token, name="Ida Moss")


def test_another_campaigns_invitation_and_member_are_not_found(producer):
    elsewhere = MemberFactory()
    invitation = invited(elsewhere)

    for act in (actions.resend, actions.withdraw):
        with pytest.raises(Invitation.DoesNotExist):
            act(producer, invitation.key)
    with pytest.raises(Member.DoesNotExist):
        actions.change_member(producer, elsewhere.key, role=Role.STYLIST)
    with pytest.raises(Member.DoesNotExist):
        actions.remove_member(producer, elsewhere.key)


def test_the_agency_withdraws_no_invitation_of_the_crew(producer):
    invitation = invited(producer)

    with pytest.raises(PermissionDenied, match="own side"):
        actions.withdraw(member_of(producer, Role.AGENCY), invitation.key)


# ---- changing and removing


def test_change_member_changes_and_logs(producer):
    member = member_of(producer, Role.STYLIST)

    actions.change_member(producer, member.key, role=Role.CLIENT, may_sign=True)

    member.refresh_from_db()
    entry = LogEntry.objects.get()
    assert (member.role, member.may_sign) == ("client", True)
    assert entry.payload["was"] == {"role": "stylist", "may_sign": False}
    assert entry.payload["now"] == {"role": "client", "may_sign": True}


def test_change_that_changes_nothing_is_not_logged(producer):
    member = member_of(producer, Role.STYLIST)

    actions.change_member(producer, member.key, role=Role.STYLIST)

    assert not LogEntry.objects.exists()


@pytest.mark.parametrize(
    ("was", "becomes"),
    [
        ((Role.CLIENT, True), (Role.CLIENT, False)),
        ((Role.CLIENT, False), (Role.CLIENT, True)),
        ((Role.PHOTOGRAPHER, False), (Role.STYLIST, False)),
        ((Role.STYLIST, False), (Role.PHOTOGRAPHER, False)),
        ((Role.AGENCY, True), (Role.CLIENT, True)),
    ],
)
def test_signers_do_not_change_while_a_version_is_out(producer, was, becomes):
    member = member_of(producer, was[0], may_sign=was[1])
    put_out(producer.campaign, member_of(producer, Role.PHOTOGRAPHER))

    with pytest.raises(BriefClosed, match="Version 1 is out for signature"):
        actions.change_member(producer, member.key, role=becomes[0], may_sign=becomes[1])

    member.refresh_from_db()
    assert (member.role, member.may_sign) == was


def test_others_change_and_go_while_a_version_is_out(producer):
    member = member_of(producer, Role.STYLIST)
    put_out(producer.campaign, member_of(producer, Role.PHOTOGRAPHER))

    actions.change_member(producer, member.key, role=Role.PROPS)
    actions.remove_member(producer, member.key)

    member.refresh_from_db()
    assert member.role == "props"
    assert member.left_at is not None


def test_a_signer_is_not_removed_while_a_version_is_out(producer):
    client = member_of(producer, Role.CLIENT, may_sign=True)
    put_out(producer.campaign, client)

    with pytest.raises(BriefClosed):
        actions.remove_member(producer, client.key)


def test_a_signer_can_be_removed_after_the_lock(producer):
    client = member_of(producer, Role.CLIENT, may_sign=True)
    put_out(producer.campaign, client, lock=True)

    actions.remove_member(producer, client.key)

    assert not Member.objects.active().filter(pk=client.pk).exists()


def test_the_last_who_may_invite_everybody_stays(producer):
    member_of(producer, Role.AGENCY)

    with pytest.raises(ValidationError, match="is the last here who may invite people of every side"):
        actions.remove_member(producer, producer.key)
    with pytest.raises(ValidationError, match="is the last here"):
        actions.change_member(producer, producer.key, role=Role.STYLIST)


def test_the_last_of_all_who_may_invite_stays(db):
    agency = MemberFactory(role=Role.AGENCY)

    with pytest.raises(ValidationError, match="is the last here who may invite people"):
        actions.remove_member(agency, agency.key)


def test_who_started_the_campaign_invites_and_decides_about_every_side(db):
    agency = MemberFactory(role=Role.AGENCY, started=True)
    photographer = actions.join_as_new(token=invited(agency, Role.PHOTOGRAPHER).token, name="Ida")

    actions.change_member(agency, photographer.key, role=Role.STYLIST)

    with pytest.raises(ValidationError, match="is the last here who may invite people"):
        actions.remove_member(agency, agency.key)


def test_who_started_may_go_when_another_reaches_as_far(producer):
    agency = member_of(producer, Role.AGENCY, started=True)

    actions.remove_member(producer, agency.key)

    assert list(producer.campaign.members.active()) == [producer]


def test_one_of_two_who_may_invite_may_go(producer):
    photographer = member_of(producer, Role.PHOTOGRAPHER)

    actions.remove_member(photographer, producer.key)

    assert list(producer.campaign.members.active()) == [photographer]


def test_the_agency_decides_about_its_own_side_alone(producer):
    agency = member_of(producer, Role.AGENCY)
    designer = member_of(producer, Role.DESIGNER)
    stylist = member_of(producer, Role.STYLIST)

    actions.remove_member(agency, designer.key)

    with pytest.raises(PermissionDenied, match="own side"):
        actions.remove_member(agency, stylist.key)
    with pytest.raises(PermissionDenied, match="own side"):
        actions.change_member(agency, agency.key, role=Role.PRODUCER)


@pytest.mark.parametrize("role", [Role.CLIENT, Role.DESIGNER, Role.STYLIST])
def test_change_and_remove_by_those_who_may_not_leave_no_trace(producer, role):
    by, other = member_of(producer, role), member_of(producer, role)

    with pytest.raises(PermissionDenied):
        actions.change_member(by, other.key, role=Role.PROPS)
    with pytest.raises(PermissionDenied):
        actions.remove_member(by, other.key)

    other.refresh_from_db()
    assert (other.role, other.left_at) == (role, None)
    assert not LogEntry.objects.exists()


def test_campaigns_do_not_share_members(db):
    campaign = CampaignFactory()
    MemberFactory()
    member = MemberFactory(campaign=campaign)

    assert list(campaign.members.active()) == [member]
