"""Two people at one thing: what an editor read, what stands now, and which fields are written.

A form carries the fields as they were read. Under the campaign's lock the act compares: a field that I alone changed is
written, one that somebody else alone changed is left as it is, and where both changed a field differently nothing is
written and both are shown. What was read comes from the form, so no state is kept for it; None, as scripts and commands
call an act, writes everything.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models, router
from django.db.models.deletion import Collector
from django.utils import timezone
from django.utils.dateformat import format as written

from portal.access import Audience
from portal.people.models import Member
from portal.sealing import words
from portal.sealing.models import LogEntry
from portal.talk import subjects

Read = Mapping[str, Any] | None
_UNKNOWN = object()
# Entries of the log in which we look for who it was.
_LOOKED_AT = 50


@dataclass(frozen=True)
class Theirs:
    """A field that somebody else changed while I wrote: as I read it, as it stands, and who did it as the log has it.

    `did` is said of them: "wrote this", or "changed what belongs with it". `stands`: what stands, in words, where the
    sentence has to tell it because no field can show it.
    """

    was: Any
    now: Any
    who: str = "Somebody"
    when: str = ""
    did: str = "wrote this"
    meanwhile: str = "while you were writing"
    stands: str = ""

    @property
    def says(self) -> str:
        """The sentence beside the field."""
        told = f": {self.stands}" if self.stands else ""
        return f"{self.who} {self.did}{self.when} {self.meanwhile}{told}. Keep yours, or take theirs."


@dataclass(frozen=True)
class Telling:
    """How a change of somebody else's is told: acts of the log that make it, what is said of it, its value in words.

    `beside`: what is said, with acts of its own, when not the field itself was changed but what it rests on.
    """

    acts: tuple[str, ...]
    did: str = "wrote this"
    meanwhile: str = "while you were writing"
    beside: str = "changed what belongs with it"
    beside_acts: tuple[str, ...] = ()
    say: Callable[[Any], str] = lambda _: ""


class ChangedMeanwhile(ValidationError):
    """Nothing was written: `theirs` by field. `stands` has all fields as they stand, `mine` names those I changed."""

    def __init__(self, theirs: Mapping[str, Theirs], stands: Mapping[str, Any], mine: Iterable[str]) -> None:
        super().__init__({name: one.says for name, one in theirs.items()})
        self.theirs, self.stands, self.mine = dict(theirs), dict(stands), set(mine)


class TouchedMeanwhile(ValidationError):
    """Nothing was removed or switched: `told` says in the log's words what others did to it since it was read."""

    def __init__(self, told: list[str]) -> None:
        super().__init__(told)
        self.told = told


def plain(value: Any) -> Any:
    """A value as a form carries it and as two are compared: dates as ISO 8601, one kind of line end, no outer space."""
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, str):
        return str(value).replace("\r\n", "\n").strip()
    if isinstance(value, list | tuple):
        return [plain(part) for part in value]
    if isinstance(value, Mapping):
        return {str(key): plain(part) for key, part in value.items()}
    return value


def settle(
    by: Member,
    read: Read,
    now: Mapping[str, Any],
    typed: Mapping[str, Any],
    *,
    subject: str | tuple[str, ...],
    telling: Telling,
    together: Iterable[tuple[str, ...]] = (),
    rests: Mapping[str, Any] | None = None,
) -> dict[str, Any]:
    """Which of the fields in `typed` are written, with the campaign's row held.

    `now`: the fields as they stand. `subject` is that of the log's entries that change them, or several. `together`:
    fields that make sense only with each other; a change of one is a change of all. `rests`: what the fields were
    chosen by, as it stands, such as the mockup that a zone was drawn on; the form has read that as well.
    Raises ChangedMeanwhile.
    """
    if read is None:
        return dict(typed)
    mine = {name for name, value in typed.items() if _differ(value, read.get(name, _UNKNOWN))}
    theirs = {name for name in typed if _differ(now[name], read.get(name, _UNKNOWN))}
    asked = mine & theirs
    for group in together:
        if mine & set(group) and theirs & set(group):
            asked |= set(group) & set(typed)
    rests = rests or {}
    if any(_differ(value, read.get(name, _UNKNOWN)) for name, value in rests.items()):
        asked |= mine
    asked = {name for name in asked if _differ(typed[name], now[name])}
    if asked:
        found = _newest(by, subject, telling.acts + telling.beside_acts)
        both = {
            name: _theirs(by, found, name, read.get(name), now[name], telling, itself=name in theirs)
            for name in typed
            if name in asked
        }
        raise ChangedMeanwhile(both, plain({**now, **rests}), mine | asked)
    return {name: typed[name] for name in typed if name in mine}


def leave_if_touched(by: Member, read: int | None, row: models.Model) -> None:
    """Refuse to remove a row when others did something to it, or to what goes with it, after the log's `read`-th entry.

    With the campaign's row held. Raises TouchedMeanwhile.
    """
    if read is None:
        return
    keys = _keys_of(row)
    refuse_if(by, [entry for entry in since(by, read) if entry.subject.partition("/")[2] in keys])


def refuse_if(by: Member, touched: list[LogEntry]) -> None:
    """Raise TouchedMeanwhile that tells these entries, unless there are none."""
    if touched:
        raise TouchedMeanwhile(told(by, touched))


def since(by: Member, read: int, acts: Iterable[str] = (), on: Iterable[str] = ()) -> list[LogEntry]:
    """What others did in the campaign after the log's `read`-th entry: what everyone may read, and no talk.

    Of these `acts` and `on` these subjects alone, where they are given.
    """
    found = LogEntry.objects.filter(campaign=by.campaign_id, sequence__gt=read, audience=Audience.EVERYONE)
    if acts:
        found = found.filter(act__in=list(acts))
    if on:
        found = found.filter(subject__in=list(on))
    return list(found.exclude(actor=by.key).exclude(act__startswith="comment.").order_by("sequence"))


def told(by: Member, entries: Iterable[LogEntry]) -> list[str]:
    """Entries in the log's words."""
    entries = list(entries)
    named = subjects.many(by.campaign, {entry.subject for entry in entries})
    return [words.say(entry, named) for entry in entries]


def _differ(one: Any, other: Any) -> bool:
    return bool(plain(one) != plain(other))


def _theirs(
    by: Member, found: list[LogEntry], name: str, was: Any, now: Any, telling: Telling, *, itself: bool
) -> Theirs:
    acts = telling.acts if itself else telling.beside_acts or telling.acts
    found = [entry for entry in found if entry.act in acts]
    entry = next((entry for entry in found if _tells(entry, name)), None) or next(iter(found), None)
    who, when = "Somebody", ""
    if entry:
        who = "You, in another window," if entry.actor == by.key else entry.actor_name
        when = f" at {clock(entry)}"
    did = telling.did if itself else telling.beside
    return Theirs(was, plain(now), who, when, did, telling.meanwhile, telling.say(now))


def clock(entry: LogEntry) -> str:
    """When an entry was written: the time of day, with the date where that is not today."""
    at = timezone.localtime(entry.at)
    return written(at, "H:i" if at.date() == timezone.localdate() else "H:i \\o\\n j F")


def _newest(by: Member, subject: str | tuple[str, ...], acts: tuple[str, ...]) -> list[LogEntry]:
    """The newest entries of these acts on these things, newest first."""
    on = [subject] if isinstance(subject, str) else list(subject)
    found = LogEntry.objects.filter(campaign=by.campaign_id, subject__in=on, act__in=acts)
    return list(found.order_by("-sequence")[:_LOOKED_AT])


def _tells(entry: LogEntry, name: str) -> bool:
    """Whether an entry changed this field; one whose `now` is a value of its own has but one field."""
    now = entry.payload.get("now")
    return name in now if isinstance(now, Mapping) else True


def _keys_of(row: models.Model) -> set[str]:
    """Keys of a row and of all rows that go with it when it is removed."""
    collector = Collector(using=router.db_for_write(type(row), instance=row))
    collector.collect([row])
    loaded = (one for rows in collector.data.values() for one in rows)
    keys = {one.key for one in loaded if hasattr(one, "key")}
    for rows in collector.fast_deletes:
        if any(field.name == "key" for field in rows.model._meta.get_fields()):
            keys.update(rows.values_list("key", flat=True))
    return keys
