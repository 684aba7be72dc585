"""The camera's panel on its shot's page."""

from typing import Any

from portal.access import May
from portal.templatetags.ui import measure
from shots.camera.actions import FIELDS
from shots.camera.forms import CameraForm
from shots.camera.models import Camera
from shots.panels import Kind
from shots.shot.models import Shot


def row_of(shot: Shot) -> Camera:
    """The shot's camera; a new row, not yet saved, where nothing was written."""
    return getattr(shot, "camera", None) or Camera(shot=shot)


def _capture(row: Camera) -> list[tuple[str, Any]]:
    if row.width_px is None or row.height_px is None:
        return []
    return [("a capture", measure((row.width_px, row.height_px), "px"))]


KIND = Kind(
    "camera",
    "Camera",
    May.EDIT_CAMERA,
    CameraForm,
    FIELDS,
    row_of,
    "Nothing is written about the camera yet. The photographer or the digital operator says what it is taken "
    "with, from where, and how many pixels a capture has.",
    joined=_capture,
    hidden=("width_px", "height_px"),
)
