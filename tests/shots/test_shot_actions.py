"""Protects the acts on shots: who may, what is kept, what the log says, and numbers that stay with their shot."""

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from portal.access import Role
from portal.brief.draft import BriefClosed
from portal.brief.signals import shape_changed
from portal.models import LogEntry, Version
from shots.camera.actions import edit_camera
from shots.light.actions import edit_light
from shots.models import Camera, Light, Shot
from shots.shot import actions
from tests.factories import ShotFactory, member_of


@pytest.fixture
def heard():
    """The campaigns of which it was said that their shape changed."""
    said = []

    def listen(sender, campaign, **rest):
        said.append(campaign)

    shape_changed.connect(listen)
    yield said
    shape_changed.disconnect(listen)


def test_add_shot_numbers_it_behind_the_last_and_says_that_the_grid_changed(producer, campaign, heard):
    ShotFactory(campaign=campaign, number=4)
    ShotFactory(number=9)  # another campaign's

    shot = actions.add_shot(producer, title="  The tall stack ", story="One person, one fork.")

    assert (shot.number, shot.title, shot.story) == (5, "The tall stack", "One person, one fork.")
    assert heard == [campaign]
    entry = LogEntry.objects.get()
    assert (entry.act, entry.subject, entry.payload["now"]["title"]) == ("shot.added", f"shot/{shot.key}", shot.title)


def test_add_shot_without_a_title_is_refused_beside_the_title(producer):
    with pytest.raises(ValidationError) as refused:
        actions.add_shot(producer, title=" ")
    assert list(refused.value.message_dict) == ["title"]
    assert not Shot.objects.exists()


@pytest.mark.parametrize("role", [Role.CLIENT, Role.DESIGNER, Role.STYLIST, Role.LIGHTING, Role.ASSISTANT])
def test_add_shot_by_others_leaves_no_trace(campaign, role):
    with pytest.raises(PermissionDenied, match="may not change shots"):
        actions.add_shot(member_of(campaign, role), title="Mine")
    assert not Shot.objects.exists()
    assert not LogEntry.objects.exists()


def test_edit_shot_logs_what_was_and_what_is(producer, shot):
    actions.edit_shot(producer, shot.key, story="Warm bowl, cold light.", title=shot.title)
    entry = LogEntry.objects.get()
    assert entry.payload == {"was": {"story": ""}, "now": {"story": "Warm bowl, cold light."}}


def test_edit_shot_that_changes_nothing_logs_nothing(producer, shot):
    actions.edit_shot(producer, shot.key, story="", title=shot.title)
    assert not LogEntry.objects.exists()


def test_edit_shot_of_another_campaign_is_not_there(producer):
    other = ShotFactory()
    with pytest.raises(Shot.DoesNotExist):
        actions.edit_shot(producer, other.key, story="Mine now")
    other.refresh_from_db()
    assert other.story == ""


def test_edit_shot_of_a_brief_that_is_out_is_refused_with_the_reason(producer, shot, campaign):
    campaign.open_version = Version.objects.create(
        campaign=campaign, number=1, document="{}", sections={}, digest="0" * 64, put_forward_by=producer,
        put_forward_at="2027-01-01T00:00Z",
    )  # fmt: skip
    campaign.save()
    with pytest.raises(BriefClosed, match="Version 1 is out for signature"):
        actions.edit_shot(producer, shot.key, story="Late")


def test_move_shot_changes_places_with_its_neighbour_across_a_gap(producer, campaign):
    first, second, third = (ShotFactory(campaign=campaign, number=number) for number in (1, 2, 5))
    ShotFactory(number=3)  # another campaign's: no neighbour
    actions.move_shot(producer, third.key, up=True)
    assert list(campaign.shots.values_list("key", "number")) == [(first.key, 1), (third.key, 2), (second.key, 5)]


@pytest.mark.parametrize("up", [True, False])
def test_move_shot_at_an_end_stays(producer, shot, up):
    assert actions.move_shot(producer, shot.key, up=up).number == 1
    assert not LogEntry.objects.exists()


def test_remove_shot_takes_its_rows_and_leaves_the_other_numbers(producer, campaign, shot, food, prop, heard):
    last = ShotFactory(campaign=campaign, number=2)
    actions.remove_shot(producer, shot.key)
    assert list(campaign.shots.values_list("key", "number")) == [(last.key, 2)]
    assert heard == [campaign]
    was = LogEntry.objects.get().payload["was"]
    assert (was["number"], was["food"], was["props"]) == (1, [food.name], [prop.name])


def test_light_comes_with_its_first_words_and_is_changed_after(campaign, shot):
    lighting = member_of(campaign, Role.LIGHTING)
    edit_light(lighting, shot.key, key_light="Large soft source, left")
    edit_light(lighting, shot.key, fill="White card, right")
    light = Light.objects.get(shot=shot)
    assert (light.key_light, light.fill) == ("Large soft source, left", "White card, right")
    assert [entry.payload["now"] for entry in LogEntry.objects.all()] == [
        {"key_light": "Large soft source, left"},
        {"fill": "White card, right"},
    ]


def test_light_by_a_stylist_is_refused(stylist, shot):
    with pytest.raises(PermissionDenied, match="may not change the light"):
        edit_light(stylist, shot.key, key_light="Mine")
    assert not Light.objects.exists()


@pytest.mark.parametrize("pixels", [0, 200_001])
def test_camera_with_impossible_pixels_is_refused(producer, shot, pixels):
    with pytest.raises(ValidationError) as refused:
        edit_camera(producer, shot.key, width_px=pixels)
    assert list(refused.value.message_dict) == ["width_px"]
    assert not Camera.objects.exists()


def test_camera_takes_no_field_of_another_row(producer, shot):
    with pytest.raises(TypeError, match="shot"):
        edit_camera(producer, shot.key, shot=ShotFactory())
