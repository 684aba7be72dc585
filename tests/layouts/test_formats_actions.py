"""Protects the acts on formats and placements: who may, what is refused, how the grid fills and follows."""

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from layouts.formats import actions, catalogue
from layouts.models import Format, Placement
from portal.access import Role
from portal.brief.signals import shape_changed
from portal.models import LogEntry
from tests.factories import CampaignFactory, FormatFactory, ShotFactory, member_of

pytestmark = pytest.mark.django_db
BY_HAND = {
    "name": "Roof",
    "kind": "poster",
    "width_mm": 4000,
    "height_mm": 1000,
    "artwork_scale": 10,
    "width_px": 4724,
    "height_px": 1181,
    "distance_m": 30.0,
    "aliases": ["roof"],
}


@pytest.fixture
def campaign(producer):
    producer.campaign.languages = ["en-GB", "cy"]
    producer.campaign.save()
    return producer.campaign


def cells(campaign):
    rows = Placement.objects.filter(shot__campaign=campaign)
    return sorted(rows.values_list("shot__number", "format__name", "language", "wanted"))


def test_add_formats_orders_several_and_fills_the_grid(producer, campaign):
    ShotFactory(campaign=campaign, number=1)
    made = actions.add_formats(producer, formats=catalogue.chosen(["48-sheet", "6-sheet"]))
    assert [(row.name, row.position) for row in made] == [("48-sheet", 1), ("6-sheet", 2)]
    assert cells(campaign) == [
        (1, "48-sheet", "cy", True),
        (1, "48-sheet", "en-GB", True),
        (1, "6-sheet", "cy", True),
        (1, "6-sheet", "en-GB", True),
    ]
    assert LogEntry.objects.filter(act="format.added").count() == 2


@pytest.mark.parametrize("role", [Role.CLIENT, Role.DESIGNER, Role.STYLIST, Role.ASSISTANT])
def test_add_formats_by_one_who_may_not_leaves_no_trace(producer, role):
    with pytest.raises(PermissionDenied, match="may not change shots, formats and placements"):
        actions.add_formats(member_of(producer.campaign, role), formats=[BY_HAND])
    assert not Format.objects.exists()
    assert not LogEntry.objects.exists()


def test_add_formats_refuses_a_name_that_is_ordered_and_adds_none_of_the_others(producer):
    actions.add_formats(producer, formats=[BY_HAND])
    with pytest.raises(ValidationError, match="Roof is ordered already"):
        actions.add_formats(producer, formats=[BY_HAND | {"name": "Wall"}, BY_HAND])
    assert Format.objects.count() == 1


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"width_px": 9999}, "4000 × 1000 mm is 4.00 : 1, but 9999 × 1181 px is 8.47 : 1"),
        ({"width_mm": None, "height_mm": None}, "A poster needs its size in mm"),
        ({"height_mm": None}, "Give both width and height"),
        ({"width_px": 0, "height_px": 0}, "greater than or equal to 50"),
        ({"artwork_scale": 0}, "greater than or equal to 1"),
        ({"name": " "}, "cannot be blank"),
    ],
)
def test_add_formats_refuses_numbers_that_make_no_poster(producer, change, says):
    with pytest.raises(ValidationError, match=says):
        actions.add_formats(producer, formats=[BY_HAND | change])
    assert not Format.objects.exists()


def test_edit_format_changes_what_is_given_and_logs_was_and_now(producer):
    (row,) = actions.add_formats(producer, formats=[BY_HAND])
    actions.edit_format(producer, row.key, name="Roof, long", distance_m=40.0)
    row.refresh_from_db()
    assert (row.name, row.distance_m, row.width_mm) == ("Roof, long", 40.0, 4000)
    entry = LogEntry.objects.get(act="format.edited")
    assert entry.payload == {
        "name": "Roof, long",
        "was": {"name": "Roof", "distance_m": 30.0},
        "now": {"name": "Roof, long", "distance_m": 40.0},
    }


def test_edit_format_to_another_shape_drops_crops_that_no_longer_fit(producer, campaign):
    ShotFactory(campaign=campaign)
    (row,) = actions.add_formats(producer, formats=[BY_HAND])
    row.placements.update(crop=[0, 0, 1, 0.25])
    actions.edit_format(producer, row.key, height_mm=2000, height_px=2362)
    assert set(row.placements.values_list("crop", flat=True)) == {None}


def test_move_format_swaps_neighbours_and_stops_at_the_ends(producer):
    a, b, c = actions.add_formats(producer, formats=[BY_HAND | {"name": name} for name in "ABC"])
    actions.move_format(producer, c.key, up=True)
    actions.move_format(producer, a.key, up=True)
    actions.move_format(producer, b.key, up=False)
    assert list(producer.campaign.formats.values_list("name", flat=True)) == ["A", "C", "B"]


@pytest.mark.parametrize("act", ["edit", "move", "remove"])
def test_a_format_of_another_campaign_is_not_found(producer, act):
    other = FormatFactory()
    with pytest.raises(Format.DoesNotExist):
        {
            "edit": lambda: actions.edit_format(producer, other.key, name="Mine"),
            "move": lambda: actions.move_format(producer, other.key, up=True),
            "remove": lambda: actions.remove_format(producer, other.key, confirmed=True),
        }[act]()
    other.refresh_from_db()


def test_remove_format_without_layouts_takes_its_placements(producer, campaign):
    ShotFactory(campaign=campaign)
    (row,) = actions.add_formats(producer, formats=[BY_HAND])
    actions.remove_format(producer, row.key)
    assert not Placement.objects.exists()
    assert LogEntry.objects.get(act="format.removed").payload == {"name": "Roof", "placements": 2, "layouts": 0}


def test_set_wanted_switches_only_those_given_and_logs_them(producer, campaign):
    ShotFactory(campaign=campaign, number=1)
    actions.add_formats(producer, formats=[BY_HAND])
    one, two = Placement.objects.order_by("language")
    assert actions.set_wanted(producer, placements=[one.key], wanted=False) == 1
    assert actions.set_wanted(producer, placements=[one.key], wanted=False) == 0
    assert cells(campaign) == [(1, "Roof", "cy", False), (1, "Roof", "en-GB", True)]
    assert [entry.subject for entry in LogEntry.objects.filter(act="placement.not-wanted")] == [f"placement/{one.key}"]
    assert two.wanted


def test_set_wanted_refuses_all_when_one_is_another_campaigns(producer, campaign):
    ShotFactory(campaign=campaign)
    actions.add_formats(producer, formats=[BY_HAND])
    mine = Placement.objects.first()
    other = Placement.objects.create(shot=ShotFactory(), format=FormatFactory(), language="en-GB")
    with pytest.raises(Placement.DoesNotExist):
        actions.set_wanted(producer, placements=[mine.key, other.key], wanted=False)
    assert not Placement.objects.filter(wanted=False).exists()


def test_the_grid_follows_a_new_shot_and_keeps_what_was_decided(producer, campaign):
    ShotFactory(campaign=campaign, number=1)
    actions.add_formats(producer, formats=[BY_HAND])
    actions.set_wanted(producer, placements=[Placement.objects.get(language="cy").key], wanted=False)
    ShotFactory(campaign=campaign, number=2)
    shape_changed.send(None, campaign=campaign)
    assert cells(campaign) == [
        (1, "Roof", "cy", False),
        (1, "Roof", "en-GB", True),
        (2, "Roof", "cy", True),
        (2, "Roof", "en-GB", True),
    ]


def test_a_language_that_goes_and_comes_back_brings_back_what_was_decided(producer, campaign):
    ShotFactory(campaign=campaign, number=1)
    ShotFactory(campaign=campaign, number=2)
    actions.add_formats(producer, formats=[BY_HAND])
    off = Placement.objects.get(shot__number=2, language="cy")
    actions.set_wanted(producer, placements=[off.key], wanted=False)
    before = cells(campaign)
    campaign.languages = ["en-GB"]
    shape_changed.send(None, campaign=campaign)
    assert [cell for cell in cells(campaign) if cell[3]] == [(1, "Roof", "en-GB", True), (2, "Roof", "en-GB", True)]
    campaign.languages = ["en-GB", "cy"]
    shape_changed.send(None, campaign=campaign)
    assert cells(campaign) == before


def test_fill_grid_leaves_other_campaigns_alone(producer, campaign):
    other = CampaignFactory()
    ShotFactory(campaign=other)
    FormatFactory(campaign=other)
    ShotFactory(campaign=campaign)
    actions.add_formats(producer, formats=[BY_HAND])
    assert not Placement.objects.filter(shot__campaign=other).exists()
