"""The act of this topic: writing a shot's camera."""

from typing import Any

from django.db import transaction

from portal.access import May
from portal.brief.draft import open_draft
from portal.models import Member
from portal.sealing import log
from shots.camera.models import Camera
from shots.rows import change

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


@transaction.atomic
def edit_camera(by: Member, shot: str, **fields: Any) -> Camera:
    """Change any of FIELDS of a shot's camera; its row is made with the first words.

    Raises PermissionDenied, BriefClosed, Shot.DoesNotExist (also for another campaign's shot), ValidationError.
    """
    campaign = open_draft(by, May.EDIT_CAMERA, "camera", shot)
    of = campaign.shots.select_related("camera").get(key=shot)
    row = getattr(of, "camera", None) or Camera(shot=of)
    was, now = change(row, fields, FIELDS)
    if now:
        log.append(by, "camera.edited", f"shot/{of.key}", was=was, now=now)
    return row
