"""Acts on props."""

from typing import Any

from django.db import transaction

from portal.access import May
from portal.brief import once as forms
from portal.brief.both import Read, Telling, leave_if_touched, settle
from portal.brief.draft import ANY, need_open, open_draft
from portal.models import Member
from portal.sealing import log
from shots.props.models import Prop
from shots.rows import change, plainly

FIELDS = ("name", "quantity", "source", "basis", "due", "returns_by", "breakable", "caution", "note")

# What is hired goes back, and not before it is due.
TOGETHER = (("basis", "due", "returns_by"),)
EDITED = Telling(("prop.edited",))


@transaction.atomic
def add_prop(by: Member, shot: str, *, name: str, once: str = "", **fields: Any) -> Prop:
    """Add a prop to a shot; `fields`: any other of FIELDS. A form sent again (`once`) gives the row it made.

    Raises PermissionDenied, BriefClosed, Shot.DoesNotExist (also for another campaign's shot), ValidationError.
    """
    campaign = open_draft(by, May.EDIT_PROPS, "props", shot)
    if made := forms.done(by, once):
        return Prop.objects.get(key=forms.key(made[0]), shot__campaign=campaign)
    row = Prop(shot=campaign.shots.get(key=shot))
    change(row, {"name": name, **fields}, FIELDS)
    log.append(by, "prop.added", f"prop/{row.key}", shot=shot, now=plainly(row, FIELDS), **forms.mark(once))
    return row


@transaction.atomic
def edit_prop(by: Member, prop: str, *, read: Read = None, **fields: Any) -> Prop:
    """Change any of FIELDS.

    Raises PermissionDenied, BriefClosed, Prop.DoesNotExist (also for another campaign's prop), ValidationError,
    and of these ChangedMeanwhile where somebody else changed the same fields since `read`, as the editor had them.
    """
    row = _row(by, prop)
    mine = settle(by, read, plainly(row, FIELDS), fields, subject=f"prop/{row.key}", telling=EDITED, together=TOGETHER)
    was, now = change(row, mine, FIELDS)
    if now:
        log.append(by, "prop.edited", f"prop/{row.key}", name=row.name, was=was, now=now)
    return row


@transaction.atomic
def remove_prop(by: Member, prop: str, *, read: int | None = None) -> None:
    """Remove a prop from its shot; `read`: how long the log was when it was decided.

    Raises PermissionDenied, BriefClosed, Prop.DoesNotExist, TouchedMeanwhile when others have changed it since.
    """
    row = _row(by, prop)
    leave_if_touched(by, read, row)
    row.delete()
    log.append(by, "prop.removed", f"prop/{prop}", shot=row.shot.key, was=plainly(row, FIELDS))


def _row(by: Member, prop: str) -> Prop:
    campaign = open_draft(by, May.EDIT_PROPS, "props", ANY)
    row = Prop.objects.select_related("shot").get(key=prop, shot__campaign=campaign)
    need_open(campaign, "props", row.shot.key)
    return row
