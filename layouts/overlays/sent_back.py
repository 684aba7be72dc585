"""Who sent a layout hears of it when the worker found something that must be mended, or could not read it."""

from typing import Any

from django.urls import reverse

from layouts.overlays import preparing
from layouts.overlays.models import Layout
from portal.models import Work
from portal.notices import sent_back
from portal.work.signals import ended


def tell_senders(sender: Any, work: Work, **_: Any) -> None:
    """Of every current layout that this work checked; said again, it changes nothing."""
    if work.kind != preparing.KIND:
        return
    failed = work.state == Work.State.FAILED
    if not failed and not work.result.get("must_fix"):
        return
    rows = Layout.objects.filter(work=work, current=True)
    for row in rows.select_related("placement__shot__campaign", "sent_by__user"):
        campaign, placement = row.placement.shot.campaign, row.placement
        sent_back.tell_sender(
            campaign,
            row.sent_by,
            "unread" if failed else "fault",
            subject=f"placement/{placement.key}",
            acts="layout.",
            link=reverse("layouts:layout", args=[campaign.key, placement.key]),
            # By which this revision came, or by which its window was last corrected.
            came_by={"revision": row.revision},
        )


def connect() -> None:
    """Listen to the worker; called once from AppConfig.ready."""
    ended.connect(tell_senders, dispatch_uid="layouts.overlays.sent_back")
