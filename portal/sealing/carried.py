"""Which rows a campaign's archive carries: all that lead to the campaign, and all that they refer to.

Found from the tables themselves, so that a room's new table is carried without a word here; what must not leave is
named.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cache
from itertools import islice
from typing import Any

from django.apps import apps
from django.db import models

from portal.brief.models import Campaign
from portal.files.models import StoredFile
from portal.people.models import User
from portal.sealing.models import LogEntry
from portal.work.models import Work

Table = type[models.Model]
# Bookmarks start anew, and nobody is told twice; the log has an entry of its own in the archive.
NOT_CARRIED = {"portal.look", "portal.logentry", "portal.notice", "portal.personwish"}
# Ways in, and rights that are the portal's and not the campaign's: none of them leaves.
KEPT_BACK = {
    "portal.user": {"password", "last_login", "starts_campaigns", "is_active"},
    "portal.invitation": {"token"},
    "portal.version": {"document"},  # an entry of its own, as the people signed it
    "portal.work": {"tries", "claimed_by", "lease_until"},
    "portal.campaign": {"standing", "standing_at"},
}
# What the portal may have already: by what a row is known.
SHARED: dict[Table, str] = {User: "email", StoredFile: "sha256", Work: "key"}
_MANY = 500


@dataclass(frozen=True)
class Way:
    """A table whose rows lead to a campaign, and how: "placement__shot__campaign"; "pk" for the campaign itself."""

    table: Table
    path: str


def name_of(table: Table) -> str:
    return table._meta.label_lower


@cache
def owned() -> tuple[Way, ...]:
    """Tables whose every row belongs to a campaign, each by its shortest way there."""
    found: dict[Table, str] = {Campaign: "pk"}
    waiting: list[Table] = [Campaign]
    while waiting:
        target = waiting.pop(0)
        for table in apps.get_models():
            step = next((one for one in references(table) if one.related_model is target and not one.null), None)
            if table not in found and step:
                found[table] = step.name if target is Campaign else f"{step.name}__{found[target]}"
                waiting.append(table)
    return tuple(Way(table, path) for table, path in found.items() if name_of(table) not in NOT_CARRIED)


@cache
def tables() -> tuple[Table, ...]:
    """All tables that are carried, each after those whose rows it cannot do without."""
    carried = [*SHARED, *(way.table for way in owned())]
    ordered: list[Table] = []
    while waiting := [table for table in carried if table not in ordered]:
        ready = [table for table in waiting if _needs(table) <= {*ordered, table}]
        ordered += ready[:1]
        if not ready:
            raise RuntimeError(f"rows of {[name_of(table) for table in waiting]} need each other")
    return tuple(ordered)


def _needs(table: Table) -> set[Any]:
    return {
        one.related_model for one in references(table) if not one.null and name_of(one.related_model) not in NOT_CARRIED
    }


def references(table: Table) -> list[Any]:
    return [one for one in table._meta.concrete_fields if isinstance(one, models.ForeignKey)]


def later(table: Table) -> list[Any]:
    """References that can only be filled once all rows are there: to the table itself, or to one that comes after."""
    order = tables()
    return [one for one in references(table) if order.index(one.related_model) >= order.index(table)]


def fields(table: Table) -> list[Any]:
    """The fields that are carried, without the primary key."""
    back = KEPT_BACK.get(name_of(table), set())
    return [one for one in table._meta.concrete_fields if not one.primary_key and one.name not in back]


class Rows:
    """The rows of one campaign. What they refer to is collected while they are read, so tables that own come first."""

    def __init__(self, campaign: Campaign, files: set[str]) -> None:
        self.campaign = campaign
        self._ways = {way.table: way.path for way in owned()}
        self._wanted: dict[Table, set[Any]] = {table: set() for table in SHARED}
        for table in self._ways:
            for one in references(table):
                if one.related_model in self._wanted:
                    held = self._owned(table).exclude(**{one.attname: None}).order_by()
                    self._wanted[one.related_model] |= set(held.values_list(one.attname, flat=True).distinct())
        # A version names files whose rows were taken out since.
        named = sorted(files)
        for at in range(0, len(named), _MANY):
            some = StoredFile.objects.filter(sha256__in=named[at : at + _MANY])
            self._wanted[StoredFile] |= set(some.values_list("pk", flat=True))
        self._wanted[Work] |= set(self._pictures_of_files())

    def _pictures_of_files(self) -> Iterator[int]:
        """Work on these very files to which no row refers (small pictures, tiles).

        Only such as says nothing but of the file: other work on the same bytes may be another campaign's.
        """
        for stored in self.of(StoredFile):
            assert isinstance(stored, StoredFile)  # noqa: S101  for the type checker
            for pk, inputs in Work.objects.filter(inputs__sha256=stored.sha256).values_list("pk", "inputs"):
                if all(name in ("sha256", "path") or isinstance(value, int) for name, value in inputs.items()):
                    yield pk

    def of(self, table: Table) -> Iterator[models.Model]:
        """The rows of a table by their primary keys, read as a stream."""
        if table in self._ways:
            yield from self._owned(table).order_by("pk").iterator(chunk_size=_MANY)
            return
        waiting = iter(sorted(self._wanted[table]))
        while some := list(islice(waiting, _MANY)):
            yield from table._default_manager.filter(pk__in=some).order_by("pk")

    def _owned(self, table: Table) -> "models.QuerySet[models.Model]":
        return table._default_manager.filter(**{self._ways[table]: self.campaign.pk})


def plain(row: models.Model) -> dict[str, Any]:
    """A row as the archive holds it: references by primary key, times and dates as ISO 8601."""
    told = {one.attname: plain_value(getattr(row, one.attname)) for one in fields(type(row))}
    return {"id": row.pk, **told}


def plain_value(value: Any) -> Any:
    """A column's value as JSON holds it: amounts as text, times and dates as ISO 8601."""
    if isinstance(value, Decimal):
        return str(value)
    return value.isoformat() if isinstance(value, date) else value


def entries_of(campaign: Campaign) -> Iterator[LogEntry]:
    return campaign.log.order_by("sequence").iterator(chunk_size=_MANY)
