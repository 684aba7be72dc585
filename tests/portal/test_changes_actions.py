"""Protects changes after the lock: who raises and decides, one effect, one decision, what they open, what is cited."""

import threading
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError, connection, transaction
from django.utils import timezone

from portal.access import Role
from portal.brief import actions as brief
from portal.brief.draft import BriefClosed
from portal.changes import actions, presence, section, wording
from portal.models import Campaign, Change, LogEntry, User
from portal.sealing import actions as sealing
from portal.sealing import verify, words
from shots.props.actions import edit_prop
from tests.agreed_world import OFFICE, agreed
from tests.factories import CampaignFactory, member_of


@pytest.fixture
def world(db, monkeypatch):
    return agreed(monkeypatch)


def props_of(world, number):
    return ("props", world.shots[number - 1].key)


def test_a_change_keeps_what_was_asked_and_waits(world):
    hours = {"hours_low": Decimal("1"), "hours_likely": Decimal("1.5"), "hours_high": Decimal("3")}
    made = world.raised(props_of(world, 2), ("campaign", ""), retouching=" None. ", **hours)

    kept = Change.objects.get()
    assert (kept, kept.number, kept.state, kept.on_version.number) == (made, 1, "asked", 1)
    assert (kept.what, kept.why, kept.asked_by) == ("Amber glass.", "The client asked.", "Mira Holt")
    assert kept.raised_by == world.stylist
    assert (kept.hours_low, kept.hours_likely, kept.hours_high) == (Decimal("1"), Decimal("1.5"), Decimal("3"))
    assert kept.retouching == "None."
    assert kept.opens == [["campaign", ""], list(props_of(world, 2))]
    assert kept.opens_words == "the terms and the props of shot 2"


def test_only_who_may_raises_and_decides(world):
    for role in ("designer", "other"):
        with pytest.raises(PermissionDenied):
            world.raised(by=role)
    made = world.raised()
    for role in ("producer", "photographer", "stylist", "designer", "other"):
        with pytest.raises(PermissionDenied):
            actions.accept_change(getattr(world, role), made.key, typed_name="Me")
        with pytest.raises(PermissionDenied):
            actions.refuse_change(getattr(world, role), made.key, typed_name="Me", why="No")
    assert Change.objects.get().state == "asked"


def test_a_change_of_another_campaign_is_not_there(world, monkeypatch):
    made = agreed(monkeypatch).raised()
    for act in (actions.accept_change, actions.withdraw_change):
        with pytest.raises(Change.DoesNotExist):
            act(world.client, made.key, **({"typed_name": "Me"} if act is actions.accept_change else {}))


def test_a_brief_that_is_not_locked_needs_no_change(world):
    Campaign.objects.update(locked_version=None)
    with pytest.raises(BriefClosed, match="not locked"):
        world.raised()


@pytest.mark.parametrize(
    ("told", "field"),
    [
        ({"what": "  "}, "what"),
        ({"why": ""}, "why"),
        ({"asked_by": " "}, "asked_by"),
        ({"what": "x" * 1001}, "what"),
        ({"hours_low": Decimal(1)}, "hours_likely"),
        ({"hours_low": Decimal(3), "hours_likely": Decimal(2), "hours_high": Decimal(4)}, "hours_likely"),
        ({"hours_low": Decimal(-1), "hours_likely": Decimal(2), "hours_high": Decimal(4)}, "hours_likely"),
        ({"money": Decimal(10), "by": "agency"}, "money"),
        ({"money": Decimal(10), "currency": "pounds", "by": "agency"}, "currency"),
    ],
)
def test_what_cannot_stand_is_refused_beside_its_field(world, told, field):
    with pytest.raises(ValidationError) as refused:
        world.raised(**told)
    assert field in refused.value.message_dict
    assert not Change.objects.exists()


@pytest.mark.parametrize("place", [("props", "nosuchshot22"), ("nothing", ""), ("changes", ""), ("waivers", "")])
def test_a_place_that_cannot_be_opened_is_refused(world, place):
    with pytest.raises(ValidationError, match="Choose them again"):
        world.raised(place)
    with pytest.raises(ValidationError):  # a section that has no shots has none to be named
        world.raised(("campaign", world.shots[0].key))


def test_the_same_form_sent_twice_raises_one_change(world):
    first = world.raised(sent_as="the-token-1")
    assert world.raised(sent_as="the-token-1", what="Otherwise") == first
    assert Change.objects.count() == LogEntry.objects.filter(act="change.raised").count() == 1
    with pytest.raises(ValidationError, match="somebody else"):
        world.raised(sent_as="the-token-1", by="agency")
    with pytest.raises(ValidationError, match="token"):
        world.raised(sent_as="")


def test_accepting_opens_what_it_names_and_nothing_else(world):
    with pytest.raises(BriefClosed, match="raise a change"):
        edit_prop(world.producer, world.things[1].key, note="Amber")
    made = world.raised(props_of(world, 2))
    with pytest.raises(BriefClosed):  # asked is not accepted
        edit_prop(world.producer, world.things[1].key, note="Amber")
    accepted = actions.accept_change(world.client, made.key, typed_name=" C. Lient ", why="Do it.")

    assert (accepted.state, accepted.decided_by, accepted.decided_name) == ("accepted", world.client, "C. Lient")
    edit_prop(world.producer, world.things[1].key, note="Amber")
    with pytest.raises(BriefClosed, match="change 1 has opened the props of shot 2"):
        edit_prop(world.producer, world.things[0].key, note="Amber")


def test_refusing_and_withdrawing_open_nothing(world):
    refused = world.raised(props_of(world, 2))
    with pytest.raises(ValidationError, match="Say why"):
        actions.refuse_change(world.client, refused.key, typed_name="C", why=" ")
    with pytest.raises(ValidationError, match="Type your name"):
        actions.refuse_change(world.client, refused.key, typed_name=" ", why="Too late.")
    actions.refuse_change(world.client, refused.key, typed_name="C", why="Too late.")
    own = world.raised(props_of(world, 2))
    with pytest.raises(PermissionDenied):
        actions.withdraw_change(world.lighting, own.key)
    actions.withdraw_change(world.stylist, own.key, why="No longer needed.")
    by_producer = world.raised(props_of(world, 2))
    actions.withdraw_change(world.producer, by_producer.key)

    assert list(Change.objects.values_list("state", flat=True)) == ["refused", "withdrawn", "withdrawn"]
    with pytest.raises(BriefClosed):
        edit_prop(world.producer, world.things[1].key, note="Amber")


def test_a_decision_is_final_and_given_twice_is_one(world):
    made = world.raised(props_of(world, 2))
    first = actions.accept_change(world.client, made.key, typed_name="C")
    assert actions.accept_change(world.client, made.key, typed_name="C again") == first
    with pytest.raises(BriefClosed, match="accepted change 1 already"):
        actions.refuse_change(world.client, made.key, typed_name="C", why="No")
    with pytest.raises(BriefClosed, match="already"):
        actions.accept_change(world.agency, made.key, typed_name="A")
    with pytest.raises(BriefClosed, match="already"):
        actions.withdraw_change(world.stylist, made.key)
    assert LogEntry.objects.filter(act="change.accepted").count() == 1
    assert Change.objects.get().decided_name == "C"


def test_the_database_refuses_to_alter_a_change(world):
    made = world.opened(props_of(world, 2))
    for field, value in {"what": "Other", "money": 9, "decided_name": "Else", "state": "refused", "opens": []}.items():
        with pytest.raises(IntegrityError), transaction.atomic():
            Change.objects.filter(pk=made.pk).update(**{field: value})
    with pytest.raises(IntegrityError), transaction.atomic():
        Change.objects.filter(pk=made.pk).delete()
    asked = world.raised()
    with pytest.raises(IntegrityError), transaction.atomic():
        Change.objects.filter(pk=asked.pk).update(why="Other")


def test_money_is_entered_only_by_who_may_see_it_and_stays_out_of_the_log(world):
    with pytest.raises(PermissionDenied):
        world.raised(money=Decimal("1234.50"), currency="GBP")
    made = world.raised(by="agency", money=Decimal("1234.50"), currency="gbp")
    assert (made.money, made.currency) == (Decimal("1234.50"), "GBP")
    actions.accept_change(world.client, made.key, typed_name="C")
    for payload in LogEntry.objects.values_list("payload", flat=True):
        assert "1234" not in str(payload)
        assert "GBP" not in str(payload)


def pivot(world, by, token, *, present=(), agrees=None, **told):
    """A change made on set, with these members present; the signer `agrees`."""
    told = {"what": "Second straw.", "photo": None, "opens": [props_of(world, 1)]} | told
    return actions.record_pivot(
        by,
        present=[one.key for one in present],
        agrees=agrees.key if agrees else "",
        sent_as=f"device-{token:04}",
        happened_at=timezone.now() - timedelta(hours=2),
        **told,
    )


def test_a_pivot_counts_once_a_signer_accepts_it(world):
    client, stylist = world.client, world.stylist
    guests = ["Mira Holt", " Mira  Holt ", "Jo"]
    by_crew = pivot(world, stylist, 1, present=[stylist, stylist], guests=guests, agrees=client)
    assert (by_crew.kind, by_crew.state, by_crew.agrees_name) == ("pivot", "asked", str(client.user))
    assert by_crew.present == [
        {"name": str(stylist.user), "member": stylist.key, "agrees": False, "agrees_for": ""},
        {"name": str(client.user), "member": client.key, "agrees": True, "agrees_for": ""},
        {"name": "Mira Holt", "member": "", "agrees": False, "agrees_for": ""},
        {"name": "Jo", "member": "", "agrees": False, "agrees_for": ""},
    ]
    by_other = pivot(world, client, 2, agrees=world.agency)
    assert by_other.state == "asked"
    own = pivot(world, client, 3, agrees=client)
    assert (own.state, own.decided_by, own.decided_name) == ("accepted", client, str(client.user))
    assert pivot(world, client, 3) == own
    assert LogEntry.objects.filter(act="change.accepted").count() == 1
    edit_prop(world.producer, world.things[0].key, note="Two straws")
    assert verify.prove(world.now()).breaks == []


@pytest.mark.parametrize(
    ("told", "field"),
    [
        ({"agrees": "stylist"}, "agrees"),
        ({"agrees": "photographer"}, "agrees"),
        ({"agrees": "stranger"}, "agrees"),
        ({"present": ["client", "stranger"]}, "present"),
        ({"guests": [f"Guest {number}" for number in range(41)]}, "guests"),
        ({"guests": ["x" * 121]}, "guests"),
    ],
)
def test_who_cannot_have_been_there_or_agreed_is_refused_and_nobody_is_left_out_unsaid(world, told, field):
    people = world.people | {"stranger": member_of(CampaignFactory(), Role.CLIENT, may_sign=True)}
    if "agrees" in told:
        told = {"agrees": people[told["agrees"]]}
    if "present" in told:
        told = {"present": [people[role] for role in told["present"]]}
    with pytest.raises(ValidationError) as refused:
        pivot(world, world.stylist, 1, **told)
    assert list(refused.value.message_dict) == [field]
    assert not Change.objects.exists()


def test_who_was_there_is_told_by_the_member_and_not_by_the_name(world):
    client, agency = world.client, world.agency
    User.objects.filter(pk=agency.user_id).update(name=client.user.name)
    client, agency = world.client, world.agency
    assert str(client.user) == str(agency.user)
    there = pivot(world, world.stylist, 1, present=[client])
    as_guest = pivot(world, world.stylist, 2, guests=[str(client.user)])
    both = pivot(world, world.stylist, 3, present=[client, agency])
    own_name = pivot(world, agency, 4, agrees=client)
    assert [actions.was_there(client, one) for one in (there, as_guest, both)] == [True, False, True]
    assert [actions.was_there(agency, one) for one in (there, as_guest, both)] == [False, False, True]
    assert own_name.state == "asked"  # the other of that name agreed
    assert actions.accept_change(agency, there.key, typed_name="A").decided_away
    assert actions.accept_change(client, as_guest.key, typed_name="C").decided_away
    assert not actions.accept_change(agency, both.key, typed_name="A").decided_away
    told = {row["number"]: (row["present"], row["guests"]) for row in section.assemble(world.now())}
    name = str(client.user)
    assert told == {1: ([name], []), 2: ([], [name]), 3: ([name, name], [])}


def test_a_pivot_from_before_keys_were_kept_is_read_by_its_names(world):
    """As 0.x releases wrote it: bare names, with a digest over just these."""
    made = pivot(world, world.stylist, 1, guests=["Jo"])
    made.present = ["Jo", str(world.client.user).upper()]
    assert actions.was_there(world.client, made)
    assert not actions.was_there(world.agency, made)
    assert (presence.names(made.present), presence.guests(made.present)) == (made.present, [])
    entry = LogEntry.objects.get(act="change.raised")
    for word in ("present", "guests", "agrees"):
        del entry.payload[word]
    assert words.say(entry, {}).endswith(" recorded change 1 on set: Second straw.")


def test_the_log_tells_a_pivot_as_recorded_and_a_change_as_raised(world):
    client, stylist = world.client, world.stylist
    pivot(world, stylist, 1, present=[stylist], guests=["Ash {bell}"], agrees=client)
    pivot(world, stylist, 2)
    world.raised(what="Sooner.")
    agreed, alone, office = (words.say(entry, {}) for entry in LogEntry.objects.filter(act="change.raised"))
    there = f"present: {stylist.user} and {client.user}, guest Ash {{bell}}; {client.user} agreed"
    assert agreed == f"{stylist} recorded change 1 on set; {there}: Second straw."
    assert alone == f"{stylist} recorded change 2 on set; no signer there agreed: Second straw."
    assert office == f"{stylist} raised change 3, asked by Mira Holt: Sooner."


def test_a_pivot_accepted_by_a_signer_who_was_not_there_is_decided_away_from_the_set(world):
    client, agency = world.client, world.agency
    there = pivot(world, world.stylist, 1, present=[client], guests=["Jo"])
    away = pivot(world, world.stylist, 2, present=[client])
    own = pivot(world, agency, 3)
    refused = pivot(world, world.stylist, 4)
    office = world.raised(what="Sooner.")
    assert not actions.accept_change(client, there.key, typed_name="C").decided_away
    assert actions.accept_change(agency, away.key, typed_name=str(client.user)).decided_away
    assert not actions.accept_change(agency, own.key, typed_name="A").decided_away
    assert not actions.refuse_change(agency, refused.key, typed_name="A", why="No.").decided_away
    assert not actions.accept_change(agency, office.key, typed_name="A").decided_away

    entry = LogEntry.objects.get(act="change.accepted", subject=f"change/{away.key}")
    assert words.say(entry, {}).endswith(f"accepted change {away.number}, decided away from the set: Second straw.")
    assert "away" not in LogEntry.objects.get(act="change.accepted", subject=f"change/{there.key}").payload
    away.refresh_from_db()
    assert "away from the set" in wording.decision(away)
    told = {row["number"]: row["decided_away"] for row in section.assemble(world.now())}
    assert told == {there.number: False, away.number: True, own.number: False, office.number: False}


def test_the_next_version_cites_what_it_contains_and_closes_it(world):
    made = world.opened(props_of(world, 2), by="agency", money=Decimal("120"), currency="GBP")
    with pytest.raises(BriefClosed, match="Nothing in the brief differs from version 1"):
        brief.put_forward(world.producer)
    edit_prop(world.producer, world.things[1].key, note="Amber")
    version = brief.put_forward(world.producer)

    assert version.number == 2
    assert world.now().locked_version.number == 1
    with pytest.raises(BriefClosed, match="Version 2 is out for signature"):
        edit_prop(world.producer, world.things[1].key, note="Green")
    later = world.opened(props_of(world, 1))  # accepted while it is out: not in its document
    world.sign(version)

    campaign = world.now()
    assert (campaign.locked_version, campaign.open_version) == (version, None)
    made.refresh_from_db()
    later.refresh_from_db()
    assert (made.in_version, later.in_version) == (version, None)
    assert f'"id":"{made.key}"' in version.document
    assert '"amount":"120.00"' in version.document
    assert f'"id":"{later.key}"' not in version.document
    with pytest.raises(BriefClosed, match="change 2 has opened the props of shot 1"):
        edit_prop(world.producer, world.things[1].key, note="Green")
    edit_prop(world.producer, world.things[0].key, note="Green")
    assert world.lock_again().number == 3
    assert verify.prove(world.now()).breaks == []


@pytest.mark.parametrize("end", ["declined", "withdrawn"])
def test_after_a_decline_or_withdrawal_the_old_lock_stands_and_the_same_places_are_open(world, end):
    made = world.opened(props_of(world, 2))
    edit_prop(world.producer, world.things[1].key, note="Amber")
    version = brief.put_forward(world.producer)
    if end == "declined":
        sealing.decline(world.client, digest=version.digest, typed_name="C", reason="Not amber.")
    else:
        brief.withdraw(world.producer, reason="A slip.")

    campaign = world.now()
    assert (campaign.locked_version.number, campaign.open_version) == (1, None)
    assert Change.objects.get(pk=made.pk).in_version is None
    edit_prop(world.producer, world.things[1].key, note="Green")
    with pytest.raises(BriefClosed):
        edit_prop(world.producer, world.things[0].key, note="Green")
    assert world.lock_again().number == 3
    assert verify.prove(world.now()).breaks == []


def test_without_a_change_a_locked_brief_is_not_put_forward(world):
    world.raised(props_of(world, 2))
    with pytest.raises(BriefClosed, match="locked as version 1"):
        brief.put_forward(world.producer)


def race(*acts):
    """Run the acts at the same instant, each with a connection of its own; what they gave or raised."""
    gate, found = threading.Barrier(len(acts)), []

    def run(act):
        try:
            gate.wait()
            found.append(act())
        except Exception as error:  # noqa: BLE001  the test says which are expected
            found.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=[act]) for act in acts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return found


@pytest.mark.django_db(transaction=True)
def test_two_signers_at_the_same_instant_make_one_decision(monkeypatch):
    world = agreed(monkeypatch)
    made = world.raised(("props", world.shots[0].key))
    client, agency = world.client, world.agency
    found = race(
        lambda: actions.accept_change(client, made.key, typed_name="C"),
        lambda: actions.refuse_change(agency, made.key, typed_name="A", why="No"),
    )
    assert sorted(type(one).__name__ for one in found) == ["BriefClosed", "Change"]
    entries = LogEntry.objects.filter(act__in=["change.accepted", "change.refused"])
    assert [entry.act for entry in entries] == [f"change.{Change.objects.get().state}"]
    assert verify.prove(Campaign.objects.get()).breaks == []


@pytest.mark.django_db(transaction=True)
def test_a_retried_request_at_the_same_instant_raises_one_change(monkeypatch):
    world = agreed(monkeypatch)
    stylist = world.stylist
    told = {"what": "Amber.", "opens": [], "sent_as": "the-token-1", **OFFICE}
    found = race(*[lambda: actions.raise_change(stylist, **told)] * 3)
    assert [one.number for one in found] == [1, 1, 1]
    assert Change.objects.count() == LogEntry.objects.filter(act="change.raised").count() == 1


@pytest.mark.django_db(transaction=True)
def test_changes_raised_at_the_same_instant_have_numbers_of_their_own(monkeypatch):
    world = agreed(monkeypatch)
    people = [world.stylist, world.agency, world.lighting]
    race(
        *[
            lambda by=by, n=n: actions.raise_change(by, what=f"{n}", opens=[], sent_as=f"the-token-{n}", **OFFICE)
            for n, by in enumerate(people)
        ]
    )
    assert list(Change.objects.values_list("number", flat=True)) == [1, 2, 3]
    assert verify.prove(Campaign.objects.get()).breaks == []


@pytest.mark.django_db(transaction=True)
def test_a_lock_and_a_decision_at_the_same_instant_leave_the_change_either_cited_or_open(monkeypatch):
    world = agreed(monkeypatch)
    first = world.opened(("props", world.shots[0].key))
    edit_prop(world.producer, world.things[0].key, note="Amber")
    version = brief.put_forward(world.producer)
    late = world.raised(("props", world.shots[1].key))
    world.sign(version, "client", "agency")
    client, photographer = world.client, world.photographer
    race(
        lambda: sealing.sign(photographer, digest=version.digest, typed_name="P"),
        lambda: actions.accept_change(client, late.key, typed_name="C"),
    )
    assert Change.objects.get(pk=first.pk).in_version == version
    assert Change.objects.get(pk=late.pk).in_version is None
    edit_prop(world.producer, world.things[1].key, note="Green")
    assert verify.prove(Campaign.objects.get()).breaks == []
