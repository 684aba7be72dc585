"""Writing a campaign's archive: documents, originals, the pictures of pages, the log and the rows, as a stream."""

import json
import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from django.core.files.storage import default_storage
from django.utils import timezone

from portal.brief import documents, sections
from portal.brief.models import Campaign
from portal.files.models import StoredFile
from portal.record.archive import NAME, Writer
from portal.record.proving import files_named
from portal.sealing import archive_page, archive_schema, carried
from portal.sealing.story import as_plain
from portal.work.models import Work

FORMAT, RELEASE = "campaign archive", 1
LOG = "log.jsonl"
_PATH = re.compile(r"(derived|originals)/.+")


class Moved(Exception):
    """Somebody acted while the archive was written, so that its parts would not fit each other."""


def version_entry(number: int) -> str:
    return f"versions/{number}.json"


def rows_entry(table: carried.Table) -> str:
    return f"rows/{carried.name_of(table)}.jsonl"


def file_entry(sha256: str) -> str:
    return f"originals/{sha256}"


def write(campaign: Campaign, path: Path) -> dict[str, Any]:
    """Write the archive to `path`; counts, and the SHA-256 of its seal.

    Raises Moved; FileNotFoundError where an original is not in the store: prove the campaign first.
    """
    draft = documents.draft_of(campaign)
    with Writer(path) as out:
        files = set(files_named(draft.document))
        numbers = []
        for version in campaign.versions.order_by("number").iterator(chunk_size=1):
            out.add(version_entry(version.number), [version.document.encode()])
            files |= set(files_named(json.loads(version.document)))
            numbers.append(version.number)
        rows = carried.Rows(campaign, files)
        made = _made(rows)
        for table in carried.tables():
            out.add(rows_entry(table), _lines(_told(row, made) for row in rows.of(table)))
        out.add(LOG, _lines(as_plain(entry, campaign.key) for entry in carried.entries_of(campaign)))
        for stored in rows.of(StoredFile):
            assert isinstance(stored, StoredFile)  # noqa: S101  for the type checker
            out.add(file_entry(stored.sha256), _bytes(stored.path), packed=False)
        for name in sorted(made):
            out.add(name, _bytes(name), packed=False)
        for name, schema in archive_schema.all_of_them().items():
            out.add(f"schema/{name}.schema.json", [json.dumps(schema, ensure_ascii=False, indent=1).encode()])
        for name, page in archive_page.pages(campaign, draft, made):
            out.add(name, page)
        now = Campaign.objects.values_list("log_length", flat=True).get(pk=campaign.pk)
        if now != campaign.log_length:
            raise Moved
        seal = out.finish(_about(campaign, draft))
    return {
        "campaign": campaign.code,
        "title": campaign.title,
        "entries": len(out.entries) + 1,
        "versions": len(numbers),
        "log_entries": campaign.log_length,
        "files": sum(name.startswith("originals/") for name in out.entries),
        "bytes": path.stat().st_size,
        "sha256": seal,
    }


def _about(campaign: Campaign, draft: documents.Brief) -> dict[str, Any]:
    return {
        "format": FORMAT,
        "release": RELEASE,
        "campaign": {"key": campaign.key, "code": campaign.code, "title": campaign.title},
        "written_at": timezone.now().isoformat(timespec="seconds"),
        "log": {"entries": campaign.log_length, "head": campaign.log_head},
        "draft": draft.digest,
        "tables": [carried.name_of(table) for table in carried.tables()],
        "sections": {section.name: section.title for section in sections.sections()},
    }


def _made(rows: carried.Rows) -> set[str]:
    """The files that the worker has made for these rows, by their names in the store; those that are there."""
    found: set[str] = set()
    for work in rows.of(Work):
        assert isinstance(work, Work)  # noqa: S101  for the type checker
        found |= _made_by(work)
    return {name for name in found if NAME.fullmatch(name) and default_storage.exists(name)}


def paths_in(value: Any) -> Iterator[str]:
    """The names of files in the store that plain data holds, at any depth."""
    if isinstance(value, str):
        if _PATH.fullmatch(value):
            yield value
    elif isinstance(value, dict | list):
        for held in value.values() if isinstance(value, dict) else value:
            yield from paths_in(held)


def _made_by(work: Work) -> set[str]:
    return {path for path in paths_in(work.result) if path.startswith("derived/")}


def _told(row: Any, made: set[str]) -> dict[str, Any]:
    """A row; work whose files are gone, or that was under way, is owed again."""
    told = carried.plain(row)
    if isinstance(row, Work) and (row.open or not _made_by(row) <= made):
        told |= {"state": Work.State.OWED.value, "result": {}, "says": "", "ended_at": None}
    return told


def _lines(plain: Iterable[dict[str, Any]]) -> Iterator[bytes]:
    for one in plain:
        yield json.dumps(one, ensure_ascii=False).encode() + b"\n"


def _bytes(name: str) -> Iterator[bytes]:
    with default_storage.open(name) as source:
        yield from source.chunks(1 << 20)
