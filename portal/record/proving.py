"""Proving stored versions: everything is recomputed from the document's own text."""

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any

from portal.record.canonical import canonical, section_digests, version_digest

_SHA256 = re.compile(r"[0-9a-f]{64}")


def prove_version(document: str, sections: Mapping[str, str], digest: str) -> str:
    """Why a stored version does not hold, as the end of a sentence; empty when it holds.

    Parameters
    ----------
    document : str
        Canonical JSON, as it was stored when the version was put forward.
    sections : mapping of section to SHA-256
        What was stored as the sections' digests.
    digest : str
        What was stored as the version's digest, 64 hexadecimal digits.
    """
    try:
        plain = json.loads(document)
        if canonical(plain).decode() != document:
            return "its document is not in canonical form"
        found = section_digests(plain)
    except (ValueError, AttributeError, RecursionError):
        return "its document cannot be read"
    if altered := sorted(name for name in found.keys() | sections.keys() if found.get(name) != sections.get(name)):
        return f"the section {altered[0]} is not the one whose digest was kept"
    if version_digest(found) != digest:
        return "its digest is not the one of its sections"
    return ""


def files_named(data: Any) -> Iterator[str]:
    """The SHA-256 of every file that a document names: the values of its "sha256" keys, at any depth."""
    waiting = [data]
    while waiting:
        here = waiting.pop()
        if isinstance(here, Mapping):
            named = here.get("sha256")
            if isinstance(named, str) and _SHA256.fullmatch(named):
                yield named
            waiting.extend(here.values())
        elif isinstance(here, list):
            waiting.extend(here)
