"""Names of the files that go to set: read by people, and kept by every file system. Knows no Django.

Small letters of a to z, figures and hyphens, short, and no two that differ in case alone.
"""

from __future__ import annotations

import re
import unicodedata

LONGEST = 48
# Letters that do not come apart into one of a to z and a mark.
_SPELT = str.maketrans({"ß": "ss", "æ": "ae", "ø": "o", "œ": "oe", "đ": "d", "ð": "d", "þ": "th", "ł": "l", "ı": "i"})


def plain(text: str, instead: str) -> str:
    """A text as a part of a file's name; `instead` where no letter or figure of it can be kept."""
    apart = unicodedata.normalize("NFKD", text.lower().translate(_SPELT))
    kept = re.sub(r"[^a-z0-9]+", "-", apart.encode("ascii", "ignore").decode()).strip("-")
    return kept[:LONGEST].strip("-") or instead


class Names:
    """The names in one folder; each is given out once."""

    def __init__(self, begins: str) -> None:
        self.begins = begins
        self._taken: set[str] = set()

    def new(self, what: str, ending: str) -> str:
        """ "shot03-capture1-48-sheet-cy.png"; with a number where another has that name already."""
        name, again = f"{self.begins}-{what}", 1
        while f"{name}.{ending}" in self._taken:
            again += 1
            name = f"{self.begins}-{what}-{again}"
        self._taken.add(f"{name}.{ending}")
        return f"{name}.{ending}"


def begins(shot: int, capture: int) -> str:
    """With what the names of a capture's files begin: they sort by shot and capture."""
    return f"shot{shot:02d}-capture{capture}"
