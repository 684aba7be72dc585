"""The act of this topic: writing a shot's light."""

from typing import Any

from django.db import transaction

from portal.access import May
from portal.brief.both import Read, Telling, settle
from portal.brief.draft import open_draft
from portal.models import Member
from portal.sealing import log
from shots.light.models import Light
from shots.rows import change, plainly

FIELDS = ("key_light", "fill", "ground", "mood", "time_of_day", "lamps", "power", "caution", "notes")
EDITED = Telling(("light.edited",))


@transaction.atomic
def edit_light(by: Member, shot: str, *, read: Read = None, **fields: Any) -> Light:
    """Change any of FIELDS of a shot's light; its row is made with the first words.

    Raises PermissionDenied, BriefClosed, Shot.DoesNotExist (also for another campaign's shot), ValidationError,
    and of these ChangedMeanwhile where somebody else changed the same fields since `read`, as the editor had them.
    """
    campaign = open_draft(by, May.EDIT_LIGHT, "light", shot)
    of = campaign.shots.select_related("light").get(key=shot)
    row = getattr(of, "light", None) or Light(shot=of)
    mine = settle(by, read, plainly(row, FIELDS), fields, subject=f"shot/{of.key}", telling=EDITED)
    was, now = change(row, mine, FIELDS)
    if now:
        log.append(by, "light.edited", f"shot/{of.key}", was=was, now=now)
    return row
