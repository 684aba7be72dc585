"""How a section's data is said and described: each section declares its fields once, with the words for them.

From these come the words of differences and the published schema of the document. Knows no Django. What is not declared
is still read: its key is said in words, its value plainly.
"""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

Row = Mapping[str, Any]
Schema = Mapping[str, Any]
Pair = tuple[str, str]
EMPTY = "empty"
_UNITS = ("px", "mm", "m", "minutes")
_TEXT: Schema = {"type": "string"}


@dataclass(frozen=True)
class Field:
    """One value of a row.

    `say` puts the value into words, given it and its row; `both` puts an old and a new row into words at once, where
    they are clearer beside each other. `covers` names further keys of the row that are told with this one. `picture`:
    the value is the SHA-256 of a file that can be seen.
    """

    label: str
    say: Callable[[Any, Row], str] = lambda value, _: plain(value)
    schema: Schema = field(default_factory=lambda: _TEXT)
    both: Callable[[Row, Row], Pair] | None = None
    covers: tuple[str, ...] = ()
    picture: bool = False


@dataclass(frozen=True)
class Parent:
    """A row of another list: when that one is taken out or added, what belongs to it goes without saying."""

    section: str
    list: str
    id: str


class Whole:
    """A document in which rows are found by their ids."""

    def __init__(self, document: Mapping[str, Any]) -> None:
        self.document = document
        self._found: dict[tuple[str, str], dict[str, Row]] = {}

    def rows(self, section: str, name: str = "") -> dict[str, Row]:
        """The rows of a section's list by id; of a section that is a list itself where `name` is empty."""
        if (section, name) not in self._found:
            data = self.document.get(section)
            held = data.get(name) if name and isinstance(data, Mapping) else data
            rows = held if isinstance(held, list) else []
            self._found[section, name] = {row["id"]: row for row in rows if isinstance(row, Mapping) and "id" in row}
        return self._found[section, name]

    def row(self, section: str, id: Any, name: str = "") -> Row:
        """One row; empty where there is none."""
        return self.rows(section, name).get(id, {})

    def shot(self, id: Any) -> str:
        """ "shot 3", from the section "shots"; "a shot" where that does not have it."""
        number = self.row("shots", id).get("number")
        return "a shot" if number is None else f"shot {number}"


@dataclass(frozen=True)
class Thing:
    """What the rows of one list are: the noun for one, its name among the others, its fields.

    `follows`: keys that repeat what another place tells (a shot's number in its layout's row); `derived` finds those
    that follow from others in an old and a new row (a crop that nobody has set, from the hero zone), `computed` those
    that the portal finds for itself and may find otherwise another day. `place` says where
    a row stands, where the list has an order of its own; without it the order follows something else, and is not told.
    """

    noun: str
    name: Callable[[Row, Whole], str]
    fields: Mapping[str, Field]
    follows: tuple[str, ...] = ()
    derived: Callable[[Row, Row], Collection[str]] = lambda _, __: ()
    computed: Callable[[Row, Row], Collection[str]] = lambda _, __: ()
    place: Callable[[Row], str] | None = None
    parents: Callable[[Row], Iterable[Parent]] = lambda _: ()
    # Keys of fields that describe a row which was added or taken out; the first few that hold something else.
    about: tuple[str, ...] = ()


@dataclass(frozen=True)
class Words:
    """A section's words: `fields` of a section that is an object, `lists` by key, "" for one that is a list itself."""

    lists: Mapping[str, Thing] = field(default_factory=dict)
    fields: Mapping[str, Field] = field(default_factory=dict)


def plain(value: Any, unit: str = "") -> str:
    """A value that nobody has declared, in words."""
    if value is None or value in ("", []) or value == {}:
        return EMPTY
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Mapping):
        return ", ".join(f"{spoken(key)} {plain(held)}" for key, held in value.items() if key != "id")
    if isinstance(value, list):
        return "; ".join(plain(one) for one in value)
    return f"{value} {unit}" if unit else str(value)


def spoken(key: str) -> str:
    """A key as a label: "width_px" is "width", "hero_zone" is "hero zone"."""
    name, _, unit = key.rpartition("_")
    return (name if name and unit in _UNITS else key).replace("_", " ").replace("-", " ")


def unknown(key: str) -> Field:
    """The field of a key that nobody has declared."""
    name, _, unit = key.rpartition("_")
    return Field(spoken(key), lambda value, _: plain(value, unit if name and unit in _UNITS else ""), schema={})


def text(label: str) -> Field:
    return Field(label)


def number(label: str, unit: str = "", *, least: float = 0) -> Field:
    """A number that may be unknown (null)."""
    return Field(label, lambda value, _: plain(value, unit), {"type": ["number", "null"], "minimum": least})


def day(label: str) -> Field:
    """A date, ISO 8601, or null."""
    return Field(label, lambda value, _: said_day(value), {"type": ["string", "null"]})


def said_day(value: str | None) -> str:
    if not value:
        return EMPTY
    on = date.fromisoformat(value[:10])
    return f"{on.day} {on:%b %Y}"


def yes_no(label: str) -> Field:
    return Field(label, schema={"type": "boolean"})


def choice(label: str, names: Mapping[str, str]) -> Field:
    """One of some words of the document; `names` has what people read."""
    return Field(label, lambda value, _: names.get(value, plain(value)), _TEXT)


def several(label: str, say: Callable[[str], str] = str) -> Field:
    """A list of words."""
    said = lambda value, _: ", ".join(map(say, value)) if value else EMPTY  # noqa: E731
    return Field(label, said, {"type": "array", "items": _TEXT})


def zone(label: str) -> Field:
    """A part of a picture: [x0, y0, x1, y1] in fractions from its upper left corner, or null."""
    corner = {"type": "number", "minimum": 0, "maximum": 1}
    schema = {"type": ["array", "null"], "items": corner, "minItems": 4, "maxItems": 4}
    return Field(label, lambda value, _: _zone(value), schema)


def zones(label: str, key: str, covers: tuple[str, ...] = ()) -> Field:
    """A zone of which only the direction that moved is told: "12 to 40 % across", was "10 to 38 %"."""
    plainly = zone(label)

    def both(old: Row, new: Row) -> Pair:
        was, now = old.get(key), new.get(key)
        if not was or not now:
            return _zone(was), _zone(now)
        across, down = was[::2] != now[::2], was[1::2] != now[1::2]
        if across and down:
            return _zone(was), _zone(now)
        first, words = (0, "across") if across else (1, "down")
        before, after = _share(was, first), _share(now, first)
        return before, after.replace("%", f"% {words}")

    return Field(label, plainly.say, plainly.schema, both, covers)


def zone_words(value: Sequence[float] | None) -> str:
    """A zone as people say it: "10 to 60 % across and 5 to 40 % down"; "none"."""
    return _zone(value)


def _zone(value: Sequence[float] | None) -> str:
    return f"{_share(value, 0)} across and {_share(value, 1)} down" if value else "none"


def _share(value: Sequence[float], first: int) -> str:
    return f"{_per_cent(value[first])} to {_per_cent(value[first + 2])} %"


def _per_cent(share: float) -> str:
    return f"{100 * share:.1f}".removesuffix(".0")


def seen(label: str, covers: tuple[str, ...] = ("file", "revision", "width", "height", "type")) -> Field:
    """A file that can be seen, by its SHA-256; its name, revision and size are told with it."""

    def say(_: Any, row: Row) -> str:
        return f"{row.get('file', '')}, revision {row.get('revision')}, {row.get('width')} × {row.get('height')} px"

    return Field(label, say, {"type": "string", "pattern": "^[0-9a-f]{64}$"}, covers=covers, picture=True)
