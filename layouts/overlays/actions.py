"""Acts on layout files: receiving them, answering what is asked, correcting a window, letting an older one stand."""

from collections.abc import Sequence
from functools import partial
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
from portal.brief import once as forms
from portal.brief.both import Read, Telling, settle
from portal.brief.draft import ANY, closed_because, need_open, open_draft, refuse
from portal.files.actions import keep
from portal.models import Campaign, LogEntry, Member, StoredFile, Work
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
# How another's window is told to whoever corrected it at the same time.
CORRECTED = Telling(
    ("layout.window-corrected",),
    did="corrected this window",
    meanwhile="while you were at it",
    say=lambda found: (
        f"it is {found['width']} × {found['height']} px, {found['x']} px from the left and {found['y']} px from the top"
        if found
        else "it is the one that was found"
    ),
)


@transaction.atomic
def receive_files(
    by: Member, *, files: "Sequence[File[Any]]", placement: str | None = None, once: str = ""
) -> list[Incoming]:
    """Take layout files in: each becomes its placement's next revision, is asked about, or is refused with a reason.

    With `placement` all are for that one, and only their shape is checked. One bad file loses nothing of the others.
    Returns a row for each file, in their order; a form sent again (`once`) gives the rows it made. Raises
    PermissionDenied, BriefClosed, Placement.DoesNotExist.
    """
    campaign = open_draft(by, May.UPLOAD_LAYOUTS, "layouts", ANY)
    if entries := forms.done(by, once):
        return [_row_of(campaign, entry) for entry in entries]
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
                came.append(_take_in(by, campaign, one, once))
        except OSError:
            came.append(_note(by, campaign, one, None, Incoming.State.REFUSED, STORE_FULL, once=once))
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
def make_current(by: Member, layout: str, *, once: str = "") -> Layout:
    """Let an older revision stand again: it becomes a new revision, and the others stay.

    A form sent again (`once`) makes no other. Raises PermissionDenied, BriefClosed, Layout.DoesNotExist.
    """
    chosen = _open_layout(by, layout)
    if chosen.current or forms.done(by, once):
        return chosen
    made = _revise(by, chosen.placement, chosen.file, chosen.name, window=chosen.window)
    subject = f"placement/{chosen.placement.key}"
    told: dict[str, Any] = {"of": chosen.revision, "revision": made.revision, "sha256": made.file.sha256}
    log.append(by, "layout.stands-again", subject, **told, **forms.mark(once))
    return made


@transaction.atomic
def correct_window(by: Member, layout: str, *, window: dict[str, int] | None, read: Read = None) -> Layout:
    """Say where the poster's own area lies in the file: {x, y, width, height} in its pixels; None for what was found.

    `read`: the window as it was read. Raises PermissionDenied, BriefClosed, Layout.DoesNotExist, ValidationError, and
    of these ChangedMeanwhile where somebody else corrected it.
    """
    row = _open_layout(by, layout)
    if window is not None:
        window = {side: int(window[side]) for side in ("x", "y", "width", "height")}
        _check_window(row, window)
    subject = f"placement/{row.placement.key}"
    settle(by, read, {"window": row.window}, {"window": window}, subject=subject, telling=CORRECTED)
    if window == row.window:
        return row
    was, row.window = row.window, window
    row.work = preparing.owe(row.file, row.name, row.placement.format, window)
    row.save(update_fields=["window", "work"])
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


def _take_in(by: Member, campaign: Campaign, one: Arrived, once: str) -> Incoming:
    """Keep the file where it can be decoded, and note or do what was found of it."""
    note = partial(_note, by, campaign, one, once=once)
    if one.facts is None:
        return note(None, Incoming.State.REFUSED, one.says)
    stored = keep(one.file, type=one.facts.type, width=one.facts.width, height=one.facts.height)
    if one.refused:
        return note(stored, Incoming.State.REFUSED, one.says)
    if one.placement and (reason := closed_because(campaign, "layouts", one.placement.shot.key)):
        return note(stored, Incoming.State.REFUSED, reason)
    if one.placement is None:
        if campaign.incoming.filter(file=stored, state=Incoming.State.ASKED).exists():
            return note(stored, Incoming.State.ASIDE, ASKED_ALREADY)
        return note(stored, Incoming.State.ASKED, one.says, candidates=one.candidates)
    older = one.placement.layouts.filter(file=stored).order_by("-current", "-revision").first()
    if older is None:
        return note(stored, Incoming.State.PLACED, one.says, layout=_revise(by, one.placement, stored, one.name))
    if older.current:
        says = (
            f"This is revision {older.revision} of {words(one.placement)} itself, byte for byte: nothing was changed."
        )
        return note(stored, Incoming.State.ASIDE, says, layout=older)
    says = (
        f"These are the bytes of revision {older.revision} of {words(one.placement)}, which a newer revision replaced. "
        "Is it really to stand again?"
    )
    return note(stored, Incoming.State.ASKED, says, candidates=[one.placement.key])


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
    once: str = "",
) -> Incoming:
    """The row of a file that came, and its entry in the log: where it was placed that is about the placement."""
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
    if layout and state == Incoming.State.PLACED:
        _log_sent(by, layout, once)
    else:
        sha256 = _sha256(stored) or arriving.sha256_of(one.file)
        told: dict[str, Any] = {"name": row.name, "sha256": sha256, "says": says}
        log.append(by, f"layout.{state}", f"incoming/{row.key}", **told, **forms.mark(once))
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


def _log_sent(by: Member, made: Layout, once: str = "") -> None:
    subject = f"placement/{made.placement.key}"
    told: dict[str, Any] = {"revision": made.revision, "name": made.name, "sha256": made.file.sha256}
    log.append(by, "layout.sent", subject, **told, **forms.mark(once))


def _row_of(campaign: Campaign, entry: LogEntry) -> Incoming:
    """The row of a file that an entry tells of: where it was placed at once, the entry is about the placement."""
    if entry.subject.startswith("incoming/"):
        return campaign.incoming.get(key=forms.key(entry))
    placed = campaign.incoming.filter(layout__placement__key=forms.key(entry))
    return placed.filter(layout__revision=entry.payload["revision"]).earliest("pk")


def _sha256(stored: StoredFile | None) -> str:
    return stored.sha256 if stored else ""
