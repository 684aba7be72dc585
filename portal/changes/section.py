"""The sections "changes" and "change-money": the accepted changes that a version contains, the money apart."""

from collections.abc import Collection, Mapping
from typing import Any

from portal.access import May
from portal.brief import fields, reading, sections
from portal.brief.fields import Field, Thing, Words
from portal.brief.models import Campaign
from portal.brief.sections import Picture, Section
from portal.changes import presence, queries, wording
from portal.changes.models import Change
from portal.changes.proof import plain
from portal.changes.subject import find
from portal.files import pictures as kept
from portal.files.models import StoredFile
from portal.sealing import words
from portal.talk import subjects

_KINDS = dict(Change.Kind.choices)
_NUMBERS = {"type": ["string", "null"], "pattern": "^-?[0-9]+\\.[0-9]{2}$"}


def _hours(label: str) -> Field:
    return Field(label, lambda hours, _: said_hours(hours), _NUMBERS)


def said_hours(hours: str | None) -> str:
    """ "1.5 h" of "1.50"; "not said"."""
    return "not said" if hours is None else f"{hours.rstrip('0').rstrip('.')} h"


TELLS = Words(
    {
        "": Thing(
            "change",
            lambda row, _: f"change {row['number']}",
            {
                "number": fields.number("number", least=1),
                "kind": fields.choice("kind", _KINDS),
                "on_version": fields.number("raised on version", least=1),
                "what": fields.text("what"),
                "why": fields.text("why"),
                "asked_by": fields.text("asked by"),
                "decided_by": fields.text("accepted by"),
                "decided_for": fields.text("in the place of"),
                "decided_at": fields.day("on"),
                "decided_why": fields.text("with the words"),
                "decided_away": fields.yes_no("decided away from the set"),
                "hours_low": _hours("fewest hours"),
                "hours_likely": _hours("likely hours"),
                "hours_high": _hours("most hours"),
                "retouching": fields.text("retouching"),
                "plates": fields.text("plates"),
                "lists": fields.text("lists"),
                "opens": fields.text("opens"),
                "happened_at": fields.day("done on"),
                "present": fields.several("present"),
                "guests": fields.several("guests present"),
                "sha256": Field(
                    "photo",
                    lambda sha256, _: "a photo" if sha256 else fields.EMPTY,
                    {"type": ["string", "null"], "pattern": "^[0-9a-f]{64}$"},
                    picture=True,
                ),
            },
            about=("what", "asked_by", "decided_by"),
        )
    }
)
MONEY = Words(
    {
        "": Thing(
            "amount",
            lambda row, _: f"change {row['number']}, money",
            {
                "number": fields.number("number", least=1),
                "amount": Field("amount", schema=_NUMBERS),
                "currency": fields.text("currency"),
            },
            about=("amount", "currency"),
        )
    }
)


def _accepted(campaign: Campaign) -> list[Change]:
    return reading.once(campaign, "changes", lambda: list(queries.accepted(campaign)))


def assemble(campaign: Campaign) -> list[dict[str, Any]]:
    """The accepted changes in their order, without the money."""
    return [_row(change) for change in _accepted(campaign)]


def assemble_money(campaign: Campaign) -> list[dict[str, Any]]:
    """What the accepted changes cost, of those that cost something."""
    return [
        {"id": change.key, "number": change.number, "amount": plain(change.money), "currency": change.currency}
        for change in _accepted(campaign)
        if change.money is not None
    ]


def _row(change: Change) -> dict[str, Any]:
    return {
        "id": change.key,
        "number": change.number,
        "kind": change.kind,
        "on_version": change.on_version.number,
        "what": change.what,
        "why": change.why,
        "asked_by": change.asked_by,
        "decided_by": change.decided_name,
        "decided_for": str(change.decided_for.user) if change.decided_for else "",
        "decided_at": _time(change.decided_at),
        "decided_why": change.decided_why,
        "decided_away": change.decided_away,
        "hours_low": plain(change.hours_low),
        "hours_likely": plain(change.hours_likely),
        "hours_high": plain(change.hours_high),
        "retouching": change.retouching,
        "plates": change.plates,
        "lists": change.lists,
        "opens": change.opens_words,
        "happened_at": _time(change.happened_at),
        "present": presence.names(change.present),
        "guests": presence.guests(change.present),
        "sha256": change.photo.sha256 if change.photo else None,
    }


def _time(at: Any) -> str | None:
    return at.isoformat(timespec="seconds") if at else None


def pictures(campaign: Campaign, wanted: Collection[str]) -> dict[str, Picture]:
    """Copies of these photos that are made, of this campaign's changes."""
    files = StoredFile.objects.filter(sha256__in=wanted, pk__in=campaign.changes.values("photo"))
    found = {sha256: kept.copy_in(work) for sha256, work in kept.copies(files).items()}
    return {sha256: _picture(copy) for sha256, copy in found.items() if copy}


def _picture(copy: Mapping[str, Any]) -> Picture:
    return Picture(copy["path"], copy["type"], copy["width"], copy["height"])


def register() -> None:
    subjects.register("change", find)
    template = "portal/changes/section.html"
    sections.register(Section("changes", "Changes", 90, assemble, template, words=TELLS, pictures=pictures))
    template = "portal/changes/money_section.html"
    sections.register(
        Section("change-money", "Money of changes", 91, assemble_money, template, read=May.SEE_ESTIMATE, words=MONEY)
    )
    words.register(
        {
            "change.raised": wording.raised,
            "change.accepted": "{who} accepted change {number}{for_whom}{away}: {what}",
            "change.refused": "{who} refused change {number}{for_whom}: {reason}",
            "change.withdrawn": "{who} withdrew change {number}: {what}",
        }
    )
