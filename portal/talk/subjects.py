"""What can be talked about: each kind of subject is declared by the topic that owns its rows."""

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass

from portal.brief.models import Campaign


@dataclass(frozen=True)
class Subject:
    """What a thread is about: its name for people, and the page where it is seen."""

    label: str
    url: str

    @property
    def within(self) -> str:
        """The label as it stands within a sentence: "shot 3, The bun"."""
        return f"shot {self.label[5:]}" if self.label.startswith("Shot ") else self.label


class NoSuchSubject(LookupError):
    """Nothing of this kind and key is in the campaign."""


Find = Callable[[Campaign, Collection[str]], dict[str, Subject]]
_kinds: dict[str, Find] = {}


def register(kind: str, find: Find) -> None:
    """Declare a kind: `find` looks up all keys in one query, and only among the campaign's own rows."""
    _kinds[kind] = find


def written(kind: str, key: str) -> str:
    """A subject as comments and log entries hold it."""
    return f"{kind}/{key}"


def one(campaign: Campaign, kind: str, key: str) -> Subject:
    """The subject. Raises NoSuchSubject, also for a kind that nobody has declared."""
    found = many(campaign, [written(kind, key)])
    if not found:
        raise NoSuchSubject(written(kind, key))
    return found[written(kind, key)]


def many(campaign: Campaign, subjects: Iterable[str]) -> dict[str, Subject]:
    """Those of the written subjects that are there; one query a kind."""
    keys: dict[str, set[str]] = {}
    for subject in subjects:
        kind, _, key = subject.partition("/")
        keys.setdefault(kind, set()).add(key)
    found: dict[str, Subject] = {}
    for kind, wanted in keys.items():
        if kind in _kinds:
            here = _kinds[kind](campaign, wanted)
            found |= {written(kind, key): subject for key, subject in here.items()}
    return found
