"""What a locked campaign's first page says of its changes."""

from typing import Any

from portal import access
from portal.access import May
from portal.brief.draft import held
from portal.changes import queries, wording
from portal.people.models import Member
from portal.sealing import queries as sealed


def lines(member: Member) -> dict[str, Any]:
    """What waits for this member's decision, and what is open of the brief to who reads the draft. Three queries."""
    campaign, here = member.campaign, held(member.campaign)
    waiting = queries.to_decide(member)
    found: dict[str, Any] = {"to_decide": waiting, "to_decide_words": wording.to_decide(len(waiting))}
    if here.places and access.may(member, May.READ_DRAFT):
        must_fix = int(campaign.standing.get("must_fix", 0))
        found |= {
            "opened": wording.next_version(here, must_fix),
            "clear": not must_fix,
            "came_back": sealed.why_it_came_back(campaign),
        }
    return found
