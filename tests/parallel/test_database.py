"""Protects that parallel requests are tested as the portal runs: the same journal and the same kind of transaction."""

import pytest
from django.conf import settings
from django.db import connection


@pytest.mark.django_db(transaction=True)
def test_the_database_is_set_as_for_people():
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SHOW transaction_isolation")
            assert cursor.fetchone() == ("read committed",)
        return
    # A file and not memory; a second test process adds its own name at the end.
    assert ".sqlite3" in str(settings.DATABASES["default"]["NAME"])
    assert connection.transaction_mode == "IMMEDIATE"
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA journal_mode")
        assert cursor.fetchone() == ("wal",)
