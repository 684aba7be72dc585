"""Which ordered placement each of many layout files is for, by name and by shape. Doubt is said, never guessed over.

A name narrows shots, formats and languages one by one; the shape narrows formats; what is left are the candidates. One
candidate for which the name speaks is sure; several, or a name and a shape that disagree, are a question for a person.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass, replace

from layouts.imaging.inspecting.window import same_shape
from layouts.imaging.names import LANGUAGES, Said, holds, read_name, without, words
from layouts.imaging.words import pixels, shape

SURE, DOUBT, NONE = "sure", "doubt", "none"
_SMALL_WORDS = frozenset(
    ("a", "an", "and", "at", "by", "der", "die", "das", "de", "for", "from", "in", "la", "le", "les", "mit", "of", "on",
     "the", "to", "und", "with", "y")
)  # fmt: skip


Order = Callable[[Iterable[int]], tuple[Hashable, ...]]


@dataclass(frozen=True)
class NamedFile:
    """A file that came: its name as sent, and its upright size in pixels (0, 0 where unknown).

    `window`: the size of the poster's own area in it, once it was inspected: a surround changes the canvas's shape.
    """

    name: str
    width: int
    height: int
    window: tuple[int, int] | None = None

    @property
    def measured(self) -> tuple[int, int]:
        """The size whose shape tells what it is for."""
        return self.window or (self.width, self.height)


@dataclass(frozen=True)
class Wanted:
    """An ordered placement. `mm` and `px` are (width, height) or None; `language` a code such as "en" or "en-GB"."""

    id: Hashable
    shot_number: int
    shot_title: str
    format_name: str
    aspect: float
    format_aliases: tuple[str, ...] = ()
    mm: tuple[float, float] | None = None
    px: tuple[int, int] | None = None
    language: str = ""
    language_names: tuple[str, ...] = ()

    @property
    def label(self) -> str:
        language = self.language_names[0] if self.language_names else self.language
        return ", ".join(part for part in (f"shot {self.shot_number}", self.format_name, language) if part)


@dataclass(frozen=True)
class Matched:
    """What became of file number `file`: `placement` is set only if `sure` is "sure"; `candidates` likeliest first."""

    file: int
    placement: Hashable | None
    sure: str
    candidates: tuple[Hashable, ...]
    why: str


def match_layouts(files: Sequence[NamedFile], placements: Sequence[Wanted]) -> list[Matched]:
    """Match each file, in order. Two files of one batch for the same placement are both asked about."""
    found = [_match(index, file, placements) for index, file in enumerate(files)]
    by_place = defaultdict(list)
    for match in found:
        if match.sure == SURE:
            by_place[match.placement].append(match.file)
    labels = {place.id: place.label for place in placements}
    for place, rivals in by_place.items():
        if len(rivals) > 1:
            for index in rivals:
                found[index] = _rivalled(found[index], files, rivals, labels[place])
    return found


def _rivalled(match: Matched, files: Sequence[NamedFile], rivals: list[int], label: str) -> Matched:
    names = " and ".join(f"“{_short(files[index].name)}”" for index in rivals)
    revisions = {index: read_name(files[index].name).revision for index in rivals}
    newest = [index for index in rivals if revisions[index] == max(revision or 0 for revision in revisions.values())]
    hint = ""
    if len(newest) == 1 and revisions[newest[0]]:
        hint = f" By its name “{_short(files[newest[0]].name)}” is the newest."
    return replace(match, placement=None, sure=DOUBT, why=f"{names} are both for {label}.{hint} Which one counts?")


@dataclass(frozen=True)
class _Say:
    """What one source of evidence leaves of the placements, and the words for it; `weak`: not enough by itself."""

    left: frozenset[int]  # indices
    words: str
    weak: bool = False


def _match(index: int, file: NamedFile, placements: Sequence[Wanted]) -> Matched:
    if not placements:
        return Matched(index, None, NONE, (), "No placement is ordered yet: add shots and formats first.")
    said = read_name(file.name)
    evidence, troubles, said = _format_by_name(said, placements)
    more, trouble = _language(said, file.name, placements)
    evidence += more
    troubles += trouble
    more, trouble = _shot(said, placements)
    evidence += more
    troubles += trouble
    by_shape = _shape(file, placements)
    every = frozenset(range(len(placements)))
    by_name = _meet(every, evidence)
    left = by_name & by_shape.left if by_shape else by_name

    def order(these: Iterable[int]) -> tuple[Hashable, ...]:
        """Those for which most speaks, in the order of the placements."""
        everything = [*evidence, by_shape] if by_shape else evidence
        scores = {at: sum(at in say.left for say in everything) for at in these}
        most = max(scores.values(), default=0)
        return tuple(placements[at].id for at in sorted(scores) if scores[at] == most)

    if not left:
        return _none_left(index, evidence, by_shape, placements, order)
    if troubles:
        return Matched(index, None, DOUBT, order(left), " ".join(troubles))
    if len(left) > 1:
        question = _undecided([placements[at] for at in left])
        return Matched(index, None, DOUBT, order(left), f"Name and shape leave {len(left)} placements: {question}?")
    place = placements[next(iter(left))]
    strong = [say for say in evidence if not say.weak]
    if not strong:
        return Matched(
            index, None, DOUBT, order(left), f"Only {place.label} fits, but the name hardly says so. Is it meant?"
        )
    told = f"the name says {_listed(evidence)}" + (f"; {by_shape.words}" if by_shape else "")
    return Matched(index, place.id, SURE, (place.id,), f"{place.label}: {told}.")


def _none_left(
    index: int, evidence: list[_Say], by_shape: _Say | None, placements: Sequence[Wanted], order: Order
) -> Matched:
    """Name and shape disagree, or the name with itself, or nothing has this shape."""
    every = frozenset(range(len(placements)))
    by_name = _meet(every, evidence)
    if not evidence:
        found = by_shape.words if by_shape else ""
        return Matched(index, None, NONE, (), f"Nothing that is ordered has this shape: {found}.")
    if by_name and by_shape:
        formats = {placements[at].format_name: shape(placements[at].aspect) for at in by_name}
        ordered = "; ".join(f"{name} is {aspect}" for name, aspect in formats.items()) if len(formats) <= 3 else ""
        why = f"The name says {_listed(evidence)}{f' ({ordered})' if ordered else ''}, but {by_shape.words}."
        return Matched(index, None, DOUBT, order(by_name | by_shape.left), why)
    why = f"What the name says is not ordered together: {_listed(evidence)}."
    return Matched(index, None, DOUBT, order(every), why)


def _listed(evidence: Sequence[_Say]) -> str:
    told = [say.words for say in evidence]
    return " and ".join([", ".join(told[:-1]), told[-1]] if len(told) > 1 else told)


def _meet(left: frozenset[int], evidence: Iterable[_Say]) -> frozenset[int]:
    for say in evidence:
        left &= say.left
    return left


def _shape(file: NamedFile, placements: Sequence[Wanted]) -> _Say | None:
    size = file.measured
    if not (size[0] and size[1]):
        return None
    aspect = size[0] / size[1]
    left = frozenset(at for at, place in enumerate(placements) if same_shape(aspect, place.aspect))
    what = "its window" if file.window else "the file"
    return _Say(left, f"{what} is {pixels(size)}, which is {shape(aspect)}", weak=True)


def _format_by_name(said: Said, placements: Sequence[Wanted]) -> tuple[list[_Say], list[str], Said]:
    """Formats that the name calls by name, trade name or size; the words used up are taken out of `said`."""
    named: dict[tuple[str, ...], set[int]] = defaultdict(set)
    for at, place in enumerate(placements):
        for phrase in {words(name) for name in (place.format_name, *place.format_aliases)}:
            if holds(said.words, phrase):
                named[phrase].add(at)
    evidence = []
    if named:
        longest = max(named, key=lambda phrase: (len(phrase), sum(map(len, phrase))))
        evidence.append(_Say(frozenset(named[longest]), f"“{' '.join(longest)}”"))
        rest = without(said.words, longest)
        used = [int(word) for word in longest if word.isdigit()]
        numbers = tuple(number for number in said.numbers if number not in used)
        said = replace(said, words=rest, numbers=numbers, leads=said.leads and numbers[:1] == said.numbers[:1])
    troubles: list[str] = []
    if said.sizes:
        sized, fits = _sized(said.sizes, placements)
        told = " and ".join(f"{w:g} x {h:g}{' ' + unit if unit else ''}" for w, h, unit in said.sizes)
        if sized:
            evidence.append(_Say(sized, told, weak=not fits))
        else:
            troubles.append(f"The name says {told}, which no ordered format has.")
    return evidence, troubles, said


def _sized(measured: Iterable[tuple[float, float, str]], placements: Sequence[Wanted]) -> tuple[frozenset[int], bool]:
    """Placements of just that size or, failing that, of that shape; and whether the size fits just."""
    exact, alike = set(), set()
    for wide, high, unit in measured:
        for at, place in enumerate(placements):
            known = [place.mm] * (unit != "px") + [place.px] * (unit != "mm")
            if unit == "" and place.mm:  # centimetres and metres are often left unsaid
                known += [(place.mm[0] / 10, place.mm[1] / 10), (place.mm[0] / 1000, place.mm[1] / 1000)]
            if any(size and abs(size[0] / wide - 1) < 0.002 and abs(size[1] / high - 1) < 0.002 for size in known):
                exact.add(at)
            elif same_shape(wide / high, place.aspect):
                alike.add(at)
    small = all(max(wide, high) <= 32 for wide, high, _ in measured)  # "2x1" names a shape and means no more
    return frozenset(exact or alike), bool(exact) or small


def _language(said: Said, name: str, placements: Sequence[Wanted]) -> tuple[list[_Say], list[str]]:
    found: dict[str, set[int]] = defaultdict(set)
    for at, place in enumerate(placements):
        code = words(place.language.replace("_", "-"))
        for phrase in [code, *map(words, place.language_names)]:
            if holds(said.words, phrase):
                found[" ".join(phrase)].add(at)
        if len(code) > 1 and holds(said.words, code[:1]) and not _region_differs(said, code, placements):
            found[code[0]].add(at)
    if found:
        longest = max(len(phrase.split()) for phrase in found)
        kept = {phrase: left for phrase, left in found.items() if len(phrase.split()) == longest}
        left = frozenset[int]().union(*kept.values())
        return [_Say(left, f"“{'” and “'.join(sorted(kept))}”")], []
    title = {word for place in placements for word in words(place.shot_title)}
    other = [word for word in said.words[-2:] if word in LANGUAGES and word not in title and word.upper() in name]
    if other:
        return [], [f"The name says {other[0].upper()}, a language that is not ordered."]
    return [], []


def _region_differs(said: Said, code: tuple[str, ...], placements: Sequence[Wanted]) -> bool:
    """The name gives another region of the same language that is ordered too."""
    others = {words(place.language) for place in placements} - {code}
    return any(other[:1] == code[:1] and holds(said.words, other) for other in others if len(other) > 1)


def _shot(said: Said, placements: Sequence[Wanted]) -> tuple[list[_Say], list[str]]:
    """Shots that the name calls by number or by words of their title."""
    evidence, troubles = [], []
    numbers = {place.shot_number for place in placements}
    if said.shots:
        told = " and ".join(f"shot {number}" for number in sorted(said.shots))
        if said.shots & numbers:
            evidence.append(_Say(_of_shots(said.shots, placements), told))
        else:
            troubles.append(f"The name says {told}, and there is no such shot.")
    if by_title := _by_title(said, placements):
        evidence.append(by_title)
    if not evidence and not troubles:
        loose = [number for number in said.numbers if number in numbers]
        if loose:
            sure = said.leads and loose[0] == said.numbers[0]
            these = frozenset(loose[:1] if sure else loose)
            told = " or ".join(str(number) for number in sorted(these))
            evidence.append(_Say(_of_shots(these, placements), f"the number {told}", weak=not sure))
            if not sure:
                troubles.append(f"The name has the number {told}: is that the shot?")
    return evidence, troubles


def _of_shots(numbers: frozenset[int], placements: Sequence[Wanted]) -> frozenset[int]:
    return frozenset(at for at, place in enumerate(placements) if place.shot_number in numbers)


def _by_title(said: Said, placements: Sequence[Wanted]) -> _Say | None:
    """The shots of whose titles the name has most of the telling words: those that not every title has."""
    titles = {place.shot_number: set(words(place.shot_title)) - _SMALL_WORDS for place in placements}
    shared = set.intersection(*titles.values()) if len(titles) > 1 else set()
    hits = {number: {word for word in title - shared if _spoken(word, said.words)} for number, title in titles.items()}
    most = max(len(hit) for hit in hits.values())
    if most == 0:
        return None
    best = frozenset(number for number, hit in hits.items() if len(hit) == most)
    spoken = sorted(set().union(*(hits[number] for number in best)))
    return _Say(_of_shots(best, placements), f"“{' '.join(spoken)}”")


def _spoken(word: str, said: tuple[str, ...]) -> bool:
    """Whole, in the plural, or cut to at least four letters."""
    if word.isdigit() or len(word) < 3:
        return False
    return any(
        one == word or one == word + "s" or word == one + "s" or (len(one) >= 4 and word.startswith(one))
        for one in said
    )


def _undecided(places: list[Wanted]) -> str:
    """What the places differ in, as a question."""
    told: dict[str, set[Hashable]] = {
        "shot": {place.shot_number for place in places},
        "format": {place.format_name for place in places},
        "language": {place.language for place in places},
    }
    return " and ".join(f"which {what}" for what, values in told.items() if len(values) > 1) or "which one"


def _short(name: str) -> str:
    name = " ".join(name.split())
    return name if len(name) <= 60 else f"{name[:40]}…{name[-16:]}"
