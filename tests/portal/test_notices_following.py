"""Protects who is told of which act: those who must act or may read it, never the actor, and each once."""

from datetime import timedelta

import pytest
from django.core import mail
from django.utils import timezone

from portal.access import Audience, Role
from portal.brief import actions as brief
from portal.delegation import actions as delegation
from portal.delegation.models import Delegation
from portal.models import Notice
from portal.notices import following
from portal.sealing import actions as sealing
from portal.sealing import log
from portal.talk import actions as talk
from shots.food import actions as food
from tests.factories import HeroFoodFactory, ShotFactory, member_of
from tests.mails import post, told
from tests.portal.conftest import again

DRAFTERS = ("agency", "producer", "photographer")  # who may put a version forward


def noticed():
    """Who is told, of what kind, and whether it waits for them: by role, in the order of the log."""
    rows = Notice.objects.select_related("member").order_by("sequence", "member__pk")
    return [(row.member.role, row.kind, row.waits) for row in rows]


def fresh():
    Notice.objects.all().delete()


def entry_of(by, act, subject="", **payload):
    from django.db import transaction

    with transaction.atomic():
        return log.append(by, act, subject, **payload)


def sign(member, version):
    return sealing.sign(again(member), digest=version.digest, typed_name="x")


def say(by, text="What of the steam?", audience=Audience.EVERYONE):
    return talk.comment(by, kind="campaign", key=by.campaign.key, text=text, audience=audience)


# ---- versions


def test_a_version_put_forward_waits_for_its_signers(out):
    assert noticed() == [("client", "sign", True), ("photographer", "sign", True)]


def test_a_signer_who_puts_it_forward_is_not_told_of_it(people):
    brief.put_forward(people.photographer)
    assert noticed() == [("client", "sign", True)]


def test_a_signature_asks_nobody_anew_where_all_were_asked_at_once(people, out):
    fresh_before = noticed()
    sign(people.client, out)
    assert noticed() == fresh_before


def test_where_signing_has_an_order_the_next_are_told_when_it_is_their_turn(people):
    people.agency.may_sign = True
    people.agency.save()
    people.campaign.sign_in_order = True
    people.campaign.save()
    version = brief.put_forward(people.producer)
    first = noticed()
    sign(people.agency, version)

    assert [row for row in first if row[1] == "sign"] == first
    assert ("client", "sign", True) not in first
    assert noticed()[len(first) :] == [("client", "turn", True)]


def test_the_last_signature_tells_every_reader_of_the_lock(people, out):
    fresh()
    sign(people.client, out)
    sign(people.photographer, out)
    assert [row for row in noticed() if row[1] == "locked"] == [(m.role, "locked", False) for m in people.all()]


def test_a_declined_version_waits_for_who_put_it_forward_and_the_signers_hear_of_it(people, out):
    fresh()
    sealing.decline(again(people.client), digest=out.digest, typed_name="x", reason="The bowl is too small.")
    assert noticed() == [("producer", "declined", True), ("photographer", "declined", False)]

    brief.put_forward(again(people.producer))
    assert Notice.objects.get(kind="declined", waits=True).settled_at


def test_a_withdrawn_version_is_told_to_who_was_asked_and_no_longer_waits(people, out):
    brief.withdraw(again(people.agency), reason="One shot too many.")
    assert noticed()[2:] == [
        ("client", "withdrawn", False), ("producer", "withdrawn", False), ("photographer", "withdrawn", False),
    ]  # fmt: skip
    assert all(row.settled_at for row in Notice.objects.filter(kind="sign"))


def test_who_signs_for_another_is_asked_like_them(people, out):
    other = member_of(people.campaign, Role.CLIENT, may_sign=True)
    fresh()
    today = timezone.localdate()
    delegation.delegate(again(people.client), to=other.key, first_day=today, last_day=today)
    assert noticed() == [("client", "delegated", True)]
    assert Notice.objects.get().member == other

    brief.withdraw(again(people.producer), reason="x")
    fresh()
    brief.put_forward(again(people.producer))
    assert {row.member_id for row in Notice.objects.filter(kind="sign")} >= {other.pk, people.client.pk}


@pytest.mark.parametrize(("begins", "ahead", "ended", "expected"), [
    (0, True, False, [("client", "stand-in", True)]),
    (-1, True, False, [("client", "stand-in", True)]),  # the worker was away on its first day
    (1, True, False, []),
    (0, False, False, []),
    (0, True, True, []),
])  # fmt: skip
def test_who_was_asked_ahead_is_reminded_once_on_the_first_day(people, out, begins, ahead, ended, expected):
    other = member_of(people.campaign, Role.CLIENT, may_sign=True)
    today = timezone.localdate()
    days = {"first_day": today, "last_day": today + timedelta(days=2)}
    one = delegation.delegate(again(people.client), to=other.key, **days)
    set_up = one.set_up_at - timedelta(days=9) if ahead else one.set_up_at
    ended_at = one.set_up_at if ended else None
    first = today + timedelta(days=begins)
    Delegation.objects.update(first_day=first, set_up_at=set_up, ended_at=ended_at)
    fresh()
    for _ in range(2):
        following.remind_delegates(today)
    assert noticed() == expected
    assert {row.member for row in Notice.objects.all()} <= {other}
    sign(people.client, out)
    assert not Notice.objects.filter(kind="stand-in", settled_at=None).exists()


# ---- changes, recipes, waivers


@pytest.mark.parametrize(
    ("by", "act", "payload", "expected"),
    [
        ("producer", "change.raised", {"number": 1}, [("client", "change", True)]),
        ("client", "change.raised", {"number": 1}, []),
        ("producer", "change.raised", {"number": 1, "kind": "pivot"}, [("client", "pivot", True)]),
        ("client", "waiver.given", {"says": "x"}, [(role, "waiver", False) for role in DRAFTERS]),
        ("agency", "waiver.given", {"says": "x"}, [(role, "waiver", False) for role in DRAFTERS[1:]]),
        ("producer", "recipe.asked", {"recipe": "Soup"}, [("client", "recipe", True)]),
        ("client", "signing.delegation-ended", {"delegate": "?", "signer_name": "x"}, []),
        ("producer", "terms.settled", {}, []),
        ("photographer", "overlays.asked", {"number": 1}, [("producer", "overlays", False)]),
        (
            "photographer", "capture.accepted", {"number": 1, "not_served": ["48-sheet"]},
            [("agency", "capture-unserved", False), ("designer", "capture-unserved", False)],
        ),
        ("photographer", "capture.accepted", {"number": 1, "not_served": []}, []),
    ],
)  # fmt: skip
def test_an_act_is_told_to_who_must_act_or_may_want_to_know(people, by, act, payload, expected):
    entry_of(getattr(people, by), act, "change/abc", **payload)
    assert noticed() == expected


@pytest.mark.parametrize("kind", ["change", "pivot"])
@pytest.mark.parametrize("answer", ["accepted", "refused"])
def test_a_decided_change_is_told_to_who_raised_it_and_waits_for_nobody(people, answer, kind):
    entry_of(people.stylist, "change.raised", "change/abc", number=1, kind=kind)
    entry_of(people.client, f"change.{answer}", "change/abc", number=1)
    assert noticed() == [("client", kind, True), ("stylist", f"change-{answer}", False)]
    assert Notice.objects.get(kind=kind).settled_at


def test_the_mail_of_a_change_on_set_says_that_it_is_recorded_who_was_there_and_who_agreed(people):
    there = {"present": ["Jo Field", "Ida Moss"], "guests": ["Ash Bellweather"], "agrees": "Ida Moss"}
    told = {
        "; present: Jo Field and Ida Moss; Ida Moss agreed": there,
        "; no signer there agreed": {"present": [], "guests": [], "agrees": ""},
        "": {},  # of an older release
    }
    for number, (said, payload) in enumerate(told.items(), start=1):
        entry_of(people.stylist, "change.raised", f"change/{number}", number=number, kind="pivot", **payload)
        (sent,) = post()
        assert f"{people.stylist} recorded change {number} on set{said}. It waits for a decision." in sent.body
        assert "Ash" not in sent.body


def test_a_confirmed_recipe_is_told_to_who_asked(people):
    row = HeroFoodFactory(shot=ShotFactory(campaign=people.campaign))
    food.ask_recipe(people.stylist, row.key)
    food.confirm_recipe(again(people.client), row.key, recipe=row.recipe, recipe_version=row.recipe_version)
    assert noticed() == [("client", "recipe", True), ("stylist", "recipe-confirmed", False)]
    assert Notice.objects.get(kind="recipe").settled_at


# ---- talk


def test_the_other_sides_are_told_of_a_comment_and_nothing_of_what_was_said(people):
    say(people.client)
    mails = post()
    crew_and_agency = (people.agency, people.designer, people.producer, people.photographer, people.stylist)
    assert told(mails) == sorted(member.user.email for member in crew_and_agency)
    assert "steam" not in mails[0].body + mails[0].subject
    assert f"/c/{people.campaign.key}/talk/campaign/{people.campaign.key}/#comment-" in mails[0].body
    assert f"{people.client} wrote a comment on the campaign as a whole." in mails[0].body


@pytest.mark.parametrize(
    ("author", "audience", "roles"),
    [
        ("photographer", Audience.WORKING, ("agency", "designer")),
        ("agency", Audience.WORKING, ("producer", "photographer", "stylist")),
        ("agency", Audience.BUYING, ("client",)),
        ("client", Audience.BUYING, ("agency",)),
    ],
)
def test_a_side_is_told_of_talk_that_it_may_read(people, author, audience, roles):
    say(getattr(people, author), audience=audience)
    assert told(post()) == sorted(getattr(people, role).user.email for role in roles)


def test_a_person_is_told_once_an_hour_of_a_thread_and_again_of_another(people):
    first = say(people.client)
    post()
    talk.answer(people.client, first.key, text="And of the spoon?")
    assert post() == []
    talk.answer(people.photographer, first.key, text="It can.")
    assert told(post()) == [people.client.user.email]  # agency and designer were told a moment ago
    say(people.client, "Another matter.")
    assert len(post()) == 5


# ---- who is left out


def test_those_who_left_or_may_not_sign_in_are_told_nothing(people):
    people.stylist.left_at = people.stylist.joined_at
    people.stylist.save()
    people.designer.user.is_active = False
    people.designer.user.save()
    say(people.client)
    assert told(post()) == sorted(m.user.email for m in (people.agency, people.producer, people.photographer))


def test_those_who_leave_between_act_and_mail_are_told_nothing(people, out):
    people.client.left_at = timezone.now()
    people.client.save()
    people.photographer.user.is_active = False
    people.photographer.user.save()
    assert post() == []
    assert not Notice.objects.filter(settled_at=None).exists()


def test_who_lost_the_right_between_act_and_mail_is_told_nothing(people, out):
    say(people.designer, audience=Audience.WORKING)
    people.photographer.role = Role.ASSISTANT
    people.photographer.save()
    mails = post()
    assert people.photographer.user.email not in told(mails)
    assert people.client.user.email in told(mails)


def test_an_entry_tells_a_member_once_however_often_it_is_followed(people, out):
    from portal.models import LogEntry
    from portal.notices.following import follow

    before = noticed()
    follow(LogEntry, LogEntry.objects.get(act="version.put-forward"))
    assert noticed() == before
    assert len(post()) == 2
    assert post() == []


def test_another_campaigns_people_are_told_nothing(people, out):
    stranger = member_of(ShotFactory(), Role.CLIENT, may_sign=True)
    assert not Notice.objects.filter(member=stranger).exists()
    assert len(mail.outbox) == 0


def test_an_act_that_nobody_is_told_of_costs_no_query_for_people(people, django_assert_max_num_queries):
    from django.db import transaction

    log.append(people.producer, "prop.edited", "prop/x")  # takes up what the test itself has written
    with transaction.atomic(), django_assert_max_num_queries(4):
        log.append(people.producer, "prop.edited", "prop/x")
