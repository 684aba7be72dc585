"""Taking up what a transaction has written: an act's entry vouches for the rows as the act leaves them."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from django.db import models
from django.db.models.fields.reverse_related import ForeignObjectRel
from django.db.models.signals import post_save, pre_delete

from portal.brief.models import Campaign
from portal.record.rows import GONE, rows_digest
from portal.rows import Written, note, note_gone, waiting
from portal.sealing import told_rows
from portal.sealing.carried import Table, name_of
from portal.sealing.models import LogEntry, RowDigest

_MANY = 500


def connect() -> None:
    """Note whatever is saved or taken out of the tables that the log vouches for."""
    for table in told_rows.told_tables():
        post_save.connect(_saved, sender=table, dispatch_uid=f"written {name_of(table)}")
        pre_delete.connect(_goes, sender=table, dispatch_uid=f"gone {name_of(table)}")


def _saved(sender: Table, instance: models.Model, update_fields: Collection[str] | None = None, **_: Any) -> None:
    note(sender, [instance.pk], update_fields)


def _goes(sender: Table, instance: Any, **_: Any) -> None:
    note_gone(instance, told_rows.called(instance))
    # Rows that only lose their reference to it: Django empties that without a word.
    for relation in sender._meta.get_fields(include_hidden=True):
        if not isinstance(relation, ForeignObjectRel) or relation.on_delete is not models.SET_NULL:
            continue
        if relation.related_model in told_rows.told_tables():
            left = relation.related_model._default_manager.filter(**{relation.field.name: instance})
            note(relation.related_model, list(left.values_list("pk", flat=True)), [relation.field.name])


def take_up(campaign: Campaign, sequence: int) -> str:
    """Keep the digests of what this transaction has written of the campaign; the digest of them all, "" for nothing.

    The first entry of a campaign from before rows had digests vouches for all of its rows.
    """
    written = list(_written(campaign)) if campaign.row_salt else _all(campaign)
    RowDigest.objects.bulk_create(
        [
            RowDigest(campaign_id=campaign.pk, sequence=sequence, kind=kind, called=called, digest=digest)
            for kind, called, digest in written
        ],
        batch_size=_MANY,
    )
    return rows_digest(written)


def vouched() -> None:
    """What this transaction has written stands in a log already: that of an archive which is brought back."""
    for one in waiting():
        one.told = True


def _all(campaign: Campaign) -> list[tuple[str, str, str]]:
    if LogEntry.objects.filter(campaign=campaign).exclude(rows="").exists():
        raise ValueError(f"the salt of the rows of {campaign.code} is gone: prove the campaign with verify_campaign")
    campaign.row_salt = Campaign._meta.get_field("row_salt").get_default()
    Campaign.objects.filter(pk=campaign.pk).update(row_salt=campaign.row_salt)
    vouched()
    return [
        (name_of(table), told_rows.called(row), told_rows.digest_of(row, campaign.row_salt))
        for table in told_rows.told_tables()
        for row in told_rows.rows_of(table, campaign.pk).iterator(chunk_size=_MANY)
    ]


@dataclass
class _Notes:
    """What was noted of one table."""

    notes: list[Written] = field(default_factory=list)
    gone: set[str] = field(default_factory=set)

    def wanted(self, by: str) -> list[Any]:
        return sorted({key for one in self.notes if one.by == by for key in one.keys})


def _written(campaign: Campaign) -> Iterator[tuple[str, str, str]]:
    noted: dict[Table, _Notes] = defaultdict(_Notes)
    for one in waiting():
        noted[one.table].notes.append(one)
        noted[one.table].gone |= set(one.gone)
    for table, of in noted.items():
        found = {told_rows.called(row): row for row in _there(table, campaign.pk, of)}
        gone = _known(campaign, table, of.gone - found.keys())
        for row in sorted(found):
            yield name_of(table), row, told_rows.digest_of(found[row], campaign.row_salt)
        yield from ((name_of(table), row, GONE) for row in sorted(gone))
        for one in of.notes:
            one.told = True


def _there(table: Table, campaign_id: int, of: _Notes) -> Iterator[models.Model]:
    for by in ("pk", "key"):
        wanted = of.wanted(by)
        for at in range(0, len(wanted), _MANY):
            yield from told_rows.rows_of(table, campaign_id).filter(**{f"{by}__in": wanted[at : at + _MANY]})


def _known(campaign: Campaign, table: Table, gone: Iterable[str]) -> set[str]:
    """Of the rows taken out, those for which the log has vouched: one made in this same transaction was never there."""
    known = campaign.row_digests.filter(kind=name_of(table))
    waiting, found = sorted(gone), set[str]()
    for at in range(0, len(waiting), _MANY):
        found |= set(known.filter(called__in=waiting[at : at + _MANY]).values_list("called", flat=True))
    return found
