"""Owing previews, and acts on them: trying one again, asking for its full pixels."""

from collections.abc import Collection, Iterable

from django.db import transaction

from layouts.formats.models import Placement
from layouts.overlays.models import Layout
from layouts.pictures.models import Mockup
from layouts.previews import recipe
from layouts.previews.models import Preview
from portal import access
from portal.access import May
from portal.models import Member, Work
from portal.sealing import log
from portal.work import actions as work
from shots.models import Shot

# Whoever can change what a preview is made of can have it tried again.
_MENDERS = (May.UPLOAD_LAYOUTS, May.UPLOAD_MOCKUPS, May.EDIT_SHOTS)


def owe_for_placement(placement: Placement) -> None:
    """See that this placement's preview shows what now stands; within the transaction of an act or of ended work."""
    owe_for_placements([placement])


def owe_for_shot(shot: Shot) -> None:
    """The same for all placements of a shot: its mockup, hero zone or crops have changed."""
    owe_for_placements(Placement.objects.filter(shot=shot))


def owe_for_placements(placements: Iterable[Placement]) -> None:
    """The same for many. A placement that is not wanted, or whose shot has no mockup, has no preview.

    While the newest layout is still being prepared, or where it could not be, the one before it that can be shown
    stays, else the bare crop.
    """
    keys = [placement.pk for placement in placements]
    rows = list(Placement.objects.filter(pk__in=keys).select_related("format"))
    mockups = {
        mockup.shot_id: mockup
        for mockup in Mockup.objects.filter(shot__placements__in=keys, current=True).select_related("file").distinct()
    }
    layouts = {
        layout.placement_id: layout
        for layout in Layout.objects.filter(placement__in=keys, current=True).select_related("file", "work")
    }
    before = {
        preview.placement_id: preview
        for preview in Preview.objects.filter(placement__in=keys).select_related("work", "layout__work", "layout__file")
    }
    older = _older({pk for pk, layout in layouts.items() if not recipe.usable(layout)})
    for placement in rows:
        mockup = mockups.get(placement.shot_id)
        was = before.get(placement.pk)
        if mockup is None or not placement.wanted:
            if was:
                was.delete()
            continue
        newest = layouts.get(placement.pk)
        _owe(placement, mockup, newest if recipe.usable(newest) else older.get(placement.pk), was)


def _older(placements: Collection[int]) -> dict[int, Layout]:
    """The newest revision of each of these placements that can be shown."""
    if not placements:
        return {}
    found = Layout.objects.filter(placement__in=placements, work__state=Work.State.DONE).select_related("file", "work")
    return {layout.placement_id: layout for layout in found.order_by("revision")}


def _owe(placement: Placement, mockup: Mockup, layout: Layout | None, was: Preview | None) -> None:
    owed = work.owe("layouts.preview", recipe.PREVIEW, **recipe.inputs(placement, mockup, layout))
    if owed.state == Work.State.FAILED and (was is None or was.work_id != owed.pk):
        work.retry(owed)  # what failed for another placement, or long ago, gets a try of its own
    if was is None:
        Preview.objects.create(placement=placement, layout=layout, mockup=mockup, work=owed)
        return
    if (was.work_id, was.layout_id, was.mockup_id) == (owed.pk, layout and layout.pk, mockup.pk):
        return
    if was.work_id != owed.pk:
        was.shown = was.visible
        was.work, was.detail, was.proof = owed, None, None
    was.layout, was.mockup = layout, mockup
    was.save(update_fields=["work", "shown", "detail", "proof", "layout", "mockup"])


@transaction.atomic
def try_preview_again(by: Member, placement: str) -> None:
    """Owe a placement's preview again where it failed.

    It changes nothing of the brief, so it works also while that is closed. Raises PermissionDenied,
    Preview.DoesNotExist.
    """
    access.need(by, next((act for act in _MENDERS if access.may(by, act)), _MENDERS[0]))
    preview = _preview(by, placement)
    if preview.work.state == Work.State.FAILED:
        work.retry(preview.work)
        log.append(by, "preview.tried-again", f"placement/{placement}")


@transaction.atomic
def ask_detail(by: Member, placement: str) -> Preview:
    """Have the full pixels of a preview's crop made, to look at it pixel for pixel. It changes nothing of the brief.

    Work that failed is tried once more; before the first preview is there, nothing is owed. Raises
    PermissionDenied, Preview.DoesNotExist.
    """
    return _ask(by, placement, "detail", recipe.DETAIL)


@transaction.atomic
def ask_proof(by: Member, placement: str) -> Preview:
    """Have a preview shown as it will print; the rest as with `ask_detail`."""
    return _ask(by, placement, "proof", recipe.PROOF)


def _ask(by: Member, placement: str, what: str, version: int) -> Preview:
    """Owe what a preview has besides its pictures, by the name of its field, which is also that of the work."""
    access.need(by, May.READ_DRAFT)
    preview = _preview(by, placement)
    if preview.visible is None:
        return preview
    owed = work.owe(f"layouts.{what}", version, **preview.visible.inputs)
    if owed.state == Work.State.FAILED:
        work.retry(owed)
    setattr(preview, what, owed)
    preview.save(update_fields=[what])
    return preview


def may_try_again(member: Member) -> bool:
    """Whether this member may have a preview tried again."""
    return any(access.may(member, act) for act in _MENDERS)


def _preview(by: Member, placement: str) -> Preview:
    found = Preview.objects.select_related("work", "shown", "detail", "proof")
    return found.get(placement__key=placement, placement__shot__campaign=by.campaign_id)
