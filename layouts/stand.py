"""How what the pages of pictures and captures show stands: locked, or a draft."""

from portal.brief.rows_stand import RowsStand, rows_stand
from portal.models import Campaign

# Sections that what is seen of a shot, and the plan of its captures, follow from.
SHOWN = ("shots", "formats", "pictures", "layouts", "camera", "capture")


def stand(campaign: Campaign, shot: str = "") -> RowsStand:
    """How a shot's rows stand, by its key; "" for all shots."""
    return rows_stand(campaign, SHOWN, shot)
