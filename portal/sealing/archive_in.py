"""Bringing a campaign back from its archive: all of it, proven, or nothing at all."""

from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import Any

from allauth.account.models import EmailAddress
from django.core.exceptions import ValidationError
from django.core.files import File
from django.core.files.storage import default_storage
from django.db import DatabaseError, models, transaction

from portal.brief import documents
from portal.brief.models import Campaign, Version
from portal.files.models import StoredFile
from portal.people.models import User
from portal.record import chain
from portal.record.archive import Damaged, Reader
from portal.sealing import carried, verify, written
from portal.sealing.archive_out import FORMAT, LOG, RELEASE, file_entry, paths_in, rows_entry, version_entry
from portal.sealing.models import LogEntry
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
        plain = isinstance(told["key"], str) and isinstance(told["code"], str) and isinstance(manifest["draft"], str)
        length, head = manifest["log"]["entries"], manifest["log"]["head"]
    except (KeyError, TypeError) as wrong:
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
        self.waiting: list[tuple[models.Model, Any, Any]] = []  # references to rows that come later
        self.new_accounts: list[User] = []

    def bring(self) -> dict[str, Any]:
        try:
            with transaction.atomic():
                for table in carried.tables():
                    self._table(table)
                self._references()
                campaign = Campaign.objects.get(key=self.archive.manifest["campaign"]["key"])
                self._log(campaign)
                self._files()
                EmailAddress.objects.bulk_create(
                    EmailAddress(user=user, email=user.email, verified=True, primary=True) for user in self.new_accounts
                )
                written.vouched()
                return self._proven(campaign)
        except DatabaseError as wrong:
            raise Damaged(f"The rows of the archive do not fit each other: {wrong}") from wrong

    def _proven(self, campaign: Campaign) -> dict[str, Any]:
        proof = verify.prove(campaign)
        if proof.breaks:
            where, says = proof.breaks[0]
            raise Damaged(f"The archive is well packed, and what it holds is not whole. {sentence(f'{where}: {says}')}")
        told = self.archive.manifest["log"]
        if (campaign.log_length, campaign.log_head) != (told["entries"], told["head"]):
            raise Damaged(f"The entry {LOG} does not end as the manifest says.")
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
            if not isinstance(plain, dict) or not isinstance(plain.get("id"), int):
                raise Damaged(f"{where}, is no row.")
            if unknown := sorted(plain.keys() - fields.keys() - {"id"}):
                raise Damaged(f"{where}, has a field that no row here has: {unknown[0]}.")
            row = table()
            for name, field in fields.items():
                if name not in plain:
                    if not (field.has_default() or field.null):
                        raise Damaged(f"{where}, lacks the field {name}.")
                elif name in deferred:
                    self.waiting += [(row, field, plain[name])] if plain[name] is not None else []
                else:
                    setattr(row, name, self._value(field, plain[name], where))
            self._complete(row)
            yield plain["id"], row

    def _value(self, field: Any, value: Any, where: str) -> Any:
        if isinstance(field, models.ForeignKey):
            if value is None and field.null:
                return None
            if value not in self.keys.get(field.related_model, {}):
                raise Damaged(f"{where}, names a row that the archive does not have ({field.name}).")
            return self.keys[field.related_model][value]
        if value is None and not field.null:
            raise Damaged(f"{where}, has nothing for {field.name}.")
        try:
            if isinstance(field, models.CharField | models.TextField) and not isinstance(value, str | None):
                raise ValidationError("This is no text.")
            found = field.to_python(value)
            if found not in field.empty_values:
                field.run_validators(found)
        except (ValidationError, TypeError, ValueError) as wrong:
            said = wrong.messages[0] if isinstance(wrong, ValidationError) else str(wrong)
            raise Damaged(f"{where}, has a {field.name} that cannot be: {said}") from wrong
        # Empty where nothing has been chosen: whether it may be, the field itself has said.
        chosen = {choice for choice, _ in field.flatchoices} | ({None, ""} if field.blank else {None})
        if field.choices and found not in chosen:
            raise Damaged(f"{where}, has a {field.name} that cannot be: {str(found)[:80]!r}.")
        return found

    def _complete(self, row: models.Model) -> None:
        """What the archive does not hold of a row, or holds in an entry of its own."""
        if isinstance(row, User):
            row.set_unusable_password()
        if isinstance(row, Work):
            self._names_only_its_own(row)
        if isinstance(row, Version):
            name = version_entry(row.number)
            with self.archive.open(name) as entry:
                try:
                    row.document = entry.read().decode()
                except UnicodeDecodeError as wrong:
                    raise Damaged(f"The entry {name} is not text in UTF-8.") from wrong

    def _names_only_its_own(self, work: Work) -> None:
        """Work names files of the store: those that came with it, and no others that may lie there."""
        for path in paths_in([work.inputs, work.result]):
            entry = file_entry(path.rpartition("/")[2]) if path.startswith("originals/") else path
            if entry not in self.archive.manifest["entries"]:
                raise Damaged(
                    f"The entry {rows_entry(Work)} names a file that the archive does not have: {path[:100]}."
                )

    def _references(self) -> None:
        for row, field, value in self.waiting:
            if value not in self.keys.get(field.related_model, {}):
                name = carried.name_of(type(row))
                raise Damaged(f"The entry rows/{name}.jsonl names a row that the archive does not have ({field.name}).")
            found = self.keys[field.related_model][value]
            type(row)._default_manager.filter(pk=row.pk).update(**{field.attname: found})

    def _log(self, campaign: Campaign) -> None:
        lines = self.archive.lines(LOG)
        while some := list(islice(lines, _MANY)):
            LogEntry.objects.bulk_create(_entry(campaign, number, plain) for number, plain in some)

    def _files(self) -> None:
        """Originals under their digests, and what the worker made of them; what the store has already stays."""
        for stored in StoredFile.objects.filter(pk__in=list(self.keys[StoredFile].values())).iterator(chunk_size=_MANY):
            self._store(file_entry(stored.sha256), stored.path)
        for name in self.archive.manifest["entries"]:
            if name.startswith("derived/"):
                self._store(name, name)

    def _store(self, entry: str, path: str) -> None:
        if not default_storage.exists(path):
            with self.archive.open(entry) as source:
                default_storage.save(path, File(source))


def _entry(campaign: Campaign, number: int, plain: Any) -> LogEntry:
    if not isinstance(plain, dict) or not {*chain.FIELDS, "digest"} <= plain.keys():
        raise Damaged(f"The entry {LOG}, line {number}, is no entry of a log.")
    told = {name: plain[name] for name in (*chain.FIELDS, "digest")} | {"campaign": campaign}
    told[chain.ROWS] = plain.get(chain.ROWS, "")
    try:
        told["at"] = models.DateTimeField().to_python(plain["at"])
    except (ValidationError, TypeError) as wrong:
        raise Damaged(f"The entry {LOG}, line {number}, has no time.") from wrong
    return LogEntry(**told)


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
