"""Who sent a mockup hears of it when the worker could not read it."""

from typing import Any

from django.urls import reverse

from layouts.pictures.models import Mockup
from portal.models import LogEntry, Work
from portal.notices.actions import Told, note
from portal.work.signals import ended


def tell_sender(sender: Any, work: Work, **_: Any) -> None:
    """Note it for the sender of every current mockup of these bytes; said again, it changes nothing."""
    if work.kind != "layouts.copies" or work.state != Work.State.FAILED:
        return
    rows = Mockup.objects.filter(work=work, current=True).select_related("shot__campaign", "sent_by__user")
    for row in rows:
        subject = f"shot/{row.shot.key}"
        sent = LogEntry.objects.filter(campaign=row.shot.campaign, subject=subject, act__startswith="mockup.")
        if came := sent.order_by("-sequence").first():
            link = reverse("layouts:mockup", args=[row.shot.campaign.key, row.shot.key])
            note([Told(row.sent_by, "unread", subject, link, waits=True)], came.sequence)


def connect() -> None:
    """Listen to the worker; called once from AppConfig.ready."""
    ended.connect(tell_sender, dispatch_uid="layouts.pictures.sent_back")
