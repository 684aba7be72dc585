"""The panel of a shot's texts on its page."""

from portal.access import May
from shots.panels import Kind
from shots.shot.actions import TEXTS
from shots.shot.forms import ShotForm
from shots.shot.models import Shot


def row_of(shot: Shot) -> Shot:
    """The shot itself holds its texts."""
    return shot


KIND = Kind(
    "edit",
    "What it shows",
    May.EDIT_SHOTS,
    ShotForm,
    TEXTS[1:],
    row_of,
    "Nothing is written about this shot yet. Whoever settles the picture says what it tells, how it is composed, "
    "its grade, and what retouching will and will not do.",
)
