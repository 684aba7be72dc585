"""What comes of a sent file only when the worker looks at it: whoever sent it hears of it."""

from collections.abc import Mapping
from typing import Any

from portal.brief.models import Campaign
from portal.notices.actions import Told, note
from portal.people.models import Member
from portal.sealing.models import LogEntry


def tell_sender(
    campaign: Campaign, sender: Member, kind: str, *, subject: str, acts: str, link: str, came_by: Mapping[str, Any]
) -> None:
    """Note it for who sent a file, as told of the entry by which it came; said again, it changes nothing.

    That entry is the last one on `subject` whose act begins with `acts` and whose payload has all of `came_by`. Where
    the log has none nobody is told.
    """
    came = LogEntry.objects.filter(campaign=campaign, subject=subject, act__startswith=acts)
    came = came.filter(**{f"payload__{word}": value for word, value in came_by.items()})
    if entry := came.order_by("-sequence").first():
        note([Told(sender, kind, subject, link, waits=True)], entry.sequence)
