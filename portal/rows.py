"""Rows whose every writing the campaign's log vouches for: each transaction notes which it has written.

What is noted waits on the connection, among what is to be done on commit, so that a savepoint that is rolled back takes
its notes along. The act's entry of the log takes them up (portal/sealing/written.py).
"""

import logging
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any, ClassVar, TypeVar

from django.db import models, transaction

_log = logging.getLogger("brieflock.rows")
_Row = TypeVar("_Row", bound="Row")


class RowQuerySet(models.QuerySet[_Row]):
    """Notes what is written past `save`: Django sends no signal for these."""

    def update(self, **values: Any) -> int:
        if columns := told(self.model, values):
            # Inside a transaction, so that no row is noted that the update does not reach.
            with transaction.atomic(using=self.db):
                keys = list(self.select_for_update(of=("self",)).order_by().values_list("pk", flat=True))
                note(self.model, keys, columns)
                return super().update(**values)
        return super().update(**values)

    def bulk_create(self, objs: Iterable[_Row], *args: Any, **more: Any) -> list[_Row]:
        made: list[_Row] = super().bulk_create(objs, *args, **more)
        # Where conflicts are ignored the rows have no primary keys, and their own keys are known beforehand.
        by = "pk" if all(row.pk for row in made) else "key"
        note(self.model, [getattr(row, by) for row in made], by=by)
        return made


class Row(models.Model):
    """A row that belongs to a campaign.

    `untold` names the columns that the log does not vouch for, each with the reason; "*" stands for the whole table.
    """

    untold: ClassVar[dict[str, str]] = {}
    objects = RowQuerySet.as_manager()

    class Meta:
        abstract = True


@dataclass
class Written:
    """Rows of one table that this transaction has written; called once it is committed."""

    table: type[models.Model]
    by: str
    keys: list[Any]
    gone: list[str] = field(default_factory=list)
    told: bool = False

    def __call__(self) -> None:
        if not self.told:
            _log.error("%s was written without an entry in a log: %s", self.table._meta.label, self.keys or self.gone)


def told(table: type[models.Model], columns: Collection[str]) -> list[str]:
    """Those of these columns for which the log vouches."""
    kept_out = untold(table)
    return [] if "*" in kept_out else [name for name in columns if name.removesuffix("_id") not in kept_out]


def untold(table: type[models.Model]) -> dict[str, str]:
    """The columns of a table for which the log does not vouch, with their reasons."""
    found: dict[str, str] = getattr(table, "untold", {})
    return found


def note(
    table: type[models.Model], keys: Collection[Any], columns: Collection[str] | None = None, by: str = "pk"
) -> None:
    """Note that these rows were written: `columns` of them, or all."""
    if keys and "*" not in untold(table) and (columns is None or told(table, columns)):
        transaction.on_commit(Written(table, by, list(keys)), robust=True)


def note_gone(row: "Row", called: str) -> None:
    """Note that a row is about to be taken out; `called`: what the log's digests call it."""
    transaction.on_commit(Written(type(row), "pk", [], [called]), robust=True)


def waiting() -> Iterator[Written]:
    """What this transaction has written and no entry of a log has taken up yet."""
    for _, callback, *_ in transaction.get_connection().run_on_commit:
        if isinstance(callback, Written) and not callback.told:
            yield callback
