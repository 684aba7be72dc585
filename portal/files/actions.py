"""Keeping originals: the only code that writes to the store."""

import hashlib
from typing import BinaryIO

from django.core.files import File
from django.core.files.storage import default_storage

from portal.files.models import StoredFile


def keep(source: File, *, type: str, width: int, height: int) -> StoredFile:
    """Store a file under its SHA-256; the same bytes are kept once.

    `type`, `width` and `height` (px) are what its bytes said when they were checked. Called by an action,
    inside its transaction; should that fail, the bytes stay in the store, harmless, until they come again.
    """
    sha256 = getattr(source, "sha256", None) or _sha256(source)
    stored = StoredFile(sha256=sha256, bytes=source.size, type=type, width=width, height=height)
    if not is_whole(stored.path, source.size):
        source.seek(0)
        default_storage.delete(stored.path)
        default_storage.save(stored.path, source)
    found, _ = StoredFile.objects.get_or_create(
        sha256=sha256, defaults={"bytes": source.size, "type": type, "width": width, "height": height}
    )
    return found


def is_whole(path: str, size: int) -> bool:
    """Whether the store has a file of this name and size (bytes): one that was broken off once is shorter."""
    return default_storage.exists(path) and default_storage.size(path) == size


def _sha256(source: BinaryIO | File) -> str:
    source.seek(0)
    return hashlib.file_digest(source, "sha256").hexdigest()  # type: ignore[arg-type]
