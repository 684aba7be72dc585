"""What differs between two documents, by stable ids: a reorder is a reorder and not forty edits."""

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal


@dataclass(frozen=True)
class Item:
    """A step of a path into a list whose items have ids; a step that is a plain string is a key of an object."""

    id: str


Step = str | Item
Path = tuple[Step, ...]


@dataclass(frozen=True)
class Difference:
    """One difference at `path`.

    `was` and `now` are values; None where there is none (which JSON's null also is: `kind` tells them apart).
    "added" and "removed" are keys of objects or items of lists; "moved" are items that stand elsewhere in their list
    than before. For items added and moved, `after` is the id of the item before them in the new list, None for the
    first.
    """

    kind: Literal["added", "removed", "changed", "moved"]
    path: Path
    was: Any = None
    now: Any = None
    after: str | None = None


def diff(old: Any, new: Any) -> list[Difference]:
    """All that differs between two documents; `apply(old, diff(old, new))` is `new`.

    Parameters
    ----------
    old, new : plain data, as JSON has it
        A list of objects that each have an "id" of its own (text) is compared item by item; any other list is one
        value. Integers and floats that are equal are the same number; true and 1 are not the same.
    """
    found: list[Difference] = []
    _compare(old, new, (), found)
    return found


def apply(document: Any, differences: Iterable[Difference]) -> Any:
    """The document with all differences made; the one given stays as it is.

    Raises
    ------
    ValueError
        The differences are not of this document.
    """
    return _applied(document, list(differences))


def same(one: Any, other: Any) -> bool:
    """Whether two values have one canonical form."""
    if isinstance(one, bool) or isinstance(other, bool):
        return one is other
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same, one, other))
    return bool(one == other)


def _compare(old: Any, new: Any, path: Path, found: list[Difference]) -> None:
    if isinstance(old, Mapping) and isinstance(new, Mapping):
        for key in sorted(old.keys() | new.keys()):
            here = (*path, key)
            if key not in new:
                found.append(Difference("removed", here, was=old[key]))
            elif key not in old:
                found.append(Difference("added", here, now=new[key]))
            else:
                _compare(old[key], new[key], here, found)
        return
    if isinstance(old, list) and isinstance(new, list):
        before, after = _by_id(old), _by_id(new)
        if before is not None and after is not None:
            _compare_items(before, after, path, found)
            return
    if not same(old, new):
        found.append(Difference("changed", path, was=old, now=new))


def _by_id(items: Sequence[Any]) -> dict[str, Any] | None:
    """The items by their ids, in order; None for a list that has none, or one twice."""
    found = {item["id"]: item for item in items if isinstance(item, Mapping) and isinstance(item.get("id"), str)}
    return found if len(found) == len(items) else None


def _compare_items(old: dict[str, Any], new: dict[str, Any], path: Path, found: list[Difference]) -> None:
    found += [Difference("removed", (*path, Item(id)), was=item) for id, item in old.items() if id not in new]
    stay = _stays([id for id in old if id in new], new)
    last: str | None = None
    for id, item in new.items():
        here = (*path, Item(id))
        if id not in old:
            found.append(Difference("added", here, now=item, after=last))
        else:
            if id not in stay:
                found.append(Difference("moved", here, after=last))
            _compare(old[id], item, here, found)
        last = id


def _stays(common: Sequence[str], new: Iterable[str]) -> set[str]:
    """The most items that can be left standing while the others move: a longest increasing subsequence."""
    place = {id: at for at, id in enumerate(new)}
    ends: list[int] = []  # of the best subsequence of each length, the place where it ends
    at_end: list[str] = []
    before: dict[str, str | None] = {}
    for id in common:
        length = bisect_left(ends, place[id])
        before[id] = at_end[length - 1] if length else None
        ends[length : length + 1] = [place[id]]
        at_end[length : length + 1] = [id]
    stay: set[str] = set()
    here = at_end[-1] if at_end else None
    while here is not None:
        stay.add(here)
        here = before[here]
    return stay


def _applied(value: Any, differences: list[Difference]) -> Any:
    if not differences:
        return value
    for one in differences:
        if not one.path:
            return one.now
    below: dict[Step, list[Difference]] = {}
    for one in differences:
        below.setdefault(one.path[0], []).append(replace(one, path=one.path[1:]))
    if isinstance(value, Mapping):
        return _applied_keys(value, below)
    if isinstance(value, list):
        return _applied_items(value, below)
    raise ValueError("a difference lies below a value that has no parts")


def _applied_keys(value: Mapping[str, Any], below: dict[Step, list[Difference]]) -> dict[str, Any]:
    made = dict(value)
    for key, differences in below.items():
        here = next((one for one in differences if not one.path), None)
        if isinstance(key, Item):
            raise ValueError("an object has keys, and a difference names an item")
        if (here is None or here.kind != "added") and key not in made:
            raise ValueError(f"there is no {key!r} to be changed")
        if here and here.kind == "removed":
            del made[key]
        else:
            made[key] = here.now if here else _applied(made[key], differences)
    return made


def _applied_items(value: list[Any], below: dict[Step, list[Difference]]) -> list[Any]:
    items = _by_id(value)
    if items is None:
        raise ValueError("a difference names an item of a list that has no ids")
    after: dict[str | None, str] = {}  # what comes next, for those items that did not stay where they were
    gone: set[str] = set()
    for step, differences in below.items():
        if not isinstance(step, Item):
            raise ValueError("a list has items, and a difference names a key")
        if step.id not in items and not any(one.kind == "added" for one in differences):
            raise ValueError(f"there is no item {step.id!r} to be changed")
        for one in (one for one in differences if not one.path):
            gone.add(step.id)
            if one.kind == "removed":
                continue
            after[one.after] = step.id
            if one.kind == "added":
                items[step.id] = one.now
        if inside := [one for one in differences if one.path]:
            items[step.id] = _applied(items[step.id], inside)
    return [items[id] for id in _in_order([id for id in items if id not in gone], after)]


def _in_order(stayed: Sequence[str], after: Mapping[str | None, str]) -> Iterable[str]:
    for here in (None, *stayed):
        if here is not None:
            yield here
        while (here := after.get(here)) is not None:
            yield here
