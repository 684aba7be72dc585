"""Who sent a file hears of it when the worker found something that must be mended, or could not read it."""

from typing import Any

from django.urls import reverse

from layouts.overlays import preparing
from layouts.overlays.models import Layout
from portal.models import LogEntry, Work
from portal.notices.actions import Told, note
from portal.work.signals import ended


def tell_sender(sender: Any, work: Work, **_: Any) -> None:
    """Note it for the sender of every current layout that this work checked; said again, it changes nothing."""
    if work.kind != preparing.KIND:
        return
    failed = work.state == Work.State.FAILED
    if not failed and not work.result.get("must_fix"):
        return
    rows = Layout.objects.filter(work=work, current=True)
    for row in rows.select_related("placement__shot__campaign", "sent_by__user"):
        _note(row, "unread" if failed else "fault")


def _note(row: Layout, kind: str) -> None:
    campaign = row.placement.shot.campaign
    subject = f"placement/{row.placement.key}"
    # The entry by which this revision came, or by which its window was last corrected.
    entry = LogEntry.objects.filter(
        campaign=campaign, subject=subject, act__startswith="layout.", payload__revision=row.revision
    ).order_by("-sequence")
    link = reverse("layouts:layout", args=[campaign.key, row.placement.key])
    if came := entry.first():
        note([Told(row.sent_by, kind, subject, link, waits=True)], came.sequence)


def connect() -> None:
    """Listen to the worker; called once from AppConfig.ready."""
    ended.connect(tell_sender, dispatch_uid="layouts.overlays.sent_back")
