"""Proving that a closed brief still says what was signed: its rows, drawn up anew, against the version that holds them.

Rows are proven one by one elsewhere (verify_rows.py). This finds what an act took for granted, and what the worker's
results say, where it reaches the brief.
"""

import json
from collections.abc import Mapping
from typing import Any

from portal.brief import placing, sections
from portal.brief.models import Campaign
from portal.changes import scope
from portal.sealing.proof import Proof

# Follows from who is in the campaign, what they are called and what they answer: settled with the people.
_OF_PEOPLE = "roles"


def draft(campaign: Campaign, document: Mapping[str, Any], proof: Proof) -> None:
    """Note each place of `document`, the draft, that differs from the version out or locked and that nobody opened."""
    version = campaign.open_version or campaign.locked_version
    if version is None:
        return
    for place, name in _outside(campaign, document).items():
        if place[0] != _OF_PEOPLE:
            says = f"the brief as its rows stand is not version {version.number} here, and no change has opened it"
            proof.note(scope.said(place, name), says)


def _outside(campaign: Campaign, document: Mapping[str, Any]) -> dict[tuple[str, str], str]:
    if campaign.open_version is None:
        return scope.departures(campaign, document)[1]
    words = {section.name: section.words for section in sections.sections()}
    return placing.edited(json.loads(campaign.open_version.document), document, words, aside=scope.ASIDE)
