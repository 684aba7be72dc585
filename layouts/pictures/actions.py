"""Acts on mockups: sending one, marking its hero zone, letting an earlier one stand again."""

from typing import Any

from django.core.files import File
from django.db import transaction

from layouts.imaging.geometry import Zone, check_zone
from layouts.pictures.arrived import keep_picture
from layouts.pictures.models import Mockup
from layouts.previews.actions import owe_for_shot
from portal import access
from portal.access import May
from portal.brief import once as forms
from portal.brief.both import Read, Telling, settle
from portal.brief.draft import ANY, need_open, open_draft, refuse
from portal.brief.fields import zone_words
from portal.files.names import clean_name
from portal.models import Member, StoredFile, Work
from portal.sealing import log
from portal.work import actions as work
from shots.models import Shot

COPIES_RECIPE = 1
# Widths of the copies that pages show, in px: a thumbnail, a column, the width of the page.
COPY_WIDTHS = (480, 1200, 2400)
# Two pictures have the same shape when their aspects differ by less than this: a hero zone then carries over.
SAME_SHAPE = 0.005
# How another's hero zone is told to whoever marked one at the same time.
MARKED = Telling(
    ("hero.marked",),
    did="marked it",
    meanwhile="while you were at it",
    beside="changed the mockup that it is marked on",
    beside_acts=("mockup.sent", "mockup.stands-again"),
    say=lambda hero: f"it is {zone_words(hero)}" if hero else "none is marked",
)


@transaction.atomic
def add_mockup(by: Member, shot: str, *, file: File, name: str = "", once: str = "") -> Mockup:
    """Make a picture the shot's mockup: a new revision, with the hero zone of the last where the shape is the same.

    A form sent again (`once`) gives the revision that it made.
    Raises PermissionDenied, BriefClosed, Shot.DoesNotExist; ValidationError for a file that cannot be a mockup.
    """
    open_draft(by, May.UPLOAD_MOCKUPS, "pictures", shot)
    to = Shot.objects.get(key=shot, campaign=by.campaign_id)
    if entries := forms.done(by, once):
        return to.mockups.get(revision=entries[0].payload["revision"])
    stored = keep_picture(file)
    revisions = list(to.mockups.select_related("file"))
    last = next((mockup for mockup in revisions if mockup.current), None)
    if last and last.file_id == stored.pk:
        raise refuse("file", f"This is revision {last.revision} itself, pixel for pixel: nothing was changed.")
    to.mockups.filter(current=True).update(current=False)
    mockup = Mockup(
        shot=to,
        revision=1 + max((mockup.revision for mockup in revisions), default=0),
        file=stored,
        name=clean_name(name or file.name or "mockup"),
        sent_by=by,
        work=work.owe("layouts.copies", COPIES_RECIPE, mockup=stored.sha256, widths=list(COPY_WIDTHS)),
        hero=last.hero if last and _same_shape(last, stored) else None,
    )
    mockup.full_clean()
    mockup.save()
    told: dict[str, Any] = {"revision": mockup.revision, "name": mockup.name, "sha256": stored.sha256}
    log.append(by, "mockup.sent", f"shot/{to.key}", **told, **forms.mark(once))
    owe_for_shot(to)
    return mockup


@transaction.atomic
def mark_hero(by: Member, shot: str, *, zone: Zone, read: Read = None) -> Mockup:
    """Mark where the hero sits on the shot's current mockup; `zone` is x0, y0, x1, y1 in fractions of it.

    `read`: hero and mockup (its revision) as they were read. Raises PermissionDenied, BriefClosed, Mockup.DoesNotExist
    (also where the shot has none), ValidationError, and of these ChangedMeanwhile where somebody else marked it or sent
    another mockup.
    """
    open_draft(by, May.EDIT_SHOTS, "pictures", shot)
    mockup = Mockup.objects.select_related("shot").get(shot__key=shot, shot__campaign=by.campaign_id, current=True)
    marked = [round(float(edge), 5) for edge in zone]
    try:
        check_zone((marked[0], marked[1], marked[2], marked[3]))
    except ValueError as impossible:
        raise refuse("__all__", "The hero zone needs a width and a height, inside the picture.") from impossible
    subject, rests = f"shot/{mockup.shot.key}", {"mockup": mockup.revision}
    settle(by, read, {"hero": mockup.hero}, {"hero": marked}, subject=subject, telling=MARKED, rests=rests)
    if marked == mockup.hero:
        return mockup
    was, mockup.hero = mockup.hero, marked
    mockup.save(update_fields=["hero"])
    log.append(by, "hero.marked", subject, was=was, now=marked, revision=mockup.revision)
    owe_for_shot(mockup.shot)
    return mockup


@transaction.atomic
def make_current(by: Member, mockup: str) -> Mockup:
    """Let an earlier revision stand again; nothing is lost, and no new revision is made.

    Raises PermissionDenied, BriefClosed, Mockup.DoesNotExist.
    """
    campaign = open_draft(by, May.UPLOAD_MOCKUPS, "pictures", ANY)
    chosen = Mockup.objects.select_related("shot", "file").get(key=mockup, shot__campaign=by.campaign_id)
    need_open(campaign, "pictures", chosen.shot.key)
    if chosen.current:
        return chosen
    was = chosen.shot.mockups.filter(current=True).values_list("revision", flat=True).first()
    chosen.shot.mockups.filter(current=True).update(current=False)
    chosen.current = True
    chosen.save(update_fields=["current"])
    log.append(by, "mockup.stands-again", f"shot/{chosen.shot.key}", was=was, now=chosen.revision)
    owe_for_shot(chosen.shot)
    return chosen


@transaction.atomic
def try_copies_again(by: Member, mockup: str) -> Mockup:
    """Owe the copies of a mockup again where making them failed.

    It changes nothing of the brief, so it works also while that is closed. Raises PermissionDenied,
    Mockup.DoesNotExist.
    """
    access.need(by, May.UPLOAD_MOCKUPS)
    chosen = Mockup.objects.select_related("shot", "work").get(key=mockup, shot__campaign=by.campaign_id)
    if chosen.work.state == Work.State.FAILED:
        work.retry(chosen.work)
        log.append(by, "mockup.tried-again", f"shot/{chosen.shot.key}", revision=chosen.revision)
    return chosen


def _same_shape(last: Mockup, new: StoredFile) -> bool:
    was, now = last.file.width / last.file.height, new.width / new.height
    return abs(was - now) <= SAME_SHAPE * was
