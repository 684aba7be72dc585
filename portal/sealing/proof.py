"""What proving a campaign has found, and how its log is read for it."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.core.exceptions import ObjectDoesNotExist

from portal.brief.models import Campaign
from portal.sealing.models import LogEntry

# What comes of plain data that has another shape than the portal gives it.
UNREADABLE = (ArithmeticError, AttributeError, LookupError, ObjectDoesNotExist, RecursionError, TypeError, ValueError)
MANY = 500  # rows read at a time
# A row and the entry that tells of it are written in one transaction.
_TOGETHER = timedelta(minutes=1)


@dataclass
class Proof:
    """What was checked, and the breaks that were found, the first first: (where, what).

    `remarks` are no breaks: what may well have come about rightly, and which nothing in the campaign can prove.
    """

    entries: int = 0
    versions: int = 0
    sign_offs: int = 0
    changes: int = 0
    members: int = 0
    rows: int = 0
    files: int = 0
    bytes: int = 0
    breaks: list[tuple[str, str]] = field(default_factory=list)
    remarks: list[tuple[str, str]] = field(default_factory=list)

    def note(self, where: str, says: str) -> None:
        self.breaks.append((where, says))

    def note_besides(self, where: str, says: str) -> None:
        """Note a break where none is noted yet: a sentence that says more has gone before."""
        if all(noted != where for noted, _ in self.breaks):
            self.note(where, says)

    @contextmanager
    def reading(self, where: str) -> Iterator[None]:
        """Note a break where what is stored has not even the form of what the portal writes."""
        try:
            yield
        except UNREADABLE as wrong:
            self.note(where, f"it cannot be read, for it is not what the portal writes ({type(wrong).__name__})")

    def remark(self, where: str, says: str) -> None:
        self.remarks.append((where, says))


def logged(campaign: Campaign, *acts: str) -> Iterator[LogEntry]:
    """The campaign's entries of some acts, in order."""
    return campaign.log.filter(act__in=acts).order_by("sequence").iterator(chunk_size=MANY)


def together(one: datetime, other: datetime) -> bool:
    return abs(one - other) <= _TOGETHER
