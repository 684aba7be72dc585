"""Protects the seals in the database itself: versions, sign-offs and log entries are neither altered nor deleted."""

import pytest
from django.db import IntegrityError, connection, transaction

from portal.brief.models import Version
from portal.changes.models import Change
from portal.sealing import actions, guard
from portal.sealing.models import LogEntry, SignOff


@pytest.fixture
def signed(people, out):
    actions.sign(people.client, digest=out.digest, typed_name="Ben Lee")
    return people


SEALED = [(Version, "note"), (SignOff, "typed_name"), (LogEntry, "act")]


@pytest.mark.parametrize(("model", "column"), SEALED)
def test_a_sealed_row_is_not_altered(signed, model, column):
    before = list(model.objects.values())
    with pytest.raises(IntegrityError), transaction.atomic():
        model.objects.update(**{column: "forged"})
    assert list(model.objects.values()) == before


@pytest.mark.parametrize(("model", "column"), SEALED)
def test_a_sealed_row_is_not_deleted(signed, model, column):
    before = list(model.objects.values())
    with pytest.raises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(f"DELETE FROM {model._meta.db_table}")  # noqa: S608
    assert list(model.objects.values()) == before


@pytest.mark.parametrize(("model", "column"), SEALED)
def test_a_sealed_row_is_not_replaced(signed, model, column):
    """SQLite's REPLACE deletes without asking the delete trigger; PostgreSQL's form of it is an update."""
    row = model.objects.first()
    setattr(row, column, "forged")
    fields = list(model._meta.concrete_fields)
    names = ", ".join(f.column for f in fields)
    marks = ", ".join(["%s"] * len(fields))
    values = [f.get_db_prep_save(f.pre_save(row, add=False), connection) for f in fields]
    insert = f"INSERT {{}}INTO {model._meta.db_table} ({names}) VALUES ({marks})"  # noqa: S608
    sql = (
        insert.format("OR REPLACE ")
        if connection.vendor == "sqlite"
        else insert.format("") + f" ON CONFLICT (id) DO UPDATE SET {column} = excluded.{column}"
    )
    with pytest.raises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(sql, values)
    assert getattr(model.objects.get(pk=row.pk), column) != "forged"


def test_every_column_of_a_change_is_raised_decided_or_cited():
    """One that no trigger names could be altered for ever."""
    named = ", ".join([guard._RAISED, guard._DECIDED, guard._CITED]).split(", ")
    assert sorted(named) == sorted(field.column for field in Change._meta.concrete_fields)


def test_a_seal_from_before_a_column_was_added_is_made_anew(db):
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("DROP TRIGGER portal_change_no_second")
            cursor.execute(
                "CREATE TRIGGER portal_change_no_second BEFORE UPDATE OF state ON portal_change "
                "WHEN (OLD.state <> 'asked') BEGIN SELECT RAISE(ABORT, 'final'); END"
            )
    guard.install(connection)
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT sql FROM sqlite_master WHERE name = 'portal_change_no_second'")
        else:
            cursor.execute("SELECT pg_get_triggerdef(oid) FROM pg_trigger WHERE tgname = 'portal_change_no_second'")
        (made,) = cursor.fetchone()
    assert "decided_for_id" in made


def test_a_campaign_with_a_log_is_not_deleted(signed):
    with pytest.raises(IntegrityError), transaction.atomic():
        LogEntry.objects.all().delete()
    assert LogEntry.objects.count() == 2


def test_the_seals_can_be_put_in_place_again_and_again(signed):
    guard.remove(connection)
    guard.install(connection)
    guard.install(connection)
    with pytest.raises(IntegrityError), transaction.atomic():
        Version.objects.update(note="forged")
