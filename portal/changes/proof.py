"""What proves a change: a digest of all that was raised, money and photo among it, without showing any of it."""

from decimal import Decimal
from typing import Any

from portal.changes.models import Change
from portal.record.canonical import canonical, digest


def proof_of(change: Change) -> str:
    """SHA-256 over the canonical form (RFC 8785) of what was raised, with the row's random salt."""
    return digest(canonical(_raised(change)))


def plain(amount: Decimal | None) -> str | None:
    """Hours or money as text with two decimals: a number would be written in many ways."""
    return None if amount is None else f"{amount:.2f}"


def _raised(change: Change) -> dict[str, Any]:
    return {
        "key": change.key,
        "number": change.number,
        "kind": str(change.kind),
        "on_version": change.on_version.number,
        "what": change.what,
        "why": change.why,
        "asked_by": change.asked_by,
        "raised_by": change.raised_by.key,
        "happened_at": change.happened_at.isoformat() if change.happened_at else None,
        "hours": [plain(hours) for hours in (change.hours_low, change.hours_likely, change.hours_high)],
        "money": plain(change.money),
        "currency": change.currency,
        "retouching": change.retouching,
        "plates": change.plates,
        "lists": change.lists,
        "opens": [list(place) for place in change.opens],
        "opens_words": change.opens_words,
        "present": change.present,
        "agrees_name": change.agrees_name,
        "photo": change.photo.sha256 if change.photo else None,
        "sent_as": change.sent_as,
        "salt": change.salt,
    }
