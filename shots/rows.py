"""Writing a row of this room: what changed, checked and saved, as plain data for the log."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from django.db import models


def plain(value: Any) -> Any:
    """A field's value as the log and the brief's document hold it: dates as ISO 8601."""
    return value.isoformat() if isinstance(value, date) else value


def plainly(row: models.Model, names: Iterable[str]) -> dict[str, Any]:
    """Some fields of a row as plain data."""
    return {name: plain(getattr(row, name)) for name in names}


def change(
    row: models.Model, fields: Mapping[str, Any], allowed: tuple[str, ...]
) -> tuple[dict[str, Any], dict[str, Any]]:
    """Set, check and save `fields` of a row; what was and what is now, of those that differ.

    Raises ValidationError, and TypeError for a field that is not in `allowed`.
    """
    if unknown := set(fields) - set(allowed):
        raise TypeError(f"not to be changed here: {sorted(unknown)}")
    was = plainly(row, allowed)
    for name, value in fields.items():
        setattr(row, name, value.strip() if isinstance(value, str) else value)
    row.full_clean()
    row.save()
    now = plainly(row, allowed)
    changed = [name for name in allowed if was[name] != now[name]]
    return {name: was[name] for name in changed}, {name: now[name] for name in changed}
