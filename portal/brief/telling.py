"""Differences between two documents in the brief's words: "Shot 3, hero zone: 12 to 40 % across, was 10 to 38 %".

What follows from something else is not told again: what belongs to a shot that was taken out goes with it, and a
shot's number in the rows of its layouts is the shot's. Knows no Django and no reader: who may read a section decides
before.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from portal.brief.fields import EMPTY, Field, Pair, Parent, Row, Thing, Whole, Words, plain, unknown
from portal.record.diff import Difference, Item, diff
from portal.site.sentences import count, joined, sentence

_ABOUT = 4  # values that describe a row which was added or taken out
# Fields that need no label before them.
_SAY_THEMSELVES = ("title", "name", "language", "what")
_NUMBERS = 8  # of rows that a line names when their numbers moved


@dataclass(frozen=True)
class Line:
    """One difference, told. `kind`: "added", "removed", "changed", "moved", or "follows" for what is only a remark.

    `files`: the SHA-256 of a picture before and now, "" where there was or is none.
    """

    what: str
    now: str
    was: str
    kind: str
    files: tuple[str, str] | None = None

    @property
    def says(self) -> str:
        """The difference as a sentence."""
        if self.kind == "removed":
            return sentence(f"{self.what}: taken out")
        if self.kind == "added":
            return sentence(f"{self.what}: new{f', {self.now}' if self.now else ''}")
        return sentence(f"{self.what}: {self.now}{f', was {self.was}' if self.was else ''}")


@dataclass(frozen=True)
class Part:
    """What differs in one section."""

    name: str
    title: str
    lines: list[Line]


@dataclass(frozen=True)
class Key:
    section: str
    list: str
    id: str


@dataclass
class Differing:
    """What differs in one row: whether it came, went or moved, and the keys of what was changed in it."""

    key: Key
    kind: str = "changed"
    moved: bool = False
    after: str | None = None
    keys: list[str] = field(default_factory=list)


@dataclass
class Told:
    """The two documents, the words of their sections, and who goes with whom."""

    old: Whole
    new: Whole
    words: Mapping[str, Words]
    ends: dict[Key, str] = field(default_factory=dict)  # rows that came ("added") or went ("removed")
    beside: dict[Key, Counter[str]] = field(default_factory=dict)  # what goes with each, by noun

    def thing(self, key: Key) -> Thing:
        return self.words.get(key.section, Words()).lists.get(key.list) or UNKNOWN

    def rows(self, key: Key) -> tuple[Row, Row]:
        return (
            self.old.rows(key.section, key.list).get(key.id, {}),
            self.new.rows(key.section, key.list).get(key.id, {}),
        )

    def name(self, key: Key) -> str:
        """As it is called now, or as it was called while it was there."""
        old, new = self.rows(key)
        told = self.thing(key).name(new, self.new) if new else self.thing(key).name(old, self.old)
        return told[:1].upper() + told[1:]


def tell(old: Mapping[str, Any], new: Mapping[str, Any], words: Mapping[str, Words]) -> dict[str, list[Line]]:
    """The lines of each section that differs, in the order of each section's own rows."""
    told, by_section, rows = compared(old, new, words)
    for key in told.ends:
        root = root_of(told, key)
        if root != key and (noun := told.thing(key).noun):
            told.beside.setdefault(root, Counter())[noun] += 1
    return {name: _section(told, name, by_section[name], rows[name]) for name in by_section}


def compared(
    old: Mapping[str, Any], new: Mapping[str, Any], words: Mapping[str, Words]
) -> tuple[Told, dict[str, list[Difference]], dict[str, dict[Key, Differing]]]:
    """Both documents with who comes and goes with whom, and what differs: all of it, and by row, in each section."""
    told = Told(Whole(old), Whole(new), words)
    by_section: dict[str, list[Difference]] = {}
    for one in diff(old, new):
        by_section.setdefault(str(one.path[0]), []).append(one)
    rows = {name: differing_rows(differences) for name, differences in by_section.items()}
    told.ends = {row.key: row.kind for held in rows.values() for row in held.values() if row.kind != "changed"}
    return told, by_section, rows


def differing_rows(differences: Iterable[Difference]) -> dict[Key, Differing]:
    """What differs in rows of lists, by row."""
    found: dict[Key, Differing] = {}
    for one in differences:
        at = next((at for at, step in enumerate(one.path) if isinstance(step, Item)), 0)
        if at not in (1, 2):
            continue
        section, step = str(one.path[0]), one.path[at]
        name = str(one.path[1]) if at == 2 else ""
        key = Key(section, name, step.id if isinstance(step, Item) else "")
        row = found.setdefault(key, Differing(key))
        rest = one.path[at + 1 :]
        if rest:
            row.keys += [str(rest[0])] if str(rest[0]) not in row.keys else []
        elif one.kind == "moved":
            row.moved, row.after = True, one.after
        else:
            row.kind, row.after = one.kind, one.after
    return found


def root_of(told: Told, key: Key) -> Key:
    """The row with which this one came or went; itself where it did so alone."""
    old, new = told.rows(key)
    for parent in told.thing(key).parents(new or old):
        above = _key(parent)
        if above != key and told.ends.get(above) == told.ends[key]:
            return root_of(told, above)
    return key


def _key(parent: Parent) -> Key:
    return Key(parent.section, parent.list, parent.id)


def _section(told: Told, name: str, differences: list[Difference], rows: dict[Key, Differing]) -> list[Line]:
    lines = list(_own_fields(told, name, differences))
    for row in rows.values():
        lines += _row_lines(told, row)
    lines += _renumbered(told, rows.values())
    if not lines and all(row.key in told.ends for row in rows.values()):
        return []  # all of it came or went with something that another section tells
    return lines or [Line("All of it", "follows from what is told of other sections", "", "follows")]


def _own_fields(told: Told, name: str, differences: list[Difference]) -> Iterator[Line]:
    """Lines of the section itself: that it is new or gone, and its fields where it is an object."""
    words = told.words.get(name, Words())
    old, new = told.old.document.get(name, {}), told.new.document.get(name, {})
    if any(len(one.path) == 1 for one in differences):
        kind = next(one.kind for one in differences)
        yield Line("The whole section", "" if kind == "removed" else "written anew", "", kind)
        return
    keys: dict[str, None] = {}
    for one in differences:
        listed = isinstance(one.path[1], Item) or (len(one.path) > 2 and isinstance(one.path[2], Item))
        if not listed:
            # A field two steps deep ("usage", "media") may be declared by its whole path.
            deep = ".".join(str(step) for step in one.path[1:3])
            keys[deep if deep in words.fields else str(one.path[1])] = None
    for key in keys:
        yield _line("", words.fields.get(key) or unknown(key), key, _inner(old, key), _inner(new, key))


def _inner(data: Any, key: str) -> Row:
    """The object in which a field lies, its value under the field's whole path."""
    held = data
    for step in key.split("."):
        held = held.get(step) if isinstance(held, Mapping) else None
    return {**data, key: held} if isinstance(data, Mapping) else {}


def _row_lines(told: Told, row: Differing) -> Iterator[Line]:
    thing, name = told.thing(row.key), told.name(row.key)
    old, new = told.rows(row.key)
    if row.kind in ("added", "removed"):
        if root_of(told, row.key) == row.key:
            beside = _with(told, row.key)
            said = ", ".join(part for part in (_about(thing, new or old), f"with {beside}" if beside else "") if part)
            pair = ("", said) if row.kind == "added" else (said, "")
            yield Line(name, pair[1], pair[0], row.kind, _files(thing, old, new))
        return
    if row.moved and (thing.place or thing is UNKNOWN):
        yield _moved(told, row, thing, name)
    for key, one in _touched(thing, set(row.keys) - set(thing.follows) - set(thing.derived(old, new))):
        if not _unwritten(key, old, new):
            yield _line(name, one, key, old, new)


def _unwritten(key: str, old: Row, new: Row) -> bool:
    """Whether a field is there in what one release of the portal wrote, empty, and not at all in the other's."""
    return (key in old) != (key in new) and plain(old.get(key)) == plain(new.get(key)) == EMPTY


def _touched(thing: Thing, keys: Collection[str]) -> Iterator[tuple[str, Field]]:
    """The fields that were touched, each once, in the order in which they are declared; unknown ones last."""
    for key, one in thing.fields.items():
        if key in keys or any(covered in keys for covered in one.covers):
            yield key, one
    covered = {key for one in thing.fields.values() for key in one.covers}
    yield from ((key, unknown(key)) for key in sorted(keys) if key not in thing.fields and key not in covered)


def _line(name: str, one: Field, key: str, old: Row, new: Row) -> Line:
    was, now = _pair(one, key, old, new)
    label = f"{name}, {one.label}" if name else one.label[:1].upper() + one.label[1:]
    files = (str(old.get(key) or ""), str(new.get(key) or "")) if one.picture else None
    return Line(label, now, was, "changed", files if files and files[0] != files[1] else None)


def _pair(one: Field, key: str, old: Row, new: Row) -> Pair:
    """Both values in words; where the words round a difference away, the values themselves."""
    pair = one.both(old, new) if one.both else (_said(one, key, old), _said(one, key, new))
    if pair[0] != pair[1]:
        return pair
    was, now = plain(old.get(key)), plain(new.get(key))
    return (was, now) if was != now else ("", "written in another way")


def _said(one: Field, key: str, row: Row) -> str:
    value = row.get(key)
    return EMPTY if value in (None, "") and key not in row else one.say(value, row) or EMPTY


def _about(thing: Thing, row: Row) -> str:
    """What a row holds that came or went, in a few words."""
    said: list[str] = []
    for key in thing.about:
        one = thing.fields[key]
        words = _said(one, key, row)
        if words != EMPTY:
            # One of several within a line: a sentence loses its stop.
            words = words.removesuffix(".")
            said.append(words if one.picture or key in _SAY_THEMSELVES else f"{one.label} {words}")
    return ", ".join(said[:_ABOUT])


def _with(told: Told, key: Key) -> str:
    return joined([count(many, noun) for noun, many in sorted(told.beside.get(key, Counter()).items())])


def _files(thing: Thing, old: Row, new: Row) -> tuple[str, str] | None:
    for key, one in thing.fields.items():
        if one.picture:
            return str(old.get(key) or ""), str(new.get(key) or "")
    return None


def _moved(told: Told, row: Differing, thing: Thing, name: str) -> Line:
    old, new = told.rows(row.key)
    if thing.place and (places := (thing.place(old), thing.place(new)))[0] != places[1]:
        return Line(name, f"now {places[1]}", places[0], "moved")
    before = list(told.old.rows(row.key.section, row.key.list))
    at = before.index(row.key.id)
    was = replace(row.key, id=before[at - 1]) if at else None
    now = replace(row.key, id=row.after) if row.after else None
    return Line(name, f"now {_behind(told, now)}", _behind(told, was), "moved")


def _behind(told: Told, key: Key | None) -> str:
    return f"after {told.name(key)}" if key else "first"


def _renumbered(told: Told, rows: Iterable[Differing]) -> Iterator[Line]:
    """One line for all whose number moved because others came, went or were moved."""
    pairs = []
    for row in rows:
        thing = told.thing(row.key)
        if thing.place and "number" in row.keys and not row.moved and "number" in thing.follows:
            old, new = told.rows(row.key)
            pairs.append(f"{old['number']} is now {new['number']}")
    if pairs:
        more = f", and {len(pairs) - _NUMBERS} more" if len(pairs) > _NUMBERS else ""
        yield Line("Numbers", ", ".join(pairs[:_NUMBERS]) + more, "", "follows")


def _name(row: Row, _: Whole) -> str:
    for key in ("name", "title", "number", "id"):
        if row.get(key) not in (None, ""):
            return f"number {row[key]}" if key == "number" else str(row[key])
    return "an entry"


UNKNOWN = Thing("entry", _name, {})
