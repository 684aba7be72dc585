"""Triggers by which the database itself refuses to alter what was sealed: versions, sign-offs, entries of the log.

They hold against every program that speaks to the database, the portal's own among them. A whole campaign can thus not
be deleted either: what people signed outlasts it, and that is meant. Who owns the database can still drop the triggers;
`manage.py verify_campaign` finds what was done then. On PostgreSQL they need version 14 or newer.
"""

from typing import Any

from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

# Table to the word for one of its rows, and to what makes two rows the same one.
_SEALED = {
    "portal_version": ("A version", ("id", "key", "campaign_id, number")),
    "portal_signoff": ("A sign-off", ("id", "version_id, member_id")),
    "portal_logentry": ("An entry of the log", ("id", "campaign_id, sequence")),
    "portal_rowdigest": ("What the log vouches for", ("id", "campaign_id, kind, called, sequence")),
}
_CHANGE = "portal_change"
# A change is raised once, decided once and cited once: columns by what may still be written.
_DECIDED = "state, decided_by_id, decided_for_id, decided_at, decided_why, decided_name, decided_away"
_CITED = "in_version_id"
_RAISED = (
    "id, key, campaign_id, number, kind, on_version_id, what, why, asked_by, raised_by_id, raised_at, happened_at, "
    "hours_low, hours_likely, hours_high, money, currency, retouching, plates, lists, opens, opens_words, present, "
    "agrees_name, photo_id, sent_as, salt"
)


def install(connection: BaseDatabaseWrapper) -> None:
    """Put the triggers in place; those that are there already stay, but for those that name a table's columns."""
    _run(connection, _POSTGRESQL if connection.vendor == "postgresql" else _SQLITE)
    _run_for_changes(connection, _CHANGES_POSTGRESQL if connection.vendor == "postgresql" else _CHANGES_SQLITE)


def remove(connection: BaseDatabaseWrapper) -> None:
    """Take the triggers away: for a migration that must alter a sealed table, and for tests that empty theirs."""
    on = " ON {table}" if connection.vendor == "postgresql" else ""
    _run(
        connection,
        [f"DROP TRIGGER IF EXISTS {{table}}_{name}{on}" for name in ("no_update", "no_delete", "no_replace")],
    )
    if connection.vendor == "postgresql":
        _run(connection, ["DROP TRIGGER IF EXISTS {table}_no_truncate ON {table}"])
    names = ("no_update", "no_second", "no_uncite", "no_delete", "no_replace")
    _run_for_changes(connection, [f"DROP TRIGGER IF EXISTS {{table}}_{name}{on}" for name in names])


def after_migrate(using: str, **_: Any) -> None:
    """SQLite drops a table's triggers with the table, and a migration that alters one makes it anew: look each time."""
    install(connections[using])


# Any insert that would take an existing row's place: REPLACE deletes without asking the delete trigger.
_SQLITE = [
    "CREATE TRIGGER IF NOT EXISTS {table}_no_update BEFORE UPDATE ON {table} "
    "BEGIN SELECT RAISE(ABORT, '{word} is never altered.'); END",
    "CREATE TRIGGER IF NOT EXISTS {table}_no_delete BEFORE DELETE ON {table} "
    "BEGIN SELECT RAISE(ABORT, '{word} is never deleted.'); END",
    "CREATE TRIGGER IF NOT EXISTS {table}_no_replace BEFORE INSERT ON {table} "
    "WHEN EXISTS (SELECT 1 FROM {table} WHERE {same}) "
    "BEGIN SELECT RAISE(ABORT, '{word} is never replaced.'); END",
]
# 23001 is the standard's restrict_violation: it reaches Python as IntegrityError, as SQLite's refusal does.
_POSTGRESQL = [
    "CREATE OR REPLACE FUNCTION portal_sealed() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
    "RAISE EXCEPTION '% is sealed: it is never altered or deleted.', TG_TABLE_NAME USING ERRCODE = '23001'; END $$",
    "CREATE OR REPLACE TRIGGER {table}_no_update BEFORE UPDATE ON {table} "
    "FOR EACH ROW EXECUTE FUNCTION portal_sealed()",
    "CREATE OR REPLACE TRIGGER {table}_no_delete BEFORE DELETE ON {table} "
    "FOR EACH ROW EXECUTE FUNCTION portal_sealed()",
    "CREATE OR REPLACE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table} "
    "FOR EACH STATEMENT EXECUTE FUNCTION portal_sealed()",
]


_ONCE_SQLITE = (
    "CREATE TRIGGER IF NOT EXISTS {{table}}_{name} BEFORE UPDATE OF {columns} ON {{table}} {when} "
    "BEGIN SELECT RAISE(ABORT, '{says}'); END"
)
_ONCE_POSTGRESQL = (
    "CREATE OR REPLACE TRIGGER {{table}}_{name} BEFORE UPDATE OF {columns} ON {{table}} "
    "FOR EACH ROW {when} EXECUTE FUNCTION portal_sealed()"
)
_ONCE = (
    ("no_update", _RAISED, "", "A change is never altered once it is raised."),
    ("no_second", _DECIDED, "WHEN (OLD.state <> 'asked')", "A decision on a change is final."),
    ("no_uncite", _CITED, "WHEN (OLD.in_version_id IS NOT NULL)", "A change is cited once."),
)


def _once(form: str) -> list[str]:
    return [form.format(name=name, columns=columns, when=when, says=says) for name, columns, when, says in _ONCE]


# Made anew each time: one from before a column was added does not hold that.
_CHANGES_SQLITE = [
    *(f"DROP TRIGGER IF EXISTS {{table}}_{name}" for name, *_ in _ONCE),
    *_once(_ONCE_SQLITE),
    *_SQLITE[1:],
]
_CHANGES_POSTGRESQL = [*_once(_ONCE_POSTGRESQL), _POSTGRESQL[2]]


def _run_for_changes(connection: BaseDatabaseWrapper, statements: list[str]) -> None:
    _run(connection, statements, {_CHANGE: ("A change", ("id", "key", "campaign_id, number", "campaign_id, sent_as"))})


def _run(
    connection: BaseDatabaseWrapper, statements: list[str], tables: dict[str, tuple[str, tuple[str, ...]]] = _SEALED
) -> None:
    with connection.cursor() as cursor:
        # Some migrations run before all of the tables are made.
        there = set(connection.introspection.table_names(cursor))
        for table, (word, keys) in tables.items():
            if table not in there:
                continue
            same = " OR ".join(_same(table, key.split(", ")) for key in keys)
            for statement in statements:
                cursor.execute(statement.replace("{table}", table).replace("{word}", word).replace("{same}", same))


def _same(table: str, columns: list[str]) -> str:
    return "(" + " AND ".join(f"{table}.{column} = NEW.{column}" for column in columns) + ")"
