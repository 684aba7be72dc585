"""Protects the proof of changes: an edit straight in the database is found; an archive brings them back the same."""

import json
from decimal import Decimal

import pytest
from django.db import connection, transaction
from django.utils import timezone

from portal.brief.actions import put_forward
from portal.changes import actions
from portal.models import Campaign, Change, LogEntry, Version
from portal.people.account_proof import account_digest
from portal.sealing import archive_in, archive_out, guard, log, verify
from portal.sealing.actions import decline
from shots.light.actions import edit_light
from shots.props.actions import edit_prop
from tests.agreed_world import agreed
from tests.factories import CampaignFactory, MemberFactory, PropFactory
from tests.portal.test_archive import empty_the_portal

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(monkeypatch):
    """Change 1 accepted and part of version 2, change 2 accepted, change 3 refused, change 4 not decided."""
    world = agreed(monkeypatch)
    world.opened(("props", world.shots[1].key), by="agency", money=Decimal("120.50"), currency="GBP")
    edit_prop(world.producer, world.things[1].key, note="Amber")
    world.lock_again()
    world.opened(("light", ""), what="Softer.")
    actions.refuse_change(world.client, world.raised(what="Bigger.").key, typed_name="C", why="No.")
    world.raised(what="Sooner.")
    return world


def broken():
    return verify.prove(Campaign.objects.get()).breaks


def forge(sql, *values):
    """What somebody does who holds the database and has taken the seals away."""
    guard.remove(connection)
    with connection.cursor() as cursor, connection.constraint_checks_disabled():
        cursor.execute(sql, values)
        assert cursor.rowcount == 1


def test_what_nobody_touched_is_whole(world):
    proof = verify.prove(Campaign.objects.get())
    assert proof.changes == 4
    assert broken() == []


@pytest.mark.parametrize(
    ("sets", "number", "says"),
    [
        ("what = 'Other'", 1, "not what was raised"),
        ("money = 12", 1, "not what was raised"),
        ("currency = 'EUR'", 1, "not what was raised"),
        ("hours_low = 3", 1, "not what was raised"),
        ('opens = \'[["food", ""]]\'', 2, "not what was raised"),
        ("salt = 'x'", 1, "not what was raised"),
        ("decided_name = 'Else'", 1, "the name or the reason"),
        ("decided_why = 'Yes.'", 3, "the name or the reason"),
        ("decided_away = TRUE", 2, "whether it was decided away from the set"),
        ("state = 'accepted'", 3, "held as accepted, and the log has it as refused"),
        ("state = 'withdrawn'", 2, "held as withdrawn, and the log has it as accepted"),
        ("in_version_id = NULL", 1, "version 2 cites it"),
        ("decided_at = '2020-01-01 00:00:00'", 2, "the time of its decision"),
        ("raised_at = '2020-01-01 00:00:00'", 2, "its time is not"),
    ],
)
def test_an_edit_of_a_change_is_found(world, sets, number, says):
    forge(f"UPDATE portal_change SET {sets} WHERE number = %s", number)  # noqa: S608  the test's own words
    ((where, found),) = broken()
    assert where == f"change {number}"
    assert says in found


def test_who_was_present_is_proven_by_key(world):
    """Another of the same name put in their place leaves every word as it was."""
    client, agency = world.client, world.agency
    told = {"what": "Second straw.", "guests": [], "agrees": "", "photo": None, "opens": []}
    told |= {"present": [client.key], "sent_as": "device-0001", "happened_at": timezone.now()}
    made = actions.record_pivot(world.stylist, **told)
    assert broken() == []
    assert client.key in json.dumps(made.present)
    forge(
        "UPDATE portal_change SET present = %s WHERE number = 5",
        json.dumps(made.present).replace(client.key, agency.key),
    )
    assert broken() == [("change 5", "it is not what was raised, as the log has it")]


@pytest.mark.parametrize(
    "present", [[5], [{"name": 5}], [{"name": "Jo", "else": 1}], [{"name": "Jo", "agrees": "yes"}]]
)
def test_who_was_present_in_a_form_that_no_portal_writes_is_found(world, present):
    forge("UPDATE portal_change SET present = %s WHERE number = 4", json.dumps(present))
    assert ("changes", "it cannot be read, for it is not what the portal writes (TypeError)") in broken()


def test_a_decision_that_nobody_made_is_found(world):
    forge(
        "UPDATE portal_change SET state = 'accepted', decided_at = raised_at, decided_by_id = %s WHERE number = 4",
        world.people["client"].pk,
    )
    assert broken() == [("change 4", "the log knows no decision on it")]


def test_a_decision_by_somebody_else_or_a_citation_that_is_none_is_found(world):
    forge("UPDATE portal_change SET decided_by_id = %s WHERE number = 2", world.people["agency"].pk)
    assert broken() == [("change 2", "it was decided by somebody else, as the log has it")]
    forge("UPDATE portal_change SET decided_by_id = %s WHERE number = 2", world.people["client"].pk)
    forge("UPDATE portal_change SET in_version_id = %s WHERE number = 2", Version.objects.get(number=2).pk)
    assert broken() == [("change 2", "it is held as part of version 2, which does not cite it")]


def test_a_change_that_is_gone_or_was_slipped_in_is_found(world):
    forge("DELETE FROM portal_change WHERE number = 4")
    assert broken()[0] == ("change 4", "the log knows it, and it is gone")
    forge(
        "UPDATE portal_change SET number = 9, key = 'slippedinkey' WHERE number = 2",
    )
    assert {
        ("change 2", "the log knows it, and it is gone"),
        ("change 4", "the log knows it, and it is gone"),
        ("change 9", "the log does not know it"),
    } < set(broken())


def test_a_lock_that_was_set_back_is_found(world):
    forge("UPDATE portal_campaign SET locked_version_id = %s", Version.objects.get(number=1).pk)
    assert broken()[0] == ("lock", "version 1 is held as locked, and the log knows no such lock")


def test_a_version_that_was_declined_after_the_lock_breaks_nothing(world):
    edit_light(world.lighting, world.shots[0].key, key_light="Softer window")
    version = put_forward(world.producer)
    decline(world.client, digest=version.digest, typed_name="C", reason="Too soft.")
    assert broken() == []


def test_an_archive_brings_changes_back_with_their_proof(world, tmp_path):
    path = tmp_path / "campaign.zip"
    archive_out.write(Campaign.objects.get(), path)
    fields = [field.name for field in Change._meta.concrete_fields if not field.is_relation and field.name != "id"]
    before = list(Change.objects.values(*fields, "in_version__number", "decided_by__key", "raised_by__key"))
    digests = list(LogEntry.objects.order_by("sequence").values_list("digest", flat=True))
    empty_the_portal()

    archive_in.read(path)

    assert list(Change.objects.values(*fields, "in_version__number", "decided_by__key", "raised_by__key")) == before
    assert list(LogEntry.objects.order_by("sequence").values_list("digest", flat=True)) == digests
    assert broken() == []


def kept_without_leave(world):
    """A row that was edited past the lock, and an entry that vouches for it."""
    with transaction.atomic():
        world.things[0].quantity += 1
        world.things[0].save()
        log.append(world.producer, "prop.edited", f"prop/{world.things[0].key}", was={}, now={})


def test_a_row_of_a_locked_brief_that_no_change_has_opened_is_found(world):
    kept_without_leave(world)
    says = "the brief as its rows stand is not version 2 here, and no change has opened it"
    assert broken() == [(f"Props: {world.things[0].name}, shot 1", says)]


def test_a_row_that_was_edited_under_the_signers_pens_is_found(world):
    edit_light(world.lighting, world.shots[0].key, key_light="Softer window")
    put_forward(world.producer)
    assert broken() == []
    kept_without_leave(world)
    ((where, says),) = broken()
    assert where.startswith("Props: ")
    assert "not version 3 here" in says


def test_a_campaign_from_before_rows_had_digests_is_vouched_for_by_its_next_entry(db):
    prop = PropFactory(shot__campaign=CampaignFactory(row_salt=""))
    campaign = prop.shot.campaign
    member = MemberFactory(campaign=campaign)
    proof = verify.prove(campaign)
    assert (proof.rows, proof.remarks[-1][0]) == (0, "rows")

    with transaction.atomic():
        told = {"role": str(member.role), "may_sign": member.may_sign, "account": account_digest(member)}
        log.append(member, "member.joined", f"member/{member.key}", **told)
    campaign.refresh_from_db()
    proof = verify.prove(campaign)
    assert (proof.rows, proof.breaks, proof.remarks) == (4, [], [])
    forge("UPDATE shots_prop SET quantity = 99 WHERE id = %s", prop.pk)
    assert verify.prove(campaign).breaks == [(f"prop {prop}", "it is not as entry 1 of the log left it")]

    Campaign.objects.update(row_salt="")
    with pytest.raises(ValueError, match="verify_campaign"), transaction.atomic():
        log.append(member, "prop.edited")
