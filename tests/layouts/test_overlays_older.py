"""Protects that a layout sent before its crop or hero zone changed is found, with both dates, and no other."""

from datetime import timedelta

import pytest
from django.utils import timezone
from django.utils.timezone import localtime

from layouts.formats import actions as formats
from layouts.overlays import actions as overlays
from layouts.overlays import readiness
from layouts.overlays.models import Layout
from layouts.pictures import actions as pictures
from portal.access import Role
from portal.models import LogEntry
from tests.factories import member_of
from tests.layouts import layout_files, mockup_files
from tests.work import run_work

pytestmark = pytest.mark.django_db


@pytest.fixture
def shot(ordered):
    return ordered.campaign.shots.get(number=1)


@pytest.fixture
def laid(ordered, shot, place):
    """A layout that came after its shot's mockup and hero zone."""
    pictures.add_mockup(ordered, shot.key, file=mockup_files.upload())
    pictures.mark_hero(ordered, shot.key, zone=(0.4, 0.4, 0.6, 0.6))
    designer = member_of(ordered.campaign, Role.DESIGNER)
    overlays.receive_files(designer, files=[layout_files.upload("layout.png")], placement=place().key)
    run_work()
    return place()


def older(campaign):
    return [one for one in readiness.ready(campaign) if one.kind == "layout older"]


def test_a_layout_that_came_after_all_of_it_is_not_older(laid, ordered):
    assert older(ordered.campaign) == []


def test_a_crop_that_was_set_later_is_told_with_both_dates(laid, ordered, place):
    formats.set_crop(ordered, laid.key, crop=[0.0, 0.0, 0.5, 0.375])
    Layout.objects.update(sent_at=timezone.now() - timedelta(days=3))
    (found,) = older(ordered.campaign)
    sent, cropped = Layout.objects.get().sent_at, LogEntry.objects.get(act="placement.cropped").at
    dates = [f"{localtime(at).day} {localtime(at):%B} at {localtime(at):%H:%M}" for at in (sent, cropped)]
    assert found.says == (
        f"The layout of shot 1 for 48-sheet, British English was sent on {dates[0]}, and its crop changed on "
        f"{dates[1]}: does its type still stand where it should?"
    )
    assert (found.level, found.what) == ("worth-a-look", "48-sheet, British English, shot 1")
    assert Role.DESIGNER in found.roles


def test_a_hero_zone_that_moved_and_a_mockup_that_stands_again_count_and_one_of_the_same_shape_does_not(
    laid, ordered, shot
):
    pictures.add_mockup(ordered, shot.key, file=mockup_files.upload(seed=9))
    assert older(ordered.campaign) == []
    first = shot.mockups.get(revision=1)
    pictures.make_current(ordered, first.key)
    assert "the mockup changed on" in older(ordered.campaign)[0].says
    pictures.mark_hero(ordered, shot.key, zone=(0.3, 0.4, 0.6, 0.6))
    assert "the hero zone changed on" in older(ordered.campaign)[0].says


def test_another_placements_crop_and_a_new_layout_clear_it(laid, ordered, place):
    formats.set_crop(ordered, place(language="cy").key, crop=[0.0, 0.0, 0.5, 0.375])
    assert older(ordered.campaign) == []
    formats.set_crop(ordered, laid.key, crop=[0.0, 0.0, 0.5, 0.375])
    assert len(older(ordered.campaign)) == 1
    designer = member_of(ordered.campaign, Role.DESIGNER)
    overlays.receive_files(designer, files=[layout_files.upload("again.png", seed=4)], placement=laid.key)
    run_work()
    assert older(ordered.campaign) == []
