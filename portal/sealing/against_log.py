"""Walking rows against the log, both ways: what of a row must stand in which entry is declared by each topic."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Generic, TypeVar

from portal.brief.models import Campaign
from portal.sealing.models import LogEntry
from portal.sealing.proof import Proof, logged, together

Row = TypeVar("Row")


@dataclass(frozen=True)
class Fact(Generic[Row]):
    """Something that the row holds and the entry tells; `says` ends the sentence where the two differ."""

    held: Callable[[Row], Any]
    told: Callable[[LogEntry], Any]
    says: str | Callable[[Row, LogEntry], str]

    def differs(self, row: Row, entry: LogEntry) -> str:
        if self.held(row) == self.told(entry):
            return ""
        return self.says if isinstance(self.says, str) else self.says(row, entry)


def by(who: Callable[[Row], str | None], says: str) -> Fact[Row]:
    """That the member with this key did it."""
    return Fact(who, lambda entry: entry.actor, says)


@dataclass(frozen=True)
class Step(Generic[Row]):
    """Something that becomes of a row once, in one of `acts`: when by its row, and what the entry must tell of it.

    `came` says whether it has come about by the row. Of the sentences' ends `not_logged` is for one that has and that
    the log does not know, `not_held` for the reverse, `other_time` for one of another moment.
    """

    acts: tuple[str, ...]
    at: Callable[[Row], datetime | None]
    facts: Sequence[Fact[Row]]
    came: Callable[[Row], bool] = lambda _: True
    not_logged: str = "the log does not know it"
    not_held: str = ""
    other_time: str = "its time is not the one that the log has"

    def differs(self, row: Row, entry: LogEntry | None) -> str:
        """What is wrong with a row, as the end of a sentence; empty for one that is as the log has it."""
        if entry is None:
            return self.not_logged if self.came(row) else ""
        if self.not_held and not self.came(row):
            return self.not_held
        if says := next((says for fact in self.facts if (says := fact.differs(row, entry))), ""):
            return says
        at = self.at(row)
        return "" if at and together(at, entry.at) else self.other_time


@dataclass(frozen=True)
class Kept(Generic[Row]):
    """A kind of rows that the log tells of: its word in the log's subjects, and what becomes of one, in order.

    `called` names a row in what is noted, `called_in_log` one of which only its entry is left. `besides` finds what
    neither tells, as the end of a sentence.
    """

    kind: str
    steps: Sequence[Step[Row]]
    called: Callable[[Row], str]
    called_in_log: Callable[[LogEntry], str]
    key: Callable[[Row], str]
    besides: Callable[[Row], str] = lambda _: ""

    def prove(self, campaign: Campaign, proof: Proof, rows: Iterable[Row]) -> None:
        """Note each row that is not as the log has it, and each that the log knows and that is gone."""
        left = [{entry.subject: entry for entry in logged(campaign, *step.acts)} for step in self.steps]
        for row in rows:
            subject = f"{self.kind}/{self.key(row)}"
            entries = [entries.pop(subject, None) for entries in left]
            pairs = zip(self.steps, entries, strict=True)
            said = (says for step, entry in pairs if (says := step.differs(row, entry)))
            if says := next(said, "") or self.besides(row):
                proof.note(self.called(row), says)
        gone: dict[str, LogEntry] = {}
        for entries_left in left:
            gone = entries_left | gone
        for entry in sorted(gone.values(), key=lambda entry: entry.sequence):
            proof.note(self.called_in_log(entry), "the log knows it, and it is gone")
