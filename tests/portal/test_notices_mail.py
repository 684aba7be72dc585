"""Protects the mail: what it says and keeps back, when it goes, that it goes once, and how it can be stopped."""

import re
from datetime import UTC, datetime, timedelta
from smtplib import SMTPServerDisconnected

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from portal.access import Audience
from portal.brief import actions as brief
from portal.models import MemberWish, Notice, PersonWish, Work
from portal.notices import actions, mails, queries
from portal.notices.models import Wish
from portal.notices.tasks import digest
from portal.people.models import Member
from portal.sealing import actions as sealing
from portal.talk import actions as talk
from tests.mails import post, told
from tests.portal.conftest import again
from tests.work import run_work

How = Wish.How


def say(by, text="What of the steam?", audience=Audience.EVERYONE):
    return talk.comment(by, kind="campaign", key=by.campaign.key, text=text, audience=audience)


def to(mails, member):
    return [one for one in mails if one.to == [member.user.email]]


def links(text):
    return re.findall(r"^https?://[^/]+(/\S*)$", text, re.M)


# ---- what it says


def test_the_mail_to_a_signer_says_what_waits_where_and_why(people, out, settings):
    settings.ADDRESS = "https://brief.example"
    (sent,) = to(post(), people.client)
    key, token = people.campaign.key, mails.stop_token(people.client)
    assert sent.body == (
        f"In the campaign {people.campaign.title}, one thing waits for you.\n"
        "\nWaits for you\n\n"
        f"{people.producer} put version 1 forward, and your signature is asked for.\n"
        f"https://brief.example/c/{key}/brief/1/\n"
        "\nWhat was written is not in this mail; sign in to read it.\n"
        "\nYou get this because you work on this campaign as client, and are told at once. Have it otherwise:\n"
        f"https://brief.example/c/{key}/mail/\n"
        "\nNo more mail about this campaign:\n"
        f"https://brief.example/no-more-mail/{token}/\n"
    )


def test_headers_let_a_mail_program_stop_it_with_one_click(people, out, settings):
    """RFC 8058, section 3.1: List-Unsubscribe with an HTTPS URI, List-Unsubscribe-Post with this very value."""
    settings.ADDRESS = "https://brief.example"
    (sent,) = to(post(), people.client)
    headers = sent.message()
    assert headers["List-Unsubscribe"] == f"<https://brief.example/no-more-mail/{mails.stop_token(people.client)}/>"
    assert headers["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert headers["Auto-Submitted"] == "auto-generated"  # RFC 3834, section 5
    assert headers.get_content_type() == "text/plain"


def test_without_https_no_one_click_is_promised(people, out):
    (sent,) = to(post(), people.client)
    assert "List-Unsubscribe-Post" not in sent.extra_headers


SECRETS = ("Slow mornings", "Oatlock", "PLANTED", "4210")


def test_a_subject_line_holds_the_code_alone(people):
    people.campaign.title, people.campaign.client, people.campaign.code = SECRETS[0], SECRETS[1], "OAT\nBcc: x"
    people.campaign.save()
    say(again(people.designer), text="PLANTED £4210")
    brief.put_forward(again(people.producer), note="PLANTED £4210")
    subjects = {one.subject for one in post()}
    assert subjects == {
        "OAT Bcc: x: one thing waits for you",
        "OAT Bcc: x: one thing to read",
    }


def test_no_mail_holds_what_was_written(people, out):
    say(people.photographer, text="PLANTED £4210", audience=Audience.WORKING)
    sealing.decline(again(people.client), digest=out.digest, typed_name="x", reason="PLANTED £4210")
    sent = post()
    assert len(sent) > 3
    assert all("PLANTED" not in one.body + one.subject and "4210" not in one.body for one in sent)


def test_what_is_of_one_kind_on_one_page_is_one_line(people):
    for number in range(3):
        say(people.client, text=f"Matter {number}")
    (sent,) = to(post(), people.stylist)
    assert sent.subject == f"{people.campaign.code}: one thing to read"
    assert sent.body.count("wrote a comment") == 1


def test_every_link_of_a_mail_works_after_sign_in(people, out, client):
    say(people.designer)
    (sent,) = to(post(), people.client)
    found = [link for link in links(sent.body) if "no-more-mail" not in link]
    assert len(found) == 3
    for link in found:
        led = client.get(link)
        assert led.headers["Location"].startswith(f"{reverse('account_login')}?next=/c/{people.campaign.key}/")
        signed_in = Client()
        signed_in.force_login(people.client.user)
        assert signed_in.get(link).status_code == 200


def test_signing_in_leads_on_to_what_the_mail_named(people, out, client):
    people.client.user.set_password("slow-mornings")
    people.client.user.save()
    (sent,) = to(post(), people.client)
    led = client.get(links(sent.body)[0]).headers["Location"]
    answer = client.post(
        led, {"login": people.client.user.email, "password": "slow-mornings", "next": led.partition("next=")[2]}
    )
    assert answer.headers["Location"] == reverse("portal:version", args=[people.campaign.key, 1])


# ---- when it goes


def test_acts_of_a_minute_or_two_come_in_one_mail_and_not_sooner(people):
    say(people.client)
    say(people.client, text="And the spoon?")
    brief.put_forward(people.producer)
    assert post(timezone.now()) == []
    sent = post()
    assert len(to(sent, people.photographer)) == 1
    assert "one thing waits for you, and one thing is to be read" in to(sent, people.photographer)[0].body
    assert post() == []


@pytest.mark.parametrize(
    ("zone", "hour", "before", "after"),
    [
        ("", 8, datetime(2026, 11, 26, 7, 59, tzinfo=UTC), datetime(2026, 11, 26, 8, 1, tzinfo=UTC)),
        # UTC+13 in November: New Zealand's daylight time, IANA tz database.
        ("Pacific/Auckland", 8, datetime(2026, 11, 25, 18, 59, tzinfo=UTC), datetime(2026, 11, 25, 19, 1, tzinfo=UTC)),
    ],
)
def test_once_a_day_all_of_a_day_comes_at_the_hour_where_the_person_is(people, zone, hour, before, after):
    actions.wish_of_person(people.client.user, how=How.DAILY, hour=hour, time_zone=zone)
    say(people.designer)
    say(people.photographer, text="And the spoon?")
    brief.put_forward(people.producer)
    Notice.objects.update(made_at=datetime(2026, 11, 25, 17, 0, tzinfo=UTC))

    assert to(post(before), people.client) == []
    (sent,) = to(post(after), people.client)

    assert "Waits for you" in sent.body
    assert "To be read" in sent.body
    assert f"are told once a day, at {hour:02}:00" in sent.body
    assert to(post(after + timedelta(hours=1)), people.client) == []


def test_an_hour_that_the_clocks_skip_or_repeat_is_due_once(people):
    wanted = queries.Wanted(How.DAILY, 8, queries.zone_of("Europe/London"))
    # Clocks go back on 25 October 2026 at 01:00 UTC: the day before, 08:00 is 07:00 UTC.
    assert wanted.last_hour(datetime(2026, 10, 25, 7, 30, tzinfo=UTC)) == datetime(2026, 10, 24, 7, 0, tzinfo=UTC)
    assert wanted.last_hour(datetime(2026, 10, 25, 8, 0, tzinfo=UTC)) == datetime(2026, 10, 25, 8, 0, tzinfo=UTC)


def test_who_wants_only_what_waits_gets_nothing_else(people, out):
    actions.wish_of_member(people.client, how=How.WAITS, hour=8)
    say(people.designer)
    (sent,) = to(post(), people.client)
    assert "To be read" not in sent.body
    say(people.photographer, text="Another matter")
    assert to(post(), people.client) == []


@pytest.mark.parametrize("settles", ["signed", "withdrawn", "declined"])
def test_what_no_longer_waits_when_the_mail_goes_is_not_asked_for(people, out, settles):
    actions.wish_of_member(people.client, how=How.WAITS, hour=8)
    if settles == "signed":
        sealing.sign(again(people.client), digest=out.digest, typed_name="x")
    elif settles == "declined":
        sealing.decline(again(people.photographer), digest=out.digest, typed_name="x", reason="No.")
    else:
        brief.withdraw(people.producer, reason="x")
    assert to(post(), people.client) == []
    assert Notice.objects.get(member=people.client, kind="sign").settled_at
    assert Notice.objects.get(member=people.client, kind="sign").sent_at is None


def test_who_wants_nothing_gets_nothing_and_is_not_flooded_later(people, out):
    actions.wish_of_member(people.client, how=How.NONE, hour=8)
    assert to(post(), people.client) == []
    actions.wish_of_member(people.client, how=How.AT_ONCE, hour=8)
    assert to(post(), people.client) == []


def test_a_campaigns_wish_goes_before_the_persons_and_only_there(people, out):
    actions.wish_of_person(people.client.user, how=How.NONE, hour=8)
    actions.wish_of_member(people.client, how=How.AT_ONCE, hour=8)
    assert len(to(post(), people.client)) == 1
    actions.wish_of_member(people.client, how="", hour=8)
    assert queries.wanted_by(queries.with_wishes(type(people.client).objects).get(pk=people.client.pk)).how == How.NONE


# ---- once


def breaks_after(good):
    """A mail server that takes so many mails and then hangs up."""
    taken = []

    def send(message):
        if len(taken) == good:
            raise SMTPServerDisconnected("the mail server does not answer")
        taken.append(message)
        mail.outbox.append(message)

    return send


def test_when_mail_fails_it_is_tried_again_and_nobody_is_told_twice(people, out, monkeypatch):
    monkeypatch.setattr(mails.EmailMessage, "send", breaks_after(1))
    with pytest.raises(SMTPServerDisconnected):
        post()
    assert Notice.objects.filter(sent_at=None).count() == 1
    monkeypatch.undo()

    run_work("portal.digest")

    assert told(mail.outbox) == sorted([people.client.user.email, people.photographer.user.email])
    assert Notice.objects.filter(sent_at=None).count() == 0


def abandoned_by_a_killed_worker(member, *, after_it_went):
    """A mail of this member's is claimed, goes or does not, and then its process is gone: nothing is given back."""
    claimed = actions.claim(member.key, lambda _, rows: {row.pk for row in rows})
    if after_it_went:
        mails.digest(queries.with_wishes(Member.objects.all()).get(pk=member.pk), claimed.rows, claimed.name).send()


def an_hour_passes():
    for notice in Notice.objects.exclude(claimed_at=None):
        Notice.objects.filter(pk=notice.pk).update(claimed_at=notice.claimed_at - timedelta(hours=1))


@pytest.mark.parametrize("after_it_went", [False, True])
def test_a_mail_whose_worker_was_killed_goes_again_as_the_same_mail(people, out, after_it_went):
    """RFC 5322, section 3.6.4: one Message-ID is one version of one message, so the second can be known."""
    abandoned_by_a_killed_worker(people.client, after_it_went=after_it_went)
    first = list(mail.outbox)
    assert to(post(), people.client) == []  # it may be on its way
    an_hour_passes()
    say(people.designer)
    again_sent, new = to(post(timezone.now() + timedelta(minutes=20)), people.client)

    assert "your signature is asked for" in again_sent.body
    assert "comment" not in again_sent.body
    assert "comment" in new.body
    ids = [one.extra_headers["Message-ID"] for one in (*first, again_sent, new)]
    assert len(set(ids)) == 2
    assert ids[0] == ids[-2]
    assert to(post(timezone.now() + timedelta(hours=2)), people.client) == []


def test_what_was_abandoned_and_waits_no_longer_is_not_sent(people, out):
    abandoned_by_a_killed_worker(people.client, after_it_went=False)
    an_hour_passes()
    sealing.sign(again(people.client), digest=out.digest, typed_name="x")
    say(people.designer)
    (only,) = to(post(), people.client)
    assert "your signature" not in only.body
    assert "comment" in only.body


def test_after_its_tries_another_piece_of_work_tries_later(people, out, monkeypatch):
    now = timezone.now() + timedelta(minutes=2)
    monkeypatch.setattr(mails.EmailMessage, "send", breaks_after(0))
    for _ in range(8):
        with pytest.raises(SMTPServerDisconnected):
            post(now)
        if not Work.objects.filter(state=Work.State.OWED).exists():
            break
    assert {work.state for work in Work.objects.filter(kind="portal.digest")} == {"failed"}
    monkeypatch.undo()

    assert post(now) == []
    assert len(post(now + timedelta(minutes=11))) == 2


def test_what_could_not_be_sent_for_days_is_given_up(people, out):
    Notice.objects.update(made_at=timezone.now() - timedelta(days=4))
    assert post() == []
    assert not Notice.objects.filter(settled_at=None).exists()


def test_two_pieces_of_work_for_one_member_make_one_mail(people, out):
    now = timezone.now()
    actions.gather(now + timedelta(minutes=2))
    actions.gather(now + timedelta(minutes=20))
    works = Work.objects.filter(kind="portal.digest", inputs__member=people.client.key)
    assert [digest(work)["told"] for work in works] == [1, 0]
    assert len(mail.outbox) == 1


def test_who_is_due_costs_two_queries_however_many(people, out, django_assert_num_queries):
    say(people.designer)
    with django_assert_num_queries(2):
        assert len(queries.due(timezone.now() + timedelta(minutes=2))) == 4


# ---- stopping it


def stop_address(member):
    return reverse("portal:stop-mail", args=[mails.stop_token(member)])


def test_the_address_in_the_mail_asks_first_and_stops_by_one_click_without_sign_in(people, out, client):
    asked = client.get(stop_address(people.client))
    assert (asked.status_code, MemberWish.objects.exists()) == (200, False)
    assert people.campaign.code in asked.text
    assert people.campaign.title not in asked.text
    assert people.client.user.email not in asked.text

    stopped = client.post(stop_address(people.client))

    assert "No more mail about this campaign" in stopped.text
    assert to(post(), people.client) == []
    assert MemberWish.objects.get().how == How.NONE


def test_a_mail_program_stops_it_with_one_click_and_no_cookie(people, out):
    """RFC 8058, section 3.2: a POST whose body is the value of List-Unsubscribe-Post, without cookies."""
    browser = Client(enforce_csrf_checks=True)
    answer = browser.post(
        stop_address(people.client), "List-Unsubscribe=One-Click", content_type="application/x-www-form-urlencoded"
    )
    assert answer.status_code == 200
    assert MemberWish.objects.get(member=people.client).how == How.NONE


def test_only_that_campaign_is_stopped(people, out, client):
    client.post(stop_address(people.client))
    assert not PersonWish.objects.exists()
    assert len(to(post(), people.photographer)) == 1


@pytest.mark.parametrize(
    "spoil",
    [lambda t: t[:-1], lambda t: ("y" if t[0] == "x" else "x") + t[1:], lambda t: t.partition(".")[0], lambda _: "."],
)
def test_a_spoilt_address_stops_nothing(people, client, spoil):
    spoilt = reverse("portal:stop-mail", args=[spoil(mails.stop_token(people.client))])
    assert (client.get(spoilt).status_code, client.post(spoilt).status_code) == (404, 404)
    assert not MemberWish.objects.exists()


def test_another_members_key_under_my_signature_is_refused(people, client):
    signature = mails.stop_token(people.client).partition(".")[2]
    forged = reverse("portal:stop-mail", args=[f"{people.producer.key}.{signature}"])
    assert client.post(forged).status_code == 404
