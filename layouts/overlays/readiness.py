"""What readiness finds about layouts: those that are owed, being checked, faulty or unreadable, and open questions."""

from typing import Any

from django.urls import reverse

from layouts.formats.queries import read_states, state
from layouts.overlays.doubts import doubts
from layouts.overlays.models import Incoming
from layouts.overlays.older import Reshaped
from portal import access
from portal.access import May, Role
from portal.brief.finding import Finding
from portal.models import Campaign
from portal.people.languages import name_of
from portal.site.addresses import of_each
from portal.site.sentences import count, sentence

_DESIGNER = (Role.DESIGNER,)
_SENDERS = tuple(access.roles_that_may(May.UPLOAD_LAYOUTS))
# What is said of each kind of finding, as in sentences.Clause.
KINDS = {
    "layout": ("layout", "is still owed", "are still owed"),
    "layout check": ("layout", "is being checked", "are being checked"),
    "layout fault": ("layout", "must be mended", "must be mended"),
    "layout unread": ("layout", "could not be read", "could not be read"),
    "layout look": ("layout", "is worth a look", "are worth a look"),
    "layout older": ("layout", "is older than its crop", "are older than their crops"),
    "question": ("file", "waits for its place", "wait for their places"),
}


def ready(campaign: Campaign) -> list[Finding]:
    """Findings placement by placement, then the questions; a few queries for any number of placements."""
    address = of_each("layouts:layout", campaign.key)
    several = len(campaign.languages) > 1
    found = []
    in_doubt, reshaped = doubts(campaign), Reshaped(campaign)
    for row in read_states(campaign):
        look = (row["worth_a_look"] or 0) + len(in_doubt.get(row["key"], ()))
        where = f"{row['format__name']}, {name_of(row['language'])}" if several else row["format__name"]
        finding = _of(row, where, address(row["key"]), look)
        found += [finding] if finding else []
        if older := reshaped.since(row):
            found.append(_older(row, where, address(row["key"]), older))
    return found + _questions(campaign)


def _older(row: dict[str, Any], where: str, url: str, older: str) -> Finding:
    number = row["shot__number"]
    says = f"The layout of shot {number} for {where} {older}: does its type still stand where it should?"
    what = f"{where}, shot {number}"
    return Finding("worth-a-look", says, what, "older than its crop", _SENDERS, url, "layout older")


def _of(row: dict[str, Any], where: str, url: str, look: int) -> Finding | None:
    """What is to be said of one placement, of which `where` names format and language; None where all is well."""
    number = row["shot__number"]
    what = f"{where}, shot {number}"
    match state(row["now__revision"], row["now__work__state"], row["must_fix"]):
        case "owed":
            says = f"Shot {number} has no layout for {where}."
            return Finding("must-fix", says, what, "designer owes a file", _DESIGNER, url, "layout", shot=number)
        case "working":
            says = f"The layout of shot {number} for {where} is still being checked."
            # The portal's own work: nobody is asked for anything.
            return Finding("must-fix", says, what, "being checked", (), url, "layout check", waivable=False)
        case "failed":
            says = f"The layout of shot {number} for {where} could not be read: {row['now__work__says']}"
            return Finding("must-fix", says, what, "could not be read", _SENDERS, url, "layout unread", shot=number)
        case "fix":
            faults = count(row["must_fix"], "fault")
            says = sentence(f"The layout of shot {number} for {where} has {faults} to mend")
            return Finding("must-fix", says, what, f"{faults} to mend", _SENDERS, url, "layout fault", shot=number)
    if look:
        says = sentence(f"The layout of shot {number} for {where} has {count(look, 'point')} worth a look")
        return Finding("worth-a-look", says, what, "worth a look", _SENDERS, url, "layout look")
    return None


def _questions(campaign: Campaign) -> list[Finding]:
    url = reverse("layouts:layouts", args=[campaign.key])
    names = Incoming.objects.filter(campaign=campaign, state=Incoming.State.ASKED).values_list("name", flat=True)
    return [
        Finding(
            "must-fix",
            f"It is not known which placement {name} is for.",
            name,
            "designer to say",
            _SENDERS,
            url,
            "question",
        )
        for name in names
    ]
