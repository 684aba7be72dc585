"""The store: files on this machine's disk, each there whole or not at all."""

import os
import secrets
from pathlib import Path

from django.core.files.base import File
from django.core.files.storage import FileSystemStorage


class WholeFiles(FileSystemStorage):
    """Django opens a file under its final name and writes into it afterwards.

    A write that is broken off would leave the beginning of an original under the original's digest, and the next upload
    of the same bytes would take it for them. What a killed process leaves here ends in ".part" and is looked at by
    nobody.
    """

    def _save(self, name: str, content: "File[bytes]") -> str:
        beside = f"{name}.{secrets.token_hex(8)}.part"
        part = Path(self.path(beside))
        try:
            super()._save(beside, content)  # type: ignore[misc]  # the stubs leave it out
            with part.open("rb") as written:
                os.fsync(written.fileno())
            part.replace(self.path(name))
        finally:
            part.unlink(missing_ok=True)
        return name
