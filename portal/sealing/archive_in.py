"""Bringing a campaign back from its archive: all of it, proven, or nothing at all."""

from collections.abc import Iterator
from contextlib import contextmanager
from itertools import islice
from pathlib import Path
from typing import Any

from allauth.account.models import EmailAddress
from django.db import DatabaseError, models, transaction

from portal.brief import documents, sections
from portal.brief.models import Campaign, Version
from portal.files.models import StoredFile
from portal.people.models import User
from portal.record import chain
from portal.record.archive import Damaged, Reader
from portal.sealing import archive_files, carried, verify, written
from portal.sealing.archive_out import FORMAT, LOG, RELEASE, file_entry, paths_in, rows_entry, version_entry
from portal.sealing.archive_values import Unfit, fitting
from portal.sealing.models import LogEntry
from portal.sealing.proof import UNREADABLE
from portal.site.sentences import sentence
from portal.work.models import Work

_MANY = 500


class AlreadyThere(Exception):
    """The portal has this campaign; its text is a sentence."""


def read(path: Path) -> dict[str, Any]:
    """Bring back the campaign of an archive; counts of what came.

    Raises Damaged with a sentence that names the entry, AlreadyThere, OSError. Files may then stay in the store, under
    their digests and harmless; no row stays.
    """
    with Reader(path) as archive:
        _can_be_read(archive.manifest)
        told = archive.manifest["campaign"]
        if Campaign.objects.filter(models.Q(key=told["key"]) | models.Q(code=told["code"])).exists():
            raise AlreadyThere(f"This portal has the campaign {told['code']} already, and an archive replaces nothing.")
        return _Arrival(archive).bring()


def _can_be_read(manifest: dict[str, Any]) -> None:
    try:
        known = manifest["format"] == FORMAT and manifest["release"] == RELEASE
        names, told = manifest["tables"], manifest["campaign"]
        for name in ("key", "code"):  # both are looked up, and not every database takes every text
            fitting(Campaign._meta.get_field(name), told[name])
        plain = isinstance(manifest["draft"], str)
        plain = plain and isinstance(names, list) and all(isinstance(name, str) for name in names)
        length, head = manifest["log"]["entries"], manifest["log"]["head"]
    except (KeyError, TypeError, Unfit) as wrong:
        raise Damaged("The entry manifest.json does not say what the archive is.") from wrong
    if not known or not plain or not isinstance(length, int) or not isinstance(head, str):
        raise Damaged("The entry manifest.json is of an archive that this release of the portal cannot read.")
    here = {carried.name_of(table) for table in carried.tables()}
    if unknown := sorted(set(names) - here):
        raise Damaged(f"The entry rows/{unknown[0]}.jsonl is of another release: this portal has no such table.")


class _Arrival:
    """One archive's rows on their way in: each table's primary keys there, by those that they get here."""

    def __init__(self, archive: Reader) -> None:
        self.archive = archive
        self.keys: dict[carried.Table, dict[Any, Any]] = {}
        self.waiting: list[tuple[models.Model, Any, Any, str]] = []  # references to rows that come later
        self.new_accounts: list[User] = []

    def bring(self) -> dict[str, Any]:
        try:
            with transaction.atomic():
                for table in carried.tables():
                    self._table(table)
                self._references()
                campaign = self._campaign()
                self._log(campaign)
                originals = StoredFile.objects.filter(pk__in=list(self.keys[StoredFile].values()))
                archive_files.bring_originals(self.archive, list(originals))
                EmailAddress.objects.bulk_create(
                    EmailAddress(user=user, email=user.email, verified=True, primary=True) for user in self.new_accounts
                )
                written.vouched()
                told = self._proven(campaign)
                works = Work.objects.filter(pk__in=list(self.keys[Work].values()))
                archive_files.bring_made(self.archive, works.iterator(chunk_size=_MANY))
                return told
        except DatabaseError as wrong:
            raise Damaged(f"The rows of the archive do not fit each other: {_first_line(wrong)}.") from wrong

    def _campaign(self) -> Campaign:
        """The one campaign that the archive may bring, as its manifest names it."""
        told = self.archive.manifest["campaign"]
        here = list(Campaign.objects.filter(pk__in=self.keys[Campaign].values()))
        if len(here) != 1 or (here[0].key, here[0].code) != (told["key"], told["code"]):
            raise Damaged(f"The entry {rows_entry(Campaign)} does not hold the one campaign that the manifest names.")
        return here[0]

    def _proven(self, campaign: Campaign) -> dict[str, Any]:
        proof = verify.prove(campaign)
        if proof.breaks:
            where, says = proof.breaks[0]
            raise Damaged(f"The archive is well packed, and what it holds is not whole. {sentence(f'{where}: {says}')}")
        told = self.archive.manifest["log"]
        if (campaign.log_length, campaign.log_head) != (told["entries"], told["head"]):
            raise Damaged(f"The entry {LOG} does not end as the manifest says.")
        try:
            sections.findings(campaign)
        except UNREADABLE as wrong:
            raise Damaged(f"The brief of the archive cannot be drawn up: {wrong}.") from wrong
        return {
            "campaign": campaign.code,
            "title": campaign.title,
            "key": campaign.key,
            "log_entries": proof.entries,
            "versions": proof.versions,
            "files": proof.files,
            "members": proof.members,
            "new_accounts": sorted(user.email for user in self.new_accounts),
            "draft_as_it_was": documents.draft_of(campaign).digest == self.archive.manifest["draft"],
        }

    def _table(self, table: carried.Table) -> None:
        keys = self.keys.setdefault(table, {})
        deferred = {one.attname for one in carried.later(table)}
        lines = self._rows(table, deferred)
        while some := list(islice(lines, _MANY)):
            known = self._known(table, [row for _, row in some])
            new = [row for _, row in some if getattr(row, carried.SHARED.get(table, "pk")) not in known]
            with _fitting_each_other(rows_entry(table)):
                _made_at_their_times(table, new)
            for id, row in some:
                keys[id] = row.pk or known[getattr(row, carried.SHARED[table])]
            if table is User:
                self.new_accounts += new  # type: ignore[arg-type]  # they are of the table

    def _known(self, table: carried.Table, rows: list[models.Model]) -> dict[Any, Any]:
        """What the portal has already: the same person, the same bytes, the same work."""
        name = carried.SHARED.get(table)
        if name is None:
            return {}
        there = table._default_manager.filter(**{f"{name}__in": [getattr(row, name) for row in rows]})
        return dict(there.values_list(name, "pk"))

    def _rows(self, table: carried.Table, deferred: set[str]) -> Iterator[tuple[Any, models.Model]]:
        entry = rows_entry(table)
        fields = {one.attname: one for one in carried.fields(table)}
        for number, plain in self.archive.lines(entry):
            where = f"The entry {entry}, line {number}"
            if not isinstance(plain, dict) or type(plain.get("id")) is not int:
                raise Damaged(f"{where}, is no row.")
            if unknown := sorted(plain.keys() - fields.keys() - {"id"}):
                raise Damaged(f"{where}, has a field that no row here has: {unknown[0]}.")
            row = table()
            for name, field in fields.items():
                if name not in plain:
                    if not (field.has_default() or field.null):
                        raise Damaged(f"{where}, lacks the field {name}.")
                elif name in deferred:
                    self.waiting += [(row, field, plain[name], where)] if plain[name] is not None else []
                else:
                    setattr(row, name, self._value(field, plain[name], where))
            self._complete(row)
            yield plain["id"], row

    def _value(self, field: Any, value: Any, where: str) -> Any:
        if isinstance(field, models.ForeignKey):
            return self._reference(field, value, where)
        try:
            return fitting(field, value)
        except Unfit as wrong:
            raise Damaged(f"{where}, has a {field.name} that cannot be: {wrong}.") from wrong

    def _reference(self, field: Any, value: Any, where: str) -> Any:
        if value is None and field.null:
            return None
        if type(value) is not int or value not in self.keys.get(field.related_model, {}):
            raise Damaged(f"{where}, names a row that the archive does not have ({field.name}).")
        return self.keys[field.related_model][value]

    def _complete(self, row: models.Model) -> None:
        """What the archive does not hold of a row, or holds in an entry of its own."""
        if isinstance(row, User):
            row.set_unusable_password()
            if row.email != row.email.lower():
                raise Damaged(f"The entry {rows_entry(User)} has an address in capital letters: {row.email}.")
        if isinstance(row, Work):
            self._names_only_its_own(row)
        if isinstance(row, Version):
            name = version_entry(row.number)
            with self.archive.open(name) as entry:
                try:
                    row.document = fitting(Version._meta.get_field("document"), entry.read().decode())
                except UnicodeDecodeError as wrong:
                    raise Damaged(f"The entry {name} is not text in UTF-8.") from wrong
                except Unfit as wrong:
                    raise Damaged(f"The entry {name} is no document: {wrong}.") from wrong

    def _names_only_its_own(self, work: Work) -> None:
        """Work names files of the store: those that came with it, and no others that may lie there."""
        for path in paths_in([work.inputs, work.result]):
            entry = file_entry(path.rpartition("/")[2]) if path.startswith("originals/") else path
            if entry not in self.archive.manifest["entries"]:
                raise Damaged(
                    f"The entry {rows_entry(Work)} names a file that the archive does not have: {path[:100]}."
                )

    def _references(self) -> None:
        for row, field, value, where in self.waiting:
            found = self._reference(field, value, where)
            with _fitting_each_other(rows_entry(type(row))):
                type(row)._default_manager.filter(pk=row.pk).update(**{field.attname: found})

    def _log(self, campaign: Campaign) -> None:
        lines = self.archive.lines(LOG)
        while some := list(islice(lines, _MANY)):
            entries = [_entry(campaign, number, plain) for number, plain in some]
            with _fitting_each_other(LOG):
                LogEntry.objects.bulk_create(entries)


@contextmanager
def _fitting_each_other(entry: str) -> Iterator[None]:
    """Two rows where one can be, or what else a table refuses, is said of the entry that they come from."""
    try:
        yield
    except DatabaseError as wrong:
        raise Damaged(f"The entry {entry} has rows that do not fit each other: {_first_line(wrong)}.") from wrong


def _first_line(wrong: DatabaseError) -> str:
    """The rest repeats what the row holds."""
    return str(wrong).partition("\n")[0].rstrip(".")


def _entry(campaign: Campaign, number: int, plain: Any) -> LogEntry:
    where = f"The entry {LOG}, line {number}"
    if not isinstance(plain, dict) or not {*chain.FIELDS, "digest"} <= plain.keys():
        raise Damaged(f"{where}, is no entry of a log.")
    if plain["campaign"] != campaign.key:
        raise Damaged(f"{where}, is of another campaign.")
    told: dict[str, Any] = {}
    for name in (*chain.FIELDS[1:], "digest", chain.ROWS):
        try:
            told[name] = fitting(LogEntry._meta.get_field(name), plain.get(name, ""))
        except Unfit as wrong:
            raise Damaged(f"{where}, has a {name} that cannot be: {wrong}.") from wrong
    return LogEntry(campaign=campaign, **told)


def _made_at_their_times(table: carried.Table, rows: list[models.Model]) -> None:
    """Make rows. Django puts the present moment into some of their times: those of the archive are written over it."""
    names = [one.name for one in carried.fields(table) if getattr(one, "auto_now_add", False)]
    times = [[getattr(row, name) for name in names] for row in rows]
    table._default_manager.bulk_create(rows)
    if names and rows:
        for row, kept in zip(rows, times, strict=True):
            for name, value in zip(names, kept, strict=True):
                setattr(row, name, value)
        table._default_manager.bulk_update(rows, names)
