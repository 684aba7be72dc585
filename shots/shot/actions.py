"""Acts on shots."""

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from portal.access import May
from portal.brief import once as forms
from portal.brief.both import Read, Telling, leave_if_touched, settle
from portal.brief.draft import open_draft
from portal.brief.signals import shape_changed
from portal.models import Member
from portal.sealing import log
from shots.rows import change, plainly
from shots.shot.models import Shot

TEXTS = ("title", "story", "composition", "grade", "retouching")
_LAST = 999
EDITED = Telling(("shot.edited",))


@transaction.atomic
def add_shot(by: Member, *, title: str, once: str = "", **texts: str) -> Shot:
    """Add a shot behind the last; `texts`: story, composition, grade, retouching. A form sent again (`once`)
    gives the shot that it made.

    Raises PermissionDenied, BriefClosed, ValidationError.
    """
    campaign = open_draft(by, May.EDIT_SHOTS, "shots")
    if made := forms.done(by, once):
        return campaign.shots.get(key=forms.key(made[0]))
    last = campaign.shots.aggregate(last=Max("number"))["last"] or 0
    if last >= _LAST:
        raise ValidationError({"title": f"A campaign has at most {_LAST} shots."})
    shot = Shot(campaign=campaign, number=last + 1)
    change(shot, {"title": title, **texts}, TEXTS)
    shape_changed.send(add_shot, campaign=campaign)
    log.append(by, "shot.added", f"shot/{shot.key}", number=shot.number, now=plainly(shot, TEXTS), **forms.mark(once))
    return shot


@transaction.atomic
def edit_shot(by: Member, shot: str, *, read: Read = None, **texts: str) -> Shot:
    """Change a shot's texts (any of TEXTS); `read`: the texts as their editor read them.

    Raises PermissionDenied, BriefClosed, Shot.DoesNotExist (also for another campaign's shot), ValidationError, and of
    these ChangedMeanwhile where somebody else changed the same texts.
    """
    campaign = open_draft(by, May.EDIT_SHOTS, "shots", shot)
    row = campaign.shots.get(key=shot)
    mine = settle(by, read, plainly(row, TEXTS), texts, subject=f"shot/{row.key}", telling=EDITED)
    was, now = change(row, mine, TEXTS)
    if now:
        log.append(by, "shot.edited", f"shot/{row.key}", was=was, now=now)
    return row


@transaction.atomic
def move_shot(by: Member, shot: str, *, up: bool, once: str = "") -> Shot:
    """Let a shot change places, and so numbers, with the one before it (`up`) or behind it; at an end it stays.

    A form sent again (`once`) moves nothing. Raises PermissionDenied, BriefClosed, Shot.DoesNotExist.
    """
    campaign = open_draft(by, May.EDIT_SHOTS, "shots")
    row = campaign.shots.get(key=shot)
    others = campaign.shots.order_by("-number" if up else "number")
    other = others.filter(**{"number__lt" if up else "number__gt": row.number}).first()
    if other is None or forms.done(by, once):
        return row
    was, to = row.number, other.number
    # Numbers are unique at every step: one waits at 0, which no shot has.
    for moved, number in ((row, 0), (other, was), (row, to)):
        moved.number = number
        moved.save(update_fields=["number"])
    log.append(by, "shot.moved", f"shot/{row.key}", was=was, now=to, other=f"shot/{other.key}", **forms.mark(once))
    return row


@transaction.atomic
def remove_shot(by: Member, shot: str, *, read: int | None = None) -> None:
    """Remove a shot with all that hangs from it; the others keep their numbers, for file names carry them.

    `read`: how long the log was when it was decided. Raises PermissionDenied, BriefClosed, Shot.DoesNotExist,
    TouchedMeanwhile when others have done something to it since.
    """
    campaign = open_draft(by, May.EDIT_SHOTS, "shots")
    row = campaign.shots.get(key=shot)
    leave_if_touched(by, read, row)
    was = plainly(row, TEXTS) | {
        "number": row.number,
        "food": list(row.food.values_list("name", flat=True)),
        "props": list(row.props.values_list("name", flat=True)),
    }
    row.delete()
    shape_changed.send(remove_shot, campaign=campaign)
    log.append(by, "shot.removed", f"shot/{shot}", was=was)
