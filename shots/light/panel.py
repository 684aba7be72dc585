"""The light's panel on its shot's page."""

from portal.access import May
from shots.light.actions import FIELDS
from shots.light.forms import LightForm
from shots.light.models import Light
from shots.panels import Kind
from shots.shot.models import Shot

# Common practice, no source; local codes and the house's own rules go before it.
CAUTIONS = (
    "Lamps are hot: let them cool before they are touched, and keep paper, cloth and gel clear of them.",
    "Every stand gets a sandbag, and whatever hangs over people a safety wire.",
    "Cables are taped down or covered where people walk, and kept from water.",
    "Work on the mains is for a licensed electrician; local codes decide what a circuit may carry.",
)


def row_of(shot: Shot) -> Light:
    """The shot's light; a new row, not yet saved, where nothing was written."""
    return getattr(shot, "light", None) or Light(shot=shot)


KIND = Kind(
    "light",
    "Light",
    May.EDIT_LIGHT,
    LightForm,
    FIELDS,
    row_of,
    "Nothing is written about the light yet. The photographer or the lighting assistant says where key and fill "
    "stand, how the ground is lit, and what hour it should feel like.",
    CAUTIONS,
)
