"""Layouts that were sent before the picture under them last changed its shape.

Exactly: the placement's current layout came before the last of these entries of the log: its crop was set or given
back (`placement.cropped`); its shot's hero zone was marked anew (`hero.marked`), which a mockup of another shape always
asks for; an earlier mockup was let stand again (`mockup.stands-again`). A new mockup of the same shape keeps hero zone
and crops, and is none of these.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db.models import Max
from django.utils.timezone import localtime

from portal.models import Campaign

_RESHAPES = {
    "placement.cropped": "its crop",
    "hero.marked": "the hero zone",
    "mockup.stands-again": "the mockup",
}


class Reshaped:
    """When the picture under each placement last changed its shape, and what changed it; one query for a campaign."""

    def __init__(self, campaign: Campaign) -> None:
        entries = campaign.log.filter(act__in=_RESHAPES).order_by()
        self._last: dict[str, tuple[datetime, str]] = {}
        for subject, act, at in entries.values_list("subject", "act").annotate(at=Max("at")):
            self._last[subject] = max(self._last.get(subject, (at, act)), (at, act))

    def since(self, row: Mapping[str, Any]) -> str:
        """What changed after the layout of a row of `read_states` was sent, as the end of a sentence; empty for none.

        "was sent on 2 March at 10:04, and its crop changed on 5 March at 17:30".
        """
        places = (f"placement/{row['key']}", f"shot/{row['shot__key']}")
        last = max((self._last[place] for place in places if place in self._last), default=None)
        sent = row["now__sent_at"]
        if last is None or sent is None or last[0] <= sent:
            return ""
        return f"was sent on {_said(sent)}, and {_RESHAPES[last[1]]} changed on {_said(last[0])}"


def _said(at: datetime) -> str:
    on = localtime(at)
    return f"{on.day} {on:%B} at {on:%H:%M}"
