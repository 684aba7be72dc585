"""A shot whose captures can be planned: camera, mockup with its hero zone, and layouts that have come."""

from types import SimpleNamespace

from layouts.capture import actions, asking
from layouts.overlays import actions as overlays
from layouts.pictures import actions as pictures
from portal.access import Role
from shots.models import Camera
from tests.factories import member_of
from tests.layouts import layout_files
from tests.layouts.mockup_files import upload
from tests.test_queries import put_forward
from tests.work import run_work

# Small enough to lay pictures over the whole frame; the pixels of the formats of `ordered` fit into two frames of it.
CAMERA = (2400, 1800)


def plannable(agency, *, number=1, camera=CAMERA, zone=(0.4, 0.35, 0.62, 0.7), layouts=("48-sheet", "6-sheet")):
    """The shot with a camera of so many pixels and layouts for these formats in English, all read."""
    campaign = agency.campaign
    shot = campaign.shots.get(number=number)
    Camera.objects.create(shot=shot, width_px=camera[0], height_px=camera[1])
    pictures.add_mockup(agency, shot.key, file=upload(size=(1200, 800)))
    pictures.mark_hero(agency, shot.key, zone=zone)
    designer = member_of(campaign, Role.DESIGNER)
    for name in layouts:
        row = shot.placements.get(format__name=name, language="en-GB")
        size = (row.format.width_px, row.format.height_px)
        sent = layout_files.upload(f"{name}.png", size=size, surround=60 if name == "48-sheet" else 0)
        overlays.receive_files(designer, files=[sent], placement=row.key)
    run_work()
    return shot


def accepted(shot):
    """The photographer accepts the plan as it is."""
    photographer = member_of(shot.campaign, Role.PHOTOGRAPHER)
    actions.accept_capture(photographer, shot.key, seen=asking.asked(shot).digest)


def lock(campaign):
    """The brief as it stands, locked as version 1, whatever readiness says of it."""
    roles = (Role.CLIENT, Role.AGENCY, Role.PHOTOGRAPHER)
    members = {role: campaign.members.filter(role=role).first() or member_of(campaign, role) for role in roles}
    put_forward(SimpleNamespace(campaign=campaign, members=members))
    campaign.locked_version, campaign.open_version = campaign.open_version, None
    campaign.save(update_fields=["locked_version", "open_version"])
    return campaign.locked_version
