"""The places of a brief that a change can open: a section, and a shot's key or "" for the whole section."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from portal.brief import sections
from portal.brief.fields import Words
from portal.brief.sections import Section
from portal.site.sentences import joined

Place = tuple[str, str]
# What follows from elsewhere and is opened by nobody by name.
NEVER = ("changes", "change-money", "waivers", "rounds")
_CALLED = {"campaign": "terms"}
# What a section is called where one shot of it is meant.
OF_A_SHOT = {"shots": "text", "formats": "placements"}
_SHOWN = 4


@dataclass(frozen=True)
class Offer:
    """A section that can be opened: its title, and whether single shots of it can be."""

    section: str
    title: str
    by_shot: bool


@dataclass(frozen=True)
class Shot:
    """A shot of the locked version."""

    key: str
    number: int
    title: str


def offers() -> list[Offer]:
    """Sections that a change can open, in the order of the brief."""
    return [Offer(one.name, called(one), _by_shot(one)) for one in sections.sections() if one.name not in NEVER]


def called(section: Section) -> str:
    """What the section is called among places: "Terms", "Hero food"."""
    return _CALLED.get(section.name, section.title).capitalize()


def shots(document: Mapping[str, Any]) -> list[Shot]:
    """The shots of a document, in order; none where it has no such section."""
    rows = document.get("shots")
    return [Shot(row["id"], row["number"], row["title"]) for row in rows] if isinstance(rows, list) else []


def chosen(document: Mapping[str, Any], opens: Iterable[Sequence[str]]) -> tuple[list[Place], str]:
    """The places as they are kept, each once and in the order of the brief, and the same in words.

    A whole section takes in its shots. Raises ValueError with a sentence for a place that the document does not have.
    """
    known, numbers = {offer.section: offer for offer in offers()}, {shot.key: shot for shot in shots(document)}
    wanted: dict[str, set[str]] = {}
    for one in opens:
        section, shot = (*one, "")[:2]
        offer = known.get(section)
        if offer is None or (shot and (shot not in numbers or not offer.by_shot)):
            raise ValueError("One of the places to be opened is not in the locked version. Choose them again.")
        wanted.setdefault(section, set()).add(shot)
    places: list[Place] = []
    of_shots: dict[tuple[int, ...], list[str]] = {}
    for section, offer in known.items():
        if section in wanted:
            keys = [""] if "" in wanted[section] else [key for key in numbers if key in wanted[section]]
            places += [(section, key) for key in keys]
            of_shots.setdefault(tuple(numbers[key].number for key in keys if key), []).append(_named(offer, keys[0]))
    said = [part for shots, titles in of_shots.items() for part in _words(shots, titles)]
    more = [f"{len(said) - _SHOWN} more"] if len(said) > _SHOWN + 1 else []
    return places, joined([*(said[:_SHOWN] if more else said), *more])


def _named(offer: Offer, shot: str) -> str:
    """What is opened of a section: "all props" or "the terms" as a whole, "props" of a shot."""
    title = offer.title.lower()
    if shot:
        return OF_A_SHOT.get(offer.section, title)
    return f"all {title}" if offer.by_shot else f"the {title}"


def _words(shots: Sequence[int], titles: Sequence[str]) -> Sequence[str]:
    """ "the props and light of shots 2 and 3"; whole sections each for itself."""
    if not shots:
        return titles
    numbers = joined([str(number) for number in shots])
    return [f"the {joined(titles)} of {'shot' if len(shots) == 1 else 'shots'} {numbers}"]


def _by_shot(section: Section) -> bool:
    return section.name == "shots" or any(_leads_to_shots(section.words, name) for name in section.words.lists)


class _AnyRow(dict[str, Any]):
    """A row that has every key, to ask whose it would be."""

    def __missing__(self, key: str) -> str:
        return ""


def _leads_to_shots(words: Words, name: str) -> bool:
    known = {section.name: section.words for section in sections.sections()}
    waiting, seen = list(words.lists[name].parents(_AnyRow())), set()
    while waiting:
        parent = waiting.pop()
        if parent.section == "shots":
            return True
        if (parent.section, parent.list) in seen or parent.section not in known:
            continue
        seen.add((parent.section, parent.list))
        if thing := known[parent.section].lists.get(parent.list):
            waiting += thing.parents(_AnyRow())
    return False
