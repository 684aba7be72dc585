"""Names of files: as they are shown, stored and given back."""

from __future__ import annotations

import unicodedata
from pathlib import PurePosixPath
from urllib.parse import quote

LONGEST = 300
_ENDINGS = {
    "png": ("png", "apng"),
    "jpeg": ("jpg", "jpeg", "jpe", "jfif"),
    "tiff": ("tif", "tiff"),
    "webp": ("webp",),
    "pdf": ("pdf", "ai"),
    "psd": ("psd",),
}
# RFC 5987, 3.2.1: attr-char besides letters and digits.
_PLAIN = "!#$&+-.^_`|~"


def clean_name(name: str) -> str:
    """A file's own name without folders, on one line, without what cannot be seen: control characters, marks that turn
    the direction of writing, private and unassigned characters. Never empty; at most LONGEST characters, its ending
    kept.
    """
    last = PurePosixPath(name.replace("\\", "/").rstrip("/") or "unnamed").name
    line = " ".join("".join(letter if letter.isprintable() else _instead(letter) for letter in last).split())
    seen = line.strip(". ")
    if len(seen) <= LONGEST:
        return seen or "unnamed"
    stem, dot, ending = seen.rpartition(".")
    keep = LONGEST - len(dot) - len(ending)
    return f"{stem[:keep]}{dot}{ending}" if stem and 0 < len(ending) <= 8 else seen[:LONGEST]


def _instead(letter: str) -> str:
    """A space for what sets words apart, nothing for the rest."""
    return " " if letter.isspace() or unicodedata.category(letter) in ("Zl", "Zp", "Zs") else ""


def download_name(name: str, type: str) -> str:
    """The name that a file of this type is given back under: with an ending that says what it is.

    A picture that came as `menu.html` must not be opened as a page on somebody's disk.
    """
    name = clean_name(name)
    endings = _ENDINGS.get(type, (type,))
    if name.rpartition(".")[2].lower() in endings and "." in name:
        return name
    return f"{name[: LONGEST - len(endings[0]) - 1]}.{endings[0]}"


def attachment(name: str) -> str:
    """The value of Content-Disposition for a download of that name.

    RFC 6266, 4.3 and appendix D: beside the name in UTF-8 a plain one, for readers that know no other.
    """
    plain = "".join(letter if " " <= letter <= "~" and letter not in '"\\%' else "_" for letter in name)
    if plain == name:
        return f'attachment; filename="{name}"'
    return f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(name, safe=_PLAIN)}"
