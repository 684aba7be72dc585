"""What a file's name says: words, sizes, a shot, a revision; dates and sizes are never taken for shot numbers."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from layouts.imaging.words import SIZE, sizes

_LONGEST = 1000  # characters of a name that are looked at
_DATES = re.compile(
    r"(?<!\d)(?:(?:19|20)\d\d([-_. ]?)(?:0[1-9]|1[0-2])\1(?:0[1-9]|[12]\d|3[01])"  # 2026-03-14, 20260314
    r"|(?:0?[1-9]|[12]\d|3[01])([-_.])(?:0?[1-9]|[12]\d|3[01])\2(?:20)?\d\d"  # 14.03.2026, 3-14-26
    r"|\d\d(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01]))(?!\d)"  # 260314
)
_TIMES = re.compile(r"(?<!\d)(?:[01]\d|2[0-3])[-.:h][0-5]\d(?:[-.:][0-5]\d)?(?!\d)")
_REVISION = re.compile(
    r"(?<![a-z])(?:v|ver|version|rev|revision|r|round|amends?|final|copy|kopie)[ ._-]*(\d{1,3})(?![\da-z])"
)
_COPY = re.compile(r"\((\d{1,2})\)")
_SHOT = re.compile(r"(?<![a-z])(?:shot|sh|s|motif|motiv|picture|pic|scene|visual|kv)[ ._#-]*(\d{1,3})(?![\dx×a-z])")
_ENDING = re.compile(r"\.(?:png|jpe?g|tiff?|webp|pdf|psd|psb|gif|svg|ai|indd)$")


@dataclass(frozen=True)
class Said:
    """What a name says. `words` are bare: lower case, no accents, digits apart from letters.

    `shots`: numbers called a shot; `numbers`: numbers left over, the first one at the start if `leads`; `sizes` as
    `words.sizes` gives them; `revision`: None where there is none.
    """

    words: tuple[str, ...]
    shots: frozenset[int]
    numbers: tuple[int, ...]
    leads: bool
    sizes: tuple[tuple[float, float, str], ...]
    revision: int | None


def bare(text: str) -> str:
    """Lower case, one line, no accents, no invisible marks; camelCase set apart."""
    text = unicodedata.normalize("NFKD", text[:_LONGEST])
    text = "".join(" " if unicodedata.category(c)[0] in "ZC" and unicodedata.category(c) != "Cf" else c for c in text)
    text = "".join(c for c in text if not unicodedata.combining(c) and unicodedata.category(c) != "Cf")
    text = re.sub(r"(?<=[a-z])(?=[A-Z][a-z])", " ", text)
    text = re.sub(r"(?<=[a-z])(?=[A-Z]{2}(?![A-Za-z]))", " ", text)
    return text.casefold().replace("ß", "ss").strip()


@lru_cache(maxsize=8192)  # a campaign's own words are read again for every file
def words(text: str) -> tuple[str, ...]:
    """The words of a text, bare, with digits and letters apart: "48-Sheet" is ("48", "sheet"), "03" is ("3",)."""
    found = re.findall(r"\d+|[^\W\d_]+", bare(text))
    return tuple(word.lstrip("0") or "0" if word.isdigit() else word for word in found)


def read_name(name: str) -> Said:
    """Read a file's name, with or without folders and ending."""
    text = _ENDING.sub("", bare(re.split(r"[/\\]", name.strip())[-1]))
    text = _TIMES.sub(" ", _DATES.sub(" ", text))
    revisions = [int(number) for number in _REVISION.findall(text)] or [int(number) for number in _COPY.findall(text)]
    text = _COPY.sub(" ", _REVISION.sub(" ", text))
    shots = frozenset(int(number) for number in _SHOT.findall(text))
    text = text.replace("_", " ")
    measured = tuple(sizes(text))
    rest = _SHOT.sub(" ", text)
    left = words(SIZE.sub(" ", rest))
    numbers = tuple(int(word) for word in left if word.isdigit() and len(word) <= 3)
    leads = bool(left) and left[0].isdigit() and rest.lstrip(" -#.")[:1].isdigit()
    return Said(left, shots, numbers, leads, measured, max(revisions, default=None))


def holds(said: tuple[str, ...], phrase: tuple[str, ...]) -> bool:
    """Whether the words of a phrase stand together in the name."""
    n = len(phrase)
    return n > 0 and any(said[at : at + n] == phrase for at in range(len(said) - n + 1))


def without(said: tuple[str, ...], phrase: tuple[str, ...]) -> tuple[str, ...]:
    """The words of the name less one that a phrase accounts for."""
    n = len(phrase)
    for at in range(len(said) - n + 1):
        if n and said[at : at + n] == phrase:
            return said[:at] + said[at + n :]
    return said
