"""Whether a draft departs from the locked version only where accepted changes have opened it."""

import json
from collections.abc import Mapping
from typing import Any

from portal.brief import draft, placing, sections
from portal.brief.models import Campaign
from portal.changes.places import Place, called, shots
from portal.site.sentences import count

# Cited, not edited; waivers go with what they waive; who signs is settled with the people and not by a change.
ASIDE = ("changes", "change-money", "waivers", "campaign.signers")
# Written with the terms.
_WITH_TERMS = {"rounds": "campaign"}


def departures(campaign: Campaign, document: Mapping[str, Any]) -> tuple[dict[Place, str], dict[Place, str]]:
    """Where a draft differs from the locked version: within what changes have opened, and outside of it.

    Each place with the name of what differs there first. The campaign must be locked.
    """
    assert campaign.locked_version is not None  # noqa: S101  the caller looked
    signed = json.loads(campaign.locked_version.document)
    words = {section.name: section.words for section in sections.sections()}
    found = placing.edited(signed, document, words, aside=ASIDE)
    opened, signed_shots = draft.held(campaign).places, {shot.key for shot in shots(signed)}
    within: dict[Place, str] = {}
    outside: dict[Place, str] = {}
    for (section, shot), name in found.items():
        place = (_WITH_TERMS.get(section, section), shot)
        new_shot = bool(shot) and shot not in signed_shots and ("shots", "") in opened
        held = within if new_shot or opened & {place, (place[0], "")} else outside
        held.setdefault(place, name)
    return within, outside


def refusal(campaign: Campaign, document: Mapping[str, Any]) -> str:
    """Why a draft cannot follow the locked version, as a sentence; empty where it can, and before any lock."""
    if campaign.locked_version is None:
        return ""
    within, outside = departures(campaign, document)
    number = campaign.locked_version.number
    if outside:
        first = next(iter(outside))
        more = f", and {count(len(outside) - 1, 'more place')}" if len(outside) > 1 else ""
        return (
            f"The brief differs from version {number} where no change has opened it: "
            f"{said(first, outside[first])}{more}. "
            "Raise a change that names it, or put it back as it was signed."
        )
    if not within:
        return f"Nothing in the brief differs from version {number} yet: there is nothing new to sign."
    return ""


def said(place: Place, name: str) -> str:
    """ "Props: Slate vase, shot 2"."""
    title = next((called(section) for section in sections.sections() if section.name == place[0]), place[0])
    return f"{title}: {name}" if name else title
