"""A campaign with two shots in three formats and two languages, and its designer."""

import pytest

from layouts.capture import actions as capture_actions
from layouts.capture import asking
from layouts.formats import actions
from layouts.models import Placement
from portal.access import Role
from tests.factories import CampaignFactory, ShotFactory, member_of
from tests.layouts.capture_rows import example_1

FORMATS = [
    ("48-sheet", 6096, 3048, 1440, 720, ["48sheet"]),
    ("96-sheet", 12192, 3048, 1600, 400, ["96sheet"]),
    ("6-sheet", 1200, 1800, 600, 900, ["6sheet"]),
]


@pytest.fixture
def ordered(db):
    """The campaign's agency producer, with the grid filled."""
    return order()


def order():
    campaign = CampaignFactory(languages=["en-GB", "cy"])
    ShotFactory(campaign=campaign, number=1, title="Bowl by the window")
    ShotFactory(campaign=campaign, number=2, title="Tall stack")
    agency = member_of(campaign, Role.AGENCY)
    actions.add_formats(
        agency,
        formats=[
            {
                "name": name,
                "kind": "poster",
                "width_mm": wide,
                "height_mm": high,
                "artwork_scale": 10,
                "width_px": wide_px,
                "height_px": high_px,
                "aliases": aliases,
            }
            for name, wide, high, wide_px, high_px, aliases in FORMATS
        ],
    )
    return agency


@pytest.fixture
def designer(ordered):
    return member_of(ordered.campaign, Role.DESIGNER)


@pytest.fixture
def place(ordered):
    """A function from shot, format and language to the placement."""

    def found(shot=1, format="48-sheet", language="en-GB"):
        return Placement.objects.get(
            shot__campaign=ordered.campaign, shot__number=shot, format__name=format, language=language
        )

    return found


@pytest.fixture
def accepted():
    """The worked example's shot with its plan accepted."""
    photographer, shot = example_1()
    capture_actions.accept_capture(photographer, shot.key, seen=asking.asked(shot).digest)
    return photographer, shot
