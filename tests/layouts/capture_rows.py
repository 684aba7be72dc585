"""The first worked example of the capture plan's specification, as rows of a campaign.

Two formats in a scene of hero heights: A is a window from -1.5, -1 to 2.5, 1; B from -5/6, -13/6 to 5/6, 7/6. The
mockup is the scene from -1.5, -13/6 to 2.5, 7/6, which is 4 x 10/3 hero heights, in 1200 x 1000 px: the hero is
300 x 300 px at 300, 500.
"""

from django.db import transaction

from layouts.capture.models import CapturePlan
from layouts.formats import actions as formats
from layouts.models import Mockup, Placement
from layouts.pictures.actions import add_mockup
from portal.access import Role
from portal.models import Member
from shots.models import Camera, Shot
from tests.factories import CampaignFactory, ShotFactory, member_of
from tests.layouts.mockup_files import upload

HERO = [0.25, 0.5, 0.5, 0.8]
CROPS = {"A": [0, 0.35, 1, 0.95], "B": [1 / 6, 0, 7 / 12, 1]}
NEEDS = {"A": (3000, 1500), "B": (1200, 2400)}


def example_1(languages=("en-GB",)) -> tuple[Member, Shot]:
    """The photographer, and the shot with camera, mockup, hero zone and crops; without layouts."""
    campaign = CampaignFactory(languages=list(languages))
    shot = ShotFactory(campaign=campaign, number=1, title="Bowl by the window")
    agency = member_of(campaign, Role.AGENCY)
    formats.add_formats(
        agency,
        formats=[
            {
                "name": name,
                "kind": "poster",
                "width_mm": wide,
                "height_mm": high,
                "artwork_scale": 1,
                "width_px": wide,
                "height_px": high,
                "distance_m": 5.0,
            }
            for name, (wide, high) in NEEDS.items()
        ],
    )
    add_mockup(agency, shot.key, file=upload(size=(1200, 1000)))
    Mockup.objects.update(hero=HERO)
    for name, crop in CROPS.items():
        Placement.objects.filter(format__name=name, shot=shot).update(crop=crop)
    Camera.objects.create(shot=shot, camera="Invented", width_px=6000, height_px=4000)
    CapturePlan.objects.create(shot=shot, margin=0.05)
    return member_of(campaign, Role.PHOTOGRAPHER), shot


def needs(shot: Shot, name: str, wide: int, high: int) -> None:
    """Another order for a format of the same shape."""
    with transaction.atomic():
        shot.campaign.formats.filter(name=name).update(width_px=wide, height_px=high)
