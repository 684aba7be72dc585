"""Where two documents differ: the places (a section, and a shot's key or "") in which somebody has edited.

What follows from something else is no edit of its own: what came or went with a shot, a number that its shot tells, a
crop that nobody set, what the portal computes. Keys that one portal's release writes and another's does not are none
either. Knows no Django and no reader.
"""

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from portal.brief.fields import Row, Words
from portal.brief.telling import UNKNOWN, Differing, Key, Told, compared, root_of
from portal.record.diff import Difference, Item

Place = tuple[str, str]


def edited(
    old: Mapping[str, Any], new: Mapping[str, Any], words: Mapping[str, Words], *, aside: Collection[str] = ()
) -> dict[Place, str]:
    """Each place in which the documents differ, with what differs there first, by name: {("props", "k3x"): "Vase"}.

    `aside`: sections, and lists such as "campaign.signers", that are not looked at.
    """
    told, by_section, rows = compared(old, new, words)
    found: dict[Place, str] = {}
    for section, differences in by_section.items():
        if section in aside or section not in old or section not in new:
            continue
        for one in differences:
            if _of_the_section(one):
                found.setdefault((section, ""), "")
        for row in rows[section].values():
            if f"{section}.{row.key.list}" in aside:
                continue
            for place in _places(told, row):
                found.setdefault(place, told.name(row.key))
    return found


def _of_the_section(one: Difference) -> bool:
    """Whether a difference is in a field of the section itself, and not only in which fields there are."""
    listed = any(isinstance(step, Item) for step in one.path[1:3])
    return not listed and one.kind == "changed"


def _places(told: Told, row: Differing) -> Iterator[Place]:
    thing = told.thing(row.key)
    if row.kind in ("added", "removed"):
        yield _place(told, root_of(told, row.key), whole=True)
        return
    if row.moved and (thing.place or thing is UNKNOWN):
        yield (row.key.section, "")
    old, new = told.rows(row.key)
    aside = {*thing.follows, *thing.derived(old, new), *thing.computed(old, new)}
    if any(key not in aside and key in old and key in new for key in row.keys):
        yield _place(told, row.key)


def _place(told: Told, key: Key, *, whole: bool = False) -> Place:
    """The place of a row; of a shot that came or went (`whole`), all the shots."""
    if key.section == "shots":
        return ("shots", "" if whole else key.id)
    return (key.section, _shot_of(told, key))


def _shot_of(told: Told, key: Key) -> str:
    """The shot that a row belongs to, through what it belongs to; "" for none."""
    if key.section == "shots":
        return key.id
    row: Row = next((row for row in reversed(told.rows(key)) if row), {})
    for parent in told.thing(key).parents(row) if row else ():
        above = Key(parent.section, parent.list, parent.id)
        if above != key and (shot := _shot_of(told, above)):
            return shot
    return ""
