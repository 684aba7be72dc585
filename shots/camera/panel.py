"""The camera's panel on its shot's page."""

from portal.access import May
from shots.camera.actions import FIELDS
from shots.camera.forms import CameraForm
from shots.camera.models import Camera
from shots.panels import Kind
from shots.shot.models import Shot


def row_of(shot: Shot) -> Camera:
    """The shot's camera; a new row, not yet saved, where nothing was written."""
    return getattr(shot, "camera", None) or Camera(shot=shot)


KIND = Kind(
    "camera",
    "Camera",
    May.EDIT_CAMERA,
    CameraForm,
    FIELDS,
    row_of,
    "Nothing is written about the camera yet. The photographer or the digital operator says what it is taken "
    "with, from where, and how many pixels a capture has.",
)
