"""Pictures that come to the portal's own topics: the room that decodes pictures declares how it receives them.

The portal knows no image format. `layouts` registers its hands when it is loaded; what cannot be taken is a
ValidationError with a sentence, and pages show re-encoded copies that the worker made, never the bytes that came.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from django.core.files import File

from portal.files.models import StoredFile
from portal.work.models import Work


@dataclass(frozen=True)
class Hands:
    """What the room does for the portal.

    `keep` checks a file by its head and stores it (raises ValidationError on "file"). `owe` owes the copy for pages;
    inside a transaction, the same row each time. `copies` finds that work by SHA-256, in one query: done, its result
    holds {"photo": {path, type, width, height, bytes}}.
    """

    keep: Callable[[File], StoredFile]
    owe: Callable[[StoredFile], Work]
    copies: Callable[[Iterable[StoredFile | None]], dict[str, Work]]


_hands: list[Hands] = []


def register(hands: Hands) -> None:
    """Called once, from the room's AppConfig.ready."""
    _hands[:] = [hands]


def keep(file: File) -> StoredFile:
    return _hands[0].keep(file)


def owe_copy(stored: StoredFile) -> Work:
    return _hands[0].owe(stored)


def copies(files: Iterable[StoredFile | None]) -> dict[str, Work]:
    return _hands[0].copies(files)


def copy_in(work: Work | None) -> dict[str, Any]:
    """The copy that the work has made; empty where there is none yet."""
    return (work.result.get("photo") or {}) if work and work.state == Work.State.DONE else {}
