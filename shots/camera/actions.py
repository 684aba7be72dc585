"""The act of this topic: writing a shot's camera."""

from typing import Any

from django.db import transaction

from portal.access import May
from portal.brief.both import Read, Telling, settle
from portal.brief.draft import open_draft
from portal.models import Member
from portal.sealing import log
from shots.camera.models import Camera
from shots.rows import change, plainly

FIELDS = (
    "camera",
    "width_px",
    "height_px",
    "lens",
    "height",
    "angle",
    "distance",
    "focus",
    "tethering",
    "notes",
)

# One capture has both.
TOGETHER = (("width_px", "height_px"),)
EDITED = Telling(("camera.edited",))


@transaction.atomic
def edit_camera(by: Member, shot: str, *, read: Read = None, **fields: Any) -> Camera:
    """Change any of FIELDS of a shot's camera; its row is made with the first words.

    Raises PermissionDenied, BriefClosed, Shot.DoesNotExist (also for another campaign's shot), ValidationError,
    and of these ChangedMeanwhile where somebody else changed the same fields since `read`, as the editor had them.
    """
    campaign = open_draft(by, May.EDIT_CAMERA, "camera", shot)
    of = campaign.shots.select_related("camera").get(key=shot)
    row = getattr(of, "camera", None) or Camera(shot=of)
    mine = settle(by, read, plainly(row, FIELDS), fields, subject=f"shot/{of.key}", telling=EDITED, together=TOGETHER)
    was, now = change(row, mine, FIELDS)
    if now:
        log.append(by, "camera.edited", f"shot/{of.key}", was=was, now=now)
    return row
