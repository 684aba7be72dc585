"""Who sent a mockup hears of it when the worker could not read it."""

from typing import Any

from django.urls import reverse

from layouts.pictures.models import Mockup
from portal.models import Work
from portal.notices import sent_back
from portal.work.signals import ended


def tell_senders(sender: Any, work: Work, **_: Any) -> None:
    """Of every current mockup of these bytes; said again, it changes nothing."""
    if work.kind != "layouts.copies" or work.state != Work.State.FAILED:
        return
    for row in Mockup.objects.filter(work=work, current=True).select_related("shot__campaign", "sent_by__user"):
        campaign, shot = row.shot.campaign, row.shot
        sent_back.tell_sender(
            campaign,
            row.sent_by,
            "unread",
            subject=f"shot/{shot.key}",
            acts="mockup.",
            link=reverse("layouts:mockup", args=[campaign.key, shot.key]),
            came_by={},
        )


def connect() -> None:
    """Listen to the worker; called once from AppConfig.ready."""
    ended.connect(tell_senders, dispatch_uid="layouts.pictures.sent_back")
