"""Acts on props."""

from typing import Any

from django.db import transaction

from portal.access import May
from portal.brief.draft import ANY, need_open, open_draft
from portal.models import Member
from portal.sealing import log
from shots.props.models import Prop
from shots.rows import change, plainly

FIELDS = ("name", "quantity", "source", "basis", "due", "returns_by", "breakable", "note")


@transaction.atomic
def add_prop(by: Member, shot: str, *, name: str, **fields: Any) -> Prop:
    """Add a prop to a shot; `fields`: any other of FIELDS.

    Raises PermissionDenied, BriefClosed, Shot.DoesNotExist (also for another campaign's shot), ValidationError.
    """
    campaign = open_draft(by, May.EDIT_PROPS, "props", shot)
    row = Prop(shot=campaign.shots.get(key=shot))
    change(row, {"name": name, **fields}, FIELDS)
    log.append(by, "prop.added", f"prop/{row.key}", shot=shot, now=plainly(row, FIELDS))
    return row


@transaction.atomic
def edit_prop(by: Member, prop: str, **fields: Any) -> Prop:
    """Change any of FIELDS.

    Raises PermissionDenied, BriefClosed, Prop.DoesNotExist (also for another campaign's prop), ValidationError.
    """
    row = _row(by, prop)
    was, now = change(row, fields, FIELDS)
    if now:
        log.append(by, "prop.edited", f"prop/{row.key}", name=row.name, was=was, now=now)
    return row


@transaction.atomic
def remove_prop(by: Member, prop: str) -> None:
    """Remove a prop from its shot.

    Raises PermissionDenied, BriefClosed, Prop.DoesNotExist.
    """
    row = _row(by, prop)
    row.delete()
    log.append(by, "prop.removed", f"prop/{prop}", shot=row.shot.key, was=plainly(row, FIELDS))


def _row(by: Member, prop: str) -> Prop:
    campaign = open_draft(by, May.EDIT_PROPS, "props", ANY)
    row = Prop.objects.select_related("shot").get(key=prop, shot__campaign=campaign)
    need_open(campaign, "props", row.shot.key)
    return row
