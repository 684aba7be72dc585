"""What a file's name says: words, sizes, a shot, a revision; dates and sizes are never taken for shot numbers."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
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
# ISO 639-1 codes that a name may speak of though they were not ordered.
LANGUAGES = frozenset(
    ("ar", "bg", "ca", "cs", "da", "de", "el", "en", "es", "et", "fi", "fr", "ga", "he", "hi", "hr", "hu", "it", "ja",
     "ko", "lt", "lv", "nl", "no", "pl", "pt", "ro", "ru", "sk", "sl", "sv", "tr", "uk", "zh")
)  # fmt: skip


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
    text = text[:_LONGEST]
    if not (text.isascii() and text.isprintable()):  # most names are: readiness reads 1,440 of them
        text = _plain(text)
    text = re.sub(r"(?<=[a-z])(?=[A-Z][a-z])", " ", text)
    text = re.sub(r"(?<=[a-z])(?=[A-Z]{2}(?![A-Za-z]))", " ", text)
    return text.casefold().replace("ß", "ss").strip()


def _plain(text: str) -> str:
    text = unicodedata.normalize("NFKD", text)
    text = "".join(" " if unicodedata.category(c)[0] in "ZC" and unicodedata.category(c) != "Cf" else c for c in text)
    return "".join(c for c in text if not unicodedata.combining(c) and unicodedata.category(c) != "Cf")


@lru_cache(maxsize=8192)  # a campaign's own words are read again for every file
def words(text: str) -> tuple[str, ...]:
    """The words of a text, bare, with digits and letters apart: "48-Sheet" is ("48", "sheet"), "03" is ("3",)."""
    found = re.findall(r"\d+|[^\W\d_]+", bare(text))
    return tuple(word.lstrip("0") or "0" if word.isdigit() else word for word in found)


@lru_cache(maxsize=8192)  # the same: readiness reads the names of all layouts after every act
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


def languages_said(name: str, ordered: Sequence[tuple[str, str]]) -> list[str]:
    """The languages that a file's name says it is in: tags of `ordered` (tag, what it is called), or another code.

    A bare code of two letters counts in capitals or as one of the last three words, where languages stand: "no" and
    "it" are words as well. Of "British English" and "Spanish (United States)" a file's name says English and Spanish.
    """
    said = read_name(name).words
    found = []
    for tag, called in ordered:
        whole, own = words(tag.replace("_", "-")), words(called.partition("(")[0])[-1:]
        by_tag = holds(said, whole) and (len(whole) > 1 or _is_code(whole[0], said, name))
        if by_tag or (own and holds(said, own)):
            found.append(tag)
        elif holds(said, whole[:1]) and _is_code(whole[0], said, name):
            found.append(whole[0])
    if not found:
        codes = {words(tag.replace("_", "-"))[0] for tag, _ in ordered}
        found = [word for word in said[-2:] if word in LANGUAGES - codes and word.upper() in name]
    return found


def _is_code(code: str, said: tuple[str, ...], name: str) -> bool:
    return code in said[-3:] or code.upper() in re.findall(r"[A-Za-z]+", name)
