"""The catalogue of trade sizes (fixtures/formats.json), read once."""

import json
from collections.abc import Iterable
from functools import cache
from typing import Any

from django.conf import settings

from layouts.formats.models import FIELDS

PATH = settings.BASE / "fixtures" / "formats.json"


@cache
def entries() -> dict[str, dict[str, Any]]:
    """Entry by its id, in the catalogue's order."""
    return {entry["id"]: entry for entry in json.loads(PATH.read_text(encoding="utf-8"))["formats"]}


def groups() -> list[tuple[str, list[dict[str, Any]]]]:
    """The entries under the catalogue's headings, with each one's size for people."""
    found: dict[str, list[dict[str, Any]]] = {}
    for entry in entries().values():
        found.setdefault(entry["group"], []).append(entry | {"size": _size(entry)})
    return list(found.items())


def chosen(ids: Iterable[str]) -> list[dict[str, Any]]:
    """Fields of a Format for each entry, as `formats.actions.add_formats` takes them.

    Raises KeyError for an id that the catalogue does not have.
    """
    return [{name: entries()[entry][name] for name in FIELDS} for entry in ids]


def _size(entry: dict[str, Any]) -> str:
    if entry["kind"] == "poster":
        return f"{entry['width_mm']} × {entry['height_mm']} mm"
    return f"{entry['width_px']} × {entry['height_px']} px"
