"""One reading of a campaign's rows: what sections share is read once while a document or readiness is drawn up."""

import copy
from collections.abc import Callable
from typing import TypeVar

from portal.brief.models import Campaign

Answer = TypeVar("Answer")


def begin(campaign: Campaign) -> Campaign:
    """The campaign with a memory of its own, for one drawing-up; one that has a memory already keeps it.

    The memory lives as long as what is returned, so that no later page or act can see rows from before an edit.
    """
    if "_read" in campaign.__dict__:
        return campaign
    reading = copy.copy(campaign)
    reading.__dict__["_read"] = {}
    return reading


def once(campaign: Campaign, name: str, read: Callable[[], Answer]) -> Answer:
    """What `read()` answers, asked once in a reading and every time outside of one. The answer is not to be changed."""
    kept = campaign.__dict__.get("_read")
    if kept is None:
        return read()
    if name not in kept:
        kept[name] = read()
    answer: Answer = kept[name]
    return answer


def has(campaign: Campaign, name: str) -> bool:
    """Whether this reading has asked that already, so that a lighter question can be answered from it."""
    return name in campaign.__dict__.get("_read", {})
