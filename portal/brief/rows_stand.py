"""In what state the rows that a page shows are: locked, put forward, or a draft that a change has opened."""

from collections.abc import Collection
from dataclasses import dataclass

from portal.brief.draft import held
from portal.brief.models import Campaign
from portal.site.sentences import joined


@dataclass(frozen=True)
class RowsStand:
    """`says`: a sentence. `draft`: nobody has signed the rows as they are. `locked`: the locked version's number."""

    says: str
    draft: bool
    locked: int | None = None


def rows_stand(campaign: Campaign, sections: Collection[str], shot: str = "") -> RowsStand:
    """How the rows of these sections stand, of one shot by its key or of all; one query for a closed brief, else none.

    An open change counts from when it is accepted, before anything is edited: what is locked no longer binds the rows.
    """
    here = held(campaign)
    if here.out is not None:
        holds = "" if here.locked is None else f" Version {here.locked} holds until then."
        return RowsStand(f"Version {here.out}, put forward and not signed by all yet.{holds}", True, here.locked)
    if here.locked is None:
        return RowsStand("Draft: nobody has signed this yet.", True)
    opened = [
        f"change {number} has opened {words}"
        for number, places, words in here.opened
        if any(section in sections and (not shot or of in ("", shot)) for section, of in places)
    ]
    if not opened:
        return RowsStand(f"Locked as version {here.locked}.", False, here.locked)
    rest = "this may differ from" if shot else "what it names may differ from"
    return RowsStand(f"Draft: {joined(opened)}, so {rest} version {here.locked}, which is locked.", True, here.locked)
