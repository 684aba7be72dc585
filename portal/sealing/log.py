"""Writing the campaign's log. Every act appends one entry, in its own transaction."""

from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone

from portal.access import Audience
from portal.brief import standing
from portal.brief.models import Campaign
from portal.people.models import Member
from portal.record import chain
from portal.sealing import written
from portal.sealing.models import LogEntry
from portal.sealing.signals import appended


def append(
    by: Member | None,
    act: str,
    subject: str = "",
    *,
    campaign: Campaign | None = None,
    audience: str = Audience.EVERYONE,
    **payload: Any,
) -> LogEntry:
    """Append an entry to the campaign's log; `by` is None for the portal itself, and then `campaign` is needed.

    Must run inside a transaction, after all that the act writes: the entry vouches for those rows as they then are.
    Payload: plain data (strings, numbers, lists, dicts).
    """
    campaign_id = by.campaign_id if by else campaign.pk  # type: ignore[union-attr]
    # The campaign's row is the log's lock: entries of one campaign queue here.
    head = (
        Campaign.objects.select_for_update()
        .only("key", "code", "log_length", "log_head", "row_salt")
        .get(pk=campaign_id)
    )
    fields: dict[str, Any] = {
        "campaign": head.key,
        "sequence": head.log_length + 1,
        "at": timezone.now(),
        "actor": by.key if by else "",
        "actor_name": str(by) if by else "the portal",
        "act": act,
        "subject": subject,
        "payload": payload,
        "audience": str(audience),
        "before": head.log_head,
        chain.ROWS: written.take_up(head, head.log_length + 1),
    }
    fields["digest"] = chain.entry_digest(fields | {"at": fields["at"].isoformat()})
    entry = LogEntry.objects.create(**fields | {"campaign": head})
    Campaign.objects.filter(pk=campaign_id).update(log_length=fields["sequence"], log_head=fields["digest"])
    _refresh_once(campaign_id)
    appended.send(LogEntry, entry=entry)
    return entry


@dataclass(frozen=True)
class _Refresh:
    """Compute the campaign's standing; two of one campaign are equal, so that a transaction needs but one."""

    campaign_id: int

    def __post_init__(self) -> None:
        # Django names a callback that failed by this.
        object.__setattr__(self, "__qualname__", f"standing.refresh({self.campaign_id})")

    def __call__(self) -> None:
        standing.refresh(self.campaign_id)


def _refresh_once(campaign_id: int) -> None:
    refresh = _Refresh(campaign_id)
    if all(callback != refresh for _, callback, *_ in transaction.get_connection().run_on_commit):
        # Robust: the act is done and stays done, even should a section's readiness fail; the error is logged.
        transaction.on_commit(refresh, robust=True)
