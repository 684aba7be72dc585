"""Which rows the log vouches for, what its digests call each, and what of a row they cover.

Found from the tables themselves, so that a room's new table is covered without a word here; what is not names its
reason beside its columns (`Row.untold`).
"""

from collections.abc import Iterator
from functools import cache
from typing import Any

from django.db import models

from portal.files.models import StoredFile
from portal.record.rows import row_digest
from portal.rows import untold
from portal.sealing.carried import Table, Way, name_of, owned, plain_value

# What a stored file is, besides its bytes: they are read again in proving.
_OF_A_FILE = ("sha256", "bytes", "type", "width", "height")


@cache
def told_tables() -> dict[Table, Way]:
    """The tables whose rows the log vouches for, each with its way to the campaign."""
    return {way.table: way for way in owned() if "*" not in untold(way.table)}


def fields(table: Table) -> Iterator[Any]:
    """The columns that a row's digest covers."""
    return (one for one in table._meta.concrete_fields if not one.primary_key and one.name not in untold(table))


def references(table: Table) -> list[Any]:
    return [one for one in fields(table) if isinstance(one, models.ForeignKey)]


def called(row: models.Model) -> str:
    """What a row is called for good, here and in every archive: its key, or those of the rows that it must refer to."""
    key = getattr(row, "key", None)
    if isinstance(key, str):
        return key
    needed = [one for one in references(type(row)) if not one.null]
    return "/".join(called(getattr(row, one.name)) for one in needed)


def rows_of(table: Table, campaign_id: int) -> "models.QuerySet[models.Model]":
    """A campaign's rows, with all that their digests need, by primary key."""
    needed = [one.name for one in references(table)]
    found = table._default_manager.filter(**{told_tables()[table].path: campaign_id}).order_by("pk")
    return found.select_related(*needed) if needed else found


def digest_of(row: models.Model, salt: str) -> str:
    """A row's digest. Raises ValueError where it holds what has no canonical form."""
    return row_digest(salt, {"table": name_of(type(row)), "row": called(row), **plain(row)})


def plain(row: models.Model) -> dict[str, Any]:
    """A row as its digest covers it: references by what the other row is called, a file by what it is.

    What a column holds by default is left out, so that a column of a later release alters no digest.
    """
    held = ((one, getattr(row, one.name)) for one in fields(type(row)))
    return {one.name: _plain(value) for one, value in held if value not in (None, "") and value != one.get_default()}


def _plain(value: Any) -> Any:
    if isinstance(value, StoredFile):
        return {name: getattr(value, name) for name in _OF_A_FILE}
    return called(value) if isinstance(value, models.Model) else plain_value(value)
