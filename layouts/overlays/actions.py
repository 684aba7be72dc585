"""Acts on layout files: receiving them, answering what is asked, correcting a window, letting an older one stand."""

from collections.abc import Sequence
from typing import Any

from django.core.files import File
from django.db import transaction

from layouts.formats.models import Placement
from layouts.formats.queries import words
from layouts.overlays import arriving, looking, preparing
from layouts.overlays.arriving import Arrived
from layouts.overlays.models import Incoming, Layout
from layouts.previews.actions import owe_for_placement
from portal.access import May
from portal.brief.draft import ANY, closed_because, need_open, open_draft, refuse
from portal.files.actions import keep
from portal.models import Campaign, Member, StoredFile, Work
from portal.sealing import log
from portal.work import actions as work

STORE_FULL = (
    "The portal could not store this file; its disk may be full. Tell whoever keeps the portal, then send it again."
)
ASKED_ALREADY = "This file has come before, and which placement it is for is asked about already."
# Candidates that a question remembers: more is no question but "which?".
MOST_CANDIDATES = 50
# A corrected window has the format's shape to within this.
SAME_SHAPE = 0.01


@transaction.atomic
def receive_files(by: Member, *, files: "Sequence[File[Any]]", placement: str | None = None) -> list[Incoming]:
    """Take layout files in: each becomes its placement's next revision, is asked about, or is refused with a reason.

    With `placement` all are for that one, and only their shape is checked. One bad file loses nothing of the others.
    Returns a row for each file, in their order. Raises PermissionDenied, BriefClosed, Placement.DoesNotExist.
    """
    campaign = open_draft(by, May.UPLOAD_LAYOUTS, "layouts", ANY)
    arrived = [arriving.check(file) for file in files]
    if placement is None:
        arriving.find_places(campaign, arrived)
    else:
        to = _placements(campaign).get(key=placement)
        need_open(campaign, "layouts", to.shot.key)
        for one in arrived:
            arriving.meant_for(one, to)
    came = []
    for one in arrived:
        try:
            with transaction.atomic():
                came.append(_take_in(by, campaign, one))
        except OSError:
            came.append(_note(by, campaign, one, None, Incoming.State.REFUSED, STORE_FULL))
    return came


@transaction.atomic
def answer_question(by: Member, incoming: str, *, placement: str) -> Layout:
    """Say which placement a file that is asked about is for; it becomes that placement's next revision.

    Raises PermissionDenied, BriefClosed, Incoming.DoesNotExist (also when it was answered already),
    Placement.DoesNotExist, ValidationError.
    """
    return _settle(by, incoming, placement, Incoming.State.ASKED)


@transaction.atomic
def place_file(by: Member, incoming: str, *, placement: str) -> Layout:
    """Give a file that was put aside a placement after all. Raises as `answer_question` does."""
    return _settle(by, incoming, placement, Incoming.State.ASIDE)


@transaction.atomic
def set_aside(by: Member, incoming: str) -> Incoming:
    """Put a file aside that is asked about or was refused: it is kept, and no longer asks for anything.

    Raises PermissionDenied, BriefClosed, Incoming.DoesNotExist.
    """
    open_draft(by, May.UPLOAD_LAYOUTS, "layouts", ANY)
    states = (Incoming.State.ASKED, Incoming.State.REFUSED)
    row = Incoming.objects.select_related("file").get(key=incoming, campaign=by.campaign_id, state__in=states)
    was, row.state = row.state, Incoming.State.ASIDE
    row.save(update_fields=["state"])
    log.append(by, "layout.put-aside", f"incoming/{row.key}", name=row.name, sha256=_sha256(row.file), was=was)
    return row


@transaction.atomic
def make_current(by: Member, layout: str) -> Layout:
    """Let an older revision stand again: it becomes a new revision, and the others stay.

    Raises PermissionDenied, BriefClosed, Layout.DoesNotExist.
    """
    chosen = _open_layout(by, layout)
    if chosen.current:
        return chosen
    made = _revise(by, chosen.placement, chosen.file, chosen.name, window=chosen.window)
    subject = f"placement/{chosen.placement.key}"
    log.append(by, "layout.stands-again", subject, of=chosen.revision, revision=made.revision, sha256=made.file.sha256)
    return made


@transaction.atomic
def correct_window(by: Member, layout: str, *, window: dict[str, int] | None) -> Layout:
    """Say where the poster's own area lies in the file: {x, y, width, height} in its pixels; None for what was found.

    Raises PermissionDenied, BriefClosed, Layout.DoesNotExist, ValidationError.
    """
    row = _open_layout(by, layout)
    if window is not None:
        window = {side: int(window[side]) for side in ("x", "y", "width", "height")}
        _check_window(row, window)
    if window == row.window:
        return row
    was, row.window = row.window, window
    row.work = preparing.owe(row.file, row.name, row.placement.format, window)
    row.save(update_fields=["window", "work"])
    subject = f"placement/{row.placement.key}"
    log.append(by, "layout.window-corrected", subject, revision=row.revision, was=was, now=window)
    if row.current:
        owe_for_placement(row.placement)
    return row


@transaction.atomic
def try_again(by: Member, layout: str) -> Layout:
    """Owe the checking of a layout again where it failed.

    Raises PermissionDenied, BriefClosed, Layout.DoesNotExist.
    """
    row = _open_layout(by, layout)
    if row.work.state == Work.State.FAILED:
        work.retry(row.work)
        log.append(by, "layout.tried-again", f"placement/{row.placement.key}", revision=row.revision)
    return row


def _take_in(by: Member, campaign: Campaign, one: Arrived) -> Incoming:
    """Keep the file where it can be decoded, and note or do what was found of it."""
    if one.facts is None:
        return _note(by, campaign, one, None, Incoming.State.REFUSED, one.says)
    stored = keep(one.file, type=one.facts.type, width=one.facts.width, height=one.facts.height)
    if one.refused:
        return _note(by, campaign, one, stored, Incoming.State.REFUSED, one.says)
    if one.placement and (reason := closed_because(campaign, "layouts", one.placement.shot.key)):
        return _note(by, campaign, one, stored, Incoming.State.REFUSED, reason)
    if one.placement is None:
        if campaign.incoming.filter(file=stored, state=Incoming.State.ASKED).exists():
            return _note(by, campaign, one, stored, Incoming.State.ASIDE, ASKED_ALREADY)
        return _note(by, campaign, one, stored, Incoming.State.ASKED, one.says, candidates=one.candidates)
    older = one.placement.layouts.filter(file=stored).order_by("-current", "-revision").first()
    if older is None:
        made = _revise(by, one.placement, stored, one.name)
        _log_sent(by, made)
        return _note(by, campaign, one, stored, Incoming.State.PLACED, one.says, layout=made, logged=True)
    if older.current:
        says = (
            f"This is revision {older.revision} of {words(one.placement)} itself, byte for byte: nothing was changed."
        )
        return _note(by, campaign, one, stored, Incoming.State.ASIDE, says, layout=older)
    says = (
        f"These are the bytes of revision {older.revision} of {words(one.placement)}, which a newer revision replaced. "
        "Is it really to stand again?"
    )
    return _note(by, campaign, one, stored, Incoming.State.ASKED, says, candidates=[one.placement.key])


def _note(
    by: Member,
    campaign: Campaign,
    one: Arrived,
    stored: StoredFile | None,
    state: str,
    says: str,
    *,
    candidates: Sequence[str] = (),
    layout: Layout | None = None,
    logged: bool = False,
) -> Incoming:
    """The row of a file that came; an entry in the log unless the act that placed it wrote one."""
    row = Incoming.objects.create(
        campaign=campaign,
        state=state,
        file=stored,
        name=one.name,
        says=says,
        candidates=list(candidates)[:MOST_CANDIDATES],
        layout=layout,
        sent_by=by,
    )
    if stored and state == Incoming.State.ASKED:
        looking.owe_look(stored)
    if not logged:
        sha256 = _sha256(stored) or arriving.sha256_of(one.file)
        log.append(by, f"layout.{state}", f"incoming/{row.key}", name=row.name, sha256=sha256, says=says)
    return row


def _settle(by: Member, incoming: str, placement: str, state: str) -> Layout:
    campaign = open_draft(by, May.UPLOAD_LAYOUTS, "layouts", ANY)
    row = Incoming.objects.select_related("file").get(key=incoming, campaign=campaign, state=state)
    to = _placements(campaign).get(key=placement)
    need_open(campaign, "layouts", to.shot.key)
    if row.file is None:
        raise refuse("placement", "This file was not kept, for it could not be read. Send it again.")
    if reason := arriving.refusal_of_stored(row.file, to):
        raise refuse("placement", reason)
    made = _revise(by, to, row.file, row.name)
    row.state, row.layout = Incoming.State.PLACED, made
    row.save(update_fields=["state", "layout"])
    _log_sent(by, made)
    return made


def _revise(
    by: Member, placement: Placement, file: StoredFile, name: str, *, window: dict[str, int] | None = None
) -> Layout:
    """Make a file the placement's next revision and the current one; owe its inspection, and the preview."""
    before = list(placement.layouts.order_by("-revision").values_list("revision", flat=True)[:1])
    placement.layouts.filter(current=True).update(current=False)
    made = Layout(
        placement=placement,
        revision=1 + (before[0] if before else 0),
        file=file,
        name=name,
        sent_by=by,
        work=preparing.owe(file, name, placement.format, window),
        window=window,
    )
    made.full_clean(exclude=["placement", "file", "sent_by", "work"])
    made.save()
    owe_for_placement(placement)
    return made


def _check_window(layout: Layout, window: dict[str, int]) -> None:
    wide, high = layout.file.width, layout.file.height
    x, y, width, height = (window[side] for side in ("x", "y", "width", "height"))
    if min(x, y) < 0 or min(width, height) < 1 or x + width > wide or y + height > high:
        raise refuse("__all__", f"The window must lie inside the file, which is {wide} × {high} px.")
    wanted, found = layout.placement.format.aspect, width / height
    # One pixel of rounding on the shorter side is no other shape.
    if abs(found - wanted) > (SAME_SHAPE + 1 / min(width, height)) * wanted:
        raise refuse(
            "__all__",
            f"{width} × {height} px is {found:.2f} : 1; {layout.placement.format} is {wanted:.2f} : 1. "
            "The window has the shape of the poster.",
        )


def _placements(campaign: Campaign) -> Any:
    return Placement.objects.select_related("shot", "format").filter(shot__campaign=campaign, wanted=True)


def _open_layout(by: Member, key: str) -> Layout:
    """The layout, its shot's layouts open to editing."""
    campaign = open_draft(by, May.UPLOAD_LAYOUTS, "layouts", ANY)
    found = Layout.objects.select_related("placement__shot", "placement__format", "file", "work")
    row = found.get(key=key, placement__shot__campaign=by.campaign_id)
    need_open(campaign, "layouts", row.placement.shot.key)
    return row


def _log_sent(by: Member, made: Layout) -> None:
    subject = f"placement/{made.placement.key}"
    log.append(by, "layout.sent", subject, revision=made.revision, name=made.name, sha256=made.file.sha256)


def _sha256(stored: StoredFile | None) -> str:
    return stored.sha256 if stored else ""
