"""Who asked for set overlays hears of it when the worker could not draw them."""

from typing import Any

from django.urls import reverse

from layouts.capture import overlay_actions, overlay_orders
from layouts.capture.overlay_models import SetOverlay
from portal.models import Work
from portal.notices import sent_back
from portal.work.signals import ended


def tell_askers(sender: Any, work: Work, **_: Any) -> None:
    """Of what was asked for last, once for all its captures; said again, it changes nothing."""
    if work.kind != overlay_orders.KIND or work.state != Work.State.FAILED:
        return
    for row in SetOverlay.objects.filter(work=work).select_related("shot__campaign", "asked_by__user"):
        campaign, shot = row.shot.campaign, row.shot
        if row not in overlay_actions.newest(shot):
            continue
        sent_back.tell_sender(
            campaign,
            row.asked_by,
            "overlays-undrawn",
            subject=f"shot/{shot.key}",
            acts="overlays.",
            link=reverse("layouts:set-overlays", args=[campaign.key, shot.key]),
            came_by={},
        )


def connect() -> None:
    """Listen to the worker; called once from AppConfig.ready."""
    ended.connect(tell_askers, dispatch_uid="layouts.capture.overlay_sent_back")
