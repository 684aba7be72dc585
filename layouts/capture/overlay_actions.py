"""Asking for set overlays. It changes nothing of the brief, so it works also while that is closed."""

from django.db import transaction
from django.utils import timezone

from layouts.capture import overlay_orders, overlay_source
from layouts.capture.overlay_models import SetOverlay
from layouts.capture.overlay_orders import Options
from layouts.capture.overlay_source import Source
from portal import access
from portal.access import May
from portal.brief import documents
from portal.brief.documents import Brief
from portal.brief.draft import refuse
from portal.models import Campaign, Member, Work
from portal.sealing import log
from portal.work import actions as work
from shots.models import Shot


@transaction.atomic
def ask_overlays(by: Member, shot: str, options: Options) -> list[SetOverlay]:
    """Have the pictures for live view of every capture of a shot made; those that are made are not made again.

    Work that failed is tried once more. Raises PermissionDenied, Shot.DoesNotExist; ValidationError where there is no
    plan, or more is asked for than the worker may draw.
    """
    access.need(by, May.READ_VERSIONS)
    overlay_source.need_draft(by)
    # The shot's row is the queue: two requests at once come one after the other.
    row = Shot.objects.select_for_update().get(key=shot, campaign=by.campaign_id)
    row.campaign = campaign = by.campaign
    found = overlay_source.source(campaign, row)
    overlay_source.need_drawn(by, found)
    if found.plan is None:
        raise refuse("__all__", found.why)
    try:
        orders = overlay_orders.orders(campaign, found, _brief(campaign, found), options)
    except overlay_orders.TooMuch as wrong:
        raise refuse("size", str(wrong)) from wrong
    if not orders:
        raise refuse("__all__", "No single frame serves any placement of this shot, so there is nothing to lay over.")
    owed = [work.owe(overlay_orders.KIND, overlay_orders.RECIPE, **order) for order in orders]
    failed = [one for one in owed if one.state == Work.State.FAILED]
    for one in failed:
        work.retry(one)
    last = list(newest(row))
    # Trying again is asking again: the log holds it, and who is told of another failure is told of this try.
    if not failed and [one.work_id for one in last] == [one.pk for one in owed]:
        return last
    now = timezone.now()
    for order, one in zip(orders, owed, strict=True):
        SetOverlay.objects.update_or_create(
            shot=row,
            work=one,
            defaults={"capture": order["capture"], "version": found.version, "asked_by": by, "asked_at": now},
        )
    log.append(
        by, "overlays.asked", f"shot/{shot}", number=row.number, captures=len(orders), size=options.size,
        stamp=orders[0]["stamp"],
    )  # fmt: skip
    return list(newest(row))


def _brief(campaign: Campaign, found: Source) -> Brief:
    """What the pictures are stamped with: what they are drawn from."""
    return documents.of_version(found.version, campaign) if found.version else documents.draft_of(campaign)


def newest(shot: Shot) -> list[SetOverlay]:
    """A shot's set overlays as they were last asked for, in the order of its captures."""
    rows = SetOverlay.objects.filter(shot=shot)
    last = rows.order_by("-asked_at").values_list("asked_at", flat=True).first()
    if last is None:
        return []
    found = rows.filter(asked_at=last).select_related("work", "version", "asked_by__user")
    return list(found.order_by("capture"))
