"""The files of an archive on their way into the store: each is what its name says, and none replaces another."""

from collections.abc import Iterable

from django.core.files import File
from django.core.files.storage import default_storage

from portal.files.actions import is_whole
from portal.files.models import StoredFile
from portal.files.sending import MIME
from portal.record.archive import Damaged, Reader
from portal.sealing.archive_out import file_entry, paths_in
from portal.work.models import Work


def bring_originals(archive: Reader, rows: Iterable[StoredFile]) -> None:
    """Put the originals of these rows into the store. Raises Damaged where an entry is not the file of its name."""
    for row in rows:
        entry = file_entry(row.sha256)
        if entry not in archive.manifest["entries"]:
            raise Damaged(f"The entry {entry} is missing.")
        # The reader has held the entry's bytes to what the manifest says of it.
        told = archive.manifest["entries"][entry]
        if (told["sha256"], told["bytes"]) != (row.sha256, row.bytes):
            raise Damaged(f"The entry {entry} is not the file that its name says.")
        if row.type not in MIME:
            raise Damaged(f"The entry {entry} is of a kind that no portal keeps: {row.type}.")
        if not is_whole(row.path, row.bytes):
            default_storage.delete(row.path)
            _store(archive, entry, row.path)


def bring_made(archive: Reader, rows: Iterable[Work]) -> None:
    """Put what the worker had made for these rows into the store, where that is not there already.

    Nothing else: a file to which no row leads would lie there for good.
    """
    named = {path for work in rows for path in paths_in(work.result) if path.startswith("derived/")}
    for name in sorted(named & archive.manifest["entries"].keys()):
        if not default_storage.exists(name):
            _store(archive, name, name)


def _store(archive: Reader, entry: str, path: str) -> None:
    with archive.open(entry) as source:
        default_storage.save(path, File(source))
