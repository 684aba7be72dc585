"""A file that has just come: as a path that image libraries can open, and as a picture in the store."""

import contextlib
import tempfile
from collections.abc import Iterator
from pathlib import Path

from django.core.files import File

from layouts.imaging.decoding import files
from layouts.imaging.errors import Refused
from portal.brief.draft import refuse
from portal.files.actions import keep
from portal.models import StoredFile


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


def keep_picture(file: File) -> StoredFile:
    """Check by its head that a file is a picture, and store it. Raises ValidationError on "file" with a sentence."""
    try:
        with on_disk(file) as path:
            facts = files.check_picture(path)
    except Refused as reason:
        raise refuse("file", reason.sentence) from reason
    return keep(file, type=facts.type, width=facts.width, height=facts.height)
