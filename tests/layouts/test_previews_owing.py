"""Protects which previews are owed: by content, never twice; the old picture stays until the new is there."""

import pytest

from layouts.formats import actions as formats
from layouts.models import Preview
from layouts.overlays import actions as overlays
from layouts.pictures import actions as pictures
from layouts.previews import actions, queries
from portal.access import Role
from portal.models import Work
from tests.factories import member_of
from tests.layouts import layout_files
from tests.layouts.mockup_files import upload
from tests.work import run_work

pytestmark = pytest.mark.django_db
HERO = (0.4, 0.4, 0.6, 0.8)


@pytest.fixture
def shot(ordered):
    """Shot 1 with a mockup."""
    shot = ordered.campaign.shots.get(number=1)
    pictures.add_mockup(ordered, shot.key, file=upload())
    return shot


def owed() -> int:
    return Work.objects.filter(kind="layouts.preview", state=Work.State.OWED).count()


def test_a_mockup_owes_the_bare_crop_of_every_placement_and_languages_share_it(ordered, shot):
    assert Preview.objects.filter(placement__shot=shot, layout=None).count() == 6
    assert owed() == 3
    assert not Preview.objects.exclude(placement__shot=shot).exists()


def test_the_crop_has_the_formats_shape_and_goes_round_the_hero(ordered, shot, place):
    pictures.mark_hero(ordered, shot.key, zone=(0.8, 0.8, 0.9, 0.9))
    row = queries.seen_one(ordered.campaign, place(format="6-sheet").key)
    # 6-sheet, 2 : 3, of 600 x 400: 266.7 px wide, as far right as the picture goes.
    assert row.crop == [0.55556, 0.0, 1.0, 1.0]
    assert row.hero[1] == pytest.approx(1.0)


def test_a_crop_set_by_hand_holds(ordered, shot, place):
    formats.set_crop(ordered, place().key, crop=[0.0, 0.0, 0.5, 0.375])
    row = queries.seen_one(ordered.campaign, place().key)
    assert row.crop == [0.0, 0.0, 0.5, 0.375]
    assert row.preview.work.inputs["crop"] == [0.0, 0.0, 0.5, 0.375]
    assert (round(row.crop_px.width), round(row.crop_px.height)) == (300, 150)
    assert row.ppi == pytest.approx(300 / 240)


def test_nothing_is_owed_twice(ordered, shot):
    before = list(Work.objects.values_list("pk", flat=True))
    actions.owe_for_shot(shot)
    assert list(Work.objects.values_list("pk", flat=True)) == before


def test_the_old_picture_is_shown_until_the_new_one_is_there(ordered, shot, place):
    run_work()
    first = queries.seen_one(ordered.campaign, place().key)
    assert (first.state, first.laid) == ("there", False)
    pictures.add_mockup(ordered, shot.key, file=upload(seed=9))
    waiting = queries.seen_one(ordered.campaign, place().key)
    assert (waiting.state, waiting.open) == ("redoing", True)
    assert (waiting.tag, waiting.files) == (first.tag, first.files)
    run_work()
    second = queries.seen_one(ordered.campaign, place().key)
    assert (second.state, second.open) == ("there", False)
    assert second.tag != first.tag


def test_two_changes_in_a_row_still_show_the_last_picture_that_was_made(ordered, shot, place):
    run_work()
    first = queries.seen_one(ordered.campaign, place().key)
    for seed in (7, 8):
        pictures.add_mockup(ordered, shot.key, file=upload(seed=seed))
    assert queries.seen_one(ordered.campaign, place().key).tag == first.tag


def test_going_back_to_an_earlier_mockup_renders_nothing(ordered, shot, place):
    run_work()
    first = queries.seen_one(ordered.campaign, place().key)
    earlier = shot.mockups.get()
    pictures.add_mockup(ordered, shot.key, file=upload(seed=9))
    run_work()
    pictures.make_current(ordered, earlier.key)
    assert owed() == 0
    assert queries.seen_one(ordered.campaign, place().key).tag == first.tag


def test_the_hero_zone_moves_only_the_crops_that_follow_it(ordered, shot, place):
    formats.set_crop(ordered, place().key, crop=[0.0, 0.0, 0.5, 0.375])
    run_work()
    pictures.mark_hero(ordered, shot.key, zone=(0.8, 0.8, 0.9, 0.9))
    assert queries.seen_one(ordered.campaign, place().key).state == "there"
    assert queries.seen_one(ordered.campaign, place(format="6-sheet").key).state == "redoing"


def test_while_a_layout_is_read_the_bare_crop_is_shown_and_then_it_is_laid_over(ordered, shot, place):
    run_work()
    designer = member_of(ordered.campaign, Role.DESIGNER)
    overlays.receive_files(designer, files=[layout_files.upload("layout.png")], placement=place().key)
    reading = queries.seen_one(ordered.campaign, place().key)
    assert (reading.state, reading.layout_state, reading.laid, reading.open) == ("there", "preparing", False, True)
    run_work("layouts.prepare")
    assert queries.seen_one(ordered.campaign, place().key).layout_state == "waiting"
    run_work()
    laid = queries.seen_one(ordered.campaign, place().key)
    assert (laid.state, laid.layout_state, laid.laid, laid.open) == ("there", "laid", True, False)
    assert set(laid.files) == {"composed", "bare", "layer", "small"}


def test_a_placement_that_is_not_wanted_has_no_preview(ordered, shot, place):
    formats.set_wanted(ordered, placements=[place().key], wanted=False)
    assert not Preview.objects.filter(placement=place()).exists()
    formats.set_wanted(ordered, placements=[place().key], wanted=True)
    assert Preview.objects.filter(placement=place()).exists()


def test_what_failed_gets_a_try_of_its_own_when_it_is_owed_anew(ordered, shot, place):
    run_work()
    earlier = shot.mockups.get()
    Work.objects.filter(kind="layouts.preview").update(state=Work.State.FAILED, says="Not enough memory.")
    pictures.add_mockup(ordered, shot.key, file=upload(seed=9))
    pictures.make_current(ordered, earlier.key)
    assert queries.seen_one(ordered.campaign, place().key).preview.work.state == Work.State.OWED
