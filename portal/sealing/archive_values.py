"""What a value of an archive may be: checked alike whatever database the portal has.

SQLite takes what PostgreSQL refuses (longer texts, larger numbers, NUL), and pages are drawn from both.
"""

import math
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from portal.record.canonical import canonical

# What PostgreSQL's columns hold, those for positive numbers among them; SQLite's hold more.
_HIGHEST = [
    (models.SmallIntegerField, 2**15 - 1),
    (models.BigIntegerField, 2**63 - 1),
    (models.IntegerField, 2**31 - 1),
]
_POSITIVE = (models.PositiveIntegerField, models.PositiveSmallIntegerField, models.PositiveBigIntegerField)


class Unfit(ValueError):
    """A value that the column cannot have; its text ends a sentence: "it is no whole number"."""


def fitting(field: Any, value: Any) -> Any:
    """The value of a column, not of a reference, as Python has it. Raises Unfit."""
    if value is None:
        if not field.null:
            raise Unfit("it is empty")
        return None
    check = next((check for kind, check in _CHECKS if isinstance(field, kind)), None)
    if check is None:
        raise TypeError(f"nothing is known of what {field} may hold")
    found = check(field, value)
    try:
        if found not in field.empty_values:
            field.run_validators(found)
    except ValidationError as wrong:
        raise Unfit(wrong.messages[0]) from wrong
    # Empty where nothing has been chosen: whether it may be, the field itself has said.
    if field.choices and found not in {choice for choice, _ in field.flatchoices} | ({""} if field.blank else set()):
        raise Unfit(f"{str(found)[:80]!r} is none of its choices")
    return found


def _text(field: Any, value: Any) -> str:
    if not isinstance(value, str):
        raise Unfit("it is no text")
    _writable(value)
    if field.max_length and len(value) > field.max_length:
        raise Unfit(f"it has {len(value)} characters, and {field.max_length} is the most")
    return value


def _writable(text: str) -> None:
    if "\0" in text:
        raise Unfit("it has a character that no text has (U+0000)")
    try:
        text.encode()
    except UnicodeEncodeError as wrong:
        raise Unfit("it has half a character (a lone surrogate)") from wrong


def _flag(_: Any, value: Any) -> bool:
    if not isinstance(value, bool):
        raise Unfit("it is neither true nor false")
    return value


def _whole(field: Any, value: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool):
        raise Unfit("it is no whole number")
    highest = next(most for kind, most in _HIGHEST if isinstance(field, kind))
    lowest = 0 if isinstance(field, _POSITIVE) else -highest - 1
    if not lowest <= value <= highest:
        raise Unfit(f"it is not between {lowest} and {highest}")
    return value


def _number(_: Any, value: Any) -> float:
    if not isinstance(value, int | float) or isinstance(value, bool):
        raise Unfit("it is no number")
    try:
        found = float(value)
    except OverflowError as wrong:
        raise Unfit("it is too large for a number") from wrong
    if not math.isfinite(found):
        raise Unfit("it is no number")
    return found


def _amount(_: Any, value: Any) -> Decimal:
    if not isinstance(value, str) or len(value) > 40:
        raise Unfit("it is no amount, written as text")
    try:
        found = Decimal(value)
    except ArithmeticError as wrong:
        raise Unfit("it is no amount") from wrong
    if not found.is_finite():
        raise Unfit("it is no amount")
    return found


def _moment(_: Any, value: Any) -> datetime:
    try:
        found = datetime.fromisoformat(value)
        if found.tzinfo is None:
            raise Unfit("its time zone is missing")
        return found.astimezone(UTC)
    except (TypeError, ValueError, OverflowError) as wrong:
        raise wrong if isinstance(wrong, Unfit) else Unfit("it is no time in ISO 8601") from wrong


def _day(_: Any, value: Any) -> date:
    try:
        return date.fromisoformat(value)
    except (TypeError, ValueError) as wrong:
        raise Unfit("it is no date in ISO 8601") from wrong


def _plain(field: Any, value: Any) -> Any:
    """JSON that both databases hold and that has a canonical form; a list or an object where it begins as one."""
    begins = field.get_default()
    if begins is not None and type(value) is not type(begins):
        raise Unfit(f"it is no {'list' if isinstance(begins, list) else 'object'}")
    for text in _texts(value):
        _writable(text)
    try:
        canonical(value)
    except (ValueError, RecursionError) as wrong:
        raise Unfit("it holds what no plain data holds") from wrong
    return value


def _texts(value: Any) -> Iterator[str]:
    """Every text in plain data, names among them, at any depth."""
    waiting = [value]
    while waiting:
        here = waiting.pop()
        if isinstance(here, str):
            yield here
        elif isinstance(here, dict):
            waiting += [*here, *here.values()]
        elif isinstance(here, list):
            waiting += here


_CHECKS: list[tuple[type, Callable[[Any, Any], Any]]] = [
    (models.JSONField, _plain),
    (models.BooleanField, _flag),
    (models.DecimalField, _amount),
    (models.FloatField, _number),
    (models.IntegerField, _whole),
    (models.DateTimeField, _moment),
    (models.DateField, _day),
    (models.CharField, _text),
    (models.TextField, _text),
]
