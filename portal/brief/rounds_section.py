"""The section "rounds": what a round of amends past those included costs, for who may see the estimate.

How many are included stands with the terms, for everybody.
"""

from typing import Any

from portal.access import May
from portal.brief import fields, sections
from portal.brief.fields import Words
from portal.brief.models import Campaign
from portal.brief.sections import Section

TELLS = Words({}, {"price": fields.text("price of a further round")})


def assemble(campaign: Campaign) -> dict[str, Any]:
    """Plain data: the price in the words of whoever bills it, empty where none is settled."""
    return {"price": campaign.round_price}


def register() -> None:
    sections.register(
        Section(
            "rounds",
            "A further round of amends",
            11,
            assemble,
            "portal/brief/sections/rounds.html",
            read=May.SEE_ESTIMATE,
            words=TELLS,
        )
    )
