"""A running portal's work, read past the portal: the database itself is asked."""

import json
import sqlite3
from contextlib import closing
from dataclasses import dataclass

import psycopg

from tests.services import wait_for


@dataclass
class Row:
    """One piece of work as the database has it."""

    kind: str
    key: str
    state: str
    tries: int
    result: dict


def work(env: dict[str, str], patience: float = 20) -> list[Row]:
    """All rows, in the order in which they were owed. `sqlite3.OperationalError`: locked for so many seconds."""
    asked = "SELECT kind, key, state, tries, result FROM portal_work ORDER BY id"
    if url := env.get("BRIEFLOCK_DATABASE_URL"):
        with psycopg.connect(url) as there:
            found = there.execute(asked).fetchall()
    else:
        there = sqlite3.connect(f"file:{env['BRIEFLOCK_DATA']}/brieflock.sqlite3?mode=ro", uri=True, timeout=patience)
        with closing(there):
            found = there.execute(asked).fetchall()
    return [Row(*row[:4], row[4] if isinstance(row[4], dict) else json.loads(row[4])) for row in found]


def wait_until_done(env: dict[str, str], seconds: float = 600) -> None:
    """Until nothing is open; what failed is an error here."""
    wait_for(lambda: all(row.state in ("done", "failed") for row in work(env)), "the end of all work", seconds)
    assert [row for row in work(env) if row.state == "failed"] == []
