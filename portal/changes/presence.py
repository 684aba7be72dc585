"""Who was there when a change was made on set: members by their keys, guests by their names alone. Knows no Django.

A row keeps each as a small object; one from before keys were kept has bare names.
"""

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True)
class Present:
    """One of them, with the name as it was then. `member`: their key, "" for a guest, None where it was not kept.

    `agrees_for`: the key of the signer in whose place they agree.
    """

    name: str
    member: str | None = None
    agrees: bool = False
    agrees_for: str = ""


def kept(people: Iterable[Present]) -> list[dict[str, Any]]:
    """As a row keeps them."""
    return [asdict(one) for one in people]


def read(row: Iterable[Any]) -> list[Present]:
    """Those whom a row has. Raises TypeError for what no portal writes, as an archive may bring it."""
    return [Present(one) if isinstance(one, str) else _read(Present(**one)) for one in row]


def _read(one: Present) -> Present:
    texts = (one.name, one.member or "", one.agrees_for)
    if not (all(isinstance(text, str) for text in texts) and isinstance(one.agrees, bool)):
        raise TypeError("this is nobody who was present")
    return one


def names(row: Iterable[Any]) -> list[str]:
    """Of those who were of the campaign, and of all where that was not kept."""
    return [one.name for one in read(row) if one.member != ""]


def guests(row: Iterable[Any]) -> list[str]:
    """Names of those who were not of the campaign."""
    return [one.name for one in read(row) if one.member == ""]


def was_there(row: Iterable[Any], member: str, name: str) -> bool:
    """Whether the member with this key is among them; by the name alone only where no keys were kept."""
    return any(one.member == member or (one.member is None and _same(one.name, name)) for one in read(row))


def typed(people: Sequence[str]) -> list[str]:
    """Names of guests as they are kept: each once, without spare room."""
    plain = [" ".join(name.split()) for name in people]
    return list(dict.fromkeys(name for name in plain if name))


def _same(one: str, other: str) -> bool:
    return bool(one) and one.casefold().split() == other.casefold().split()
