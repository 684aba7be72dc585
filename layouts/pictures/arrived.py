"""A file that has just come, as a path that image libraries can open."""

import contextlib
import tempfile
from collections.abc import Iterator
from pathlib import Path

from django.core.files import File


@contextlib.contextmanager
def on_disk(file: File) -> Iterator[Path]:
    """Where the file lies on this disk; a copy, for as long as it is needed, where it lies in memory."""
    if hasattr(file, "temporary_file_path"):
        yield Path(file.temporary_file_path())
        return
    with tempfile.NamedTemporaryFile() as copy:
        file.seek(0)
        for chunk in file.chunks():
            copy.write(chunk)
        copy.flush()
        yield Path(copy.name)
