"""Protects the stage and the street: what they say, that they wait and stop, and the same few queries for any size."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from layouts.formats import actions as formats
from layouts.models import Placement, Preview
from layouts.overlays import actions as overlays
from layouts.pictures import actions as pictures
from layouts.previews import street_pages
from portal.access import Role
from portal.models import Work
from tests.factories import ShotFactory, member_of
from tests.layouts import layout_files
from tests.layouts.mockup_files import upload
from tests.work import run_work

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


@pytest.fixture
def shot(ordered):
    shot = ordered.campaign.shots.get(number=1)
    pictures.add_mockup(ordered, shot.key, file=upload())
    pictures.mark_hero(ordered, shot.key, zone=(0.4, 0.4, 0.6, 0.8))
    return shot


def stage(placement):
    return f"/c/{placement.shot.campaign.key}/stage/{placement.key}/"


def test_the_stage_says_where_it_stands_and_what_the_poster_gets(sign_in, ordered, shot, place):
    overlays.receive_files(
        member_of(ordered.campaign, Role.DESIGNER), files=[layout_files.upload("bowl.png")], placement=place().key
    )
    run_work()
    text = sign_in(ordered).get(stage(place())).text
    assert "Revision 1 of the layout lies over revision 1 of the mockup." in text
    assert "The hero zone lies whole inside this crop." in text
    assert "600\u202f×\u202f300\u202fpx" in text
    assert "2.5\u202fppi" in text
    assert "data-layer=" in text
    assert "The same in Welsh" in text


def test_the_stage_waits_for_its_picture_and_then_stops(sign_in, ordered, shot, place):
    browser = sign_in(ordered)
    page = browser.get(stage(place()))
    poll = f"{stage(place())}?seen={page.context['signature']}"
    assert "The picture is being made." in page.text
    assert poll in page.text
    assert browser.get(poll, headers=HTMX).text.strip().startswith('<div class="working"')
    run_work()
    done = browser.get(poll, headers=HTMX)
    assert done.headers["HX-Retarget"] == "#picture"
    assert "<picture-stage" in done.text
    assert "seen=" not in done.text


def test_the_old_picture_stays_on_the_stage_while_it_is_made_anew(sign_in, ordered, shot, place):
    run_work()
    pictures.add_mockup(ordered, shot.key, file=upload(seed=4))
    text = sign_in(ordered).get(stage(place())).text
    assert "<picture-stage" in text
    assert "it is being made anew" in text


def test_marks_are_drawn_only_on_the_crop_that_they_belong_to(sign_in, ordered, shot, place):
    pictures.mark_hero(ordered, shot.key, zone=(0.4, 0.4, 0.6, 0.6))
    run_work()
    browser = sign_in(ordered)
    assert 'class="hero-word"' in browser.get(stage(place())).text
    Placement.objects.filter(pk=place().pk).update(crop=[0.0, 0.0, 0.9, 0.675])
    assert 'class="hero-word"' not in browser.get(stage(place())).text


def test_a_failure_is_said_and_can_be_tried_again(sign_in, ordered, shot, place):
    Work.objects.filter(kind="layouts.preview").update(state=Work.State.FAILED, says="This file ends early.")
    browser = sign_in(ordered)
    text = browser.get(stage(place())).text
    assert "The picture could not be made. This file ends early." in text
    assert "Try again" in text
    browser.post(f"{stage(place())}again/")
    assert Preview.objects.get(placement=place()).work.state == Work.State.OWED


def test_only_menders_may_try_again(sign_in, ordered, shot, place):
    Work.objects.filter(kind="layouts.preview").update(state=Work.State.FAILED, says="This file ends early.")
    browser = sign_in(member_of(ordered.campaign, Role.STYLIST))
    assert "Try again" not in browser.get(stage(place())).text
    assert browser.post(f"{stage(place())}again/").status_code == 403
    assert Preview.objects.get(placement=place()).work.state == Work.State.FAILED


def test_a_crop_is_set_by_numbers_and_given_back(sign_in, ordered, shot, place):
    browser = sign_in(ordered)
    crop = {"x0": "10", "y0": "10", "x1": "60", "y1": "47.5"}
    assert browser.post(f"{stage(place())}crop/", crop).status_code == 302
    assert place().crop == [0.1, 0.1, 0.6, 0.475]
    assert browser.post(f"{stage(place())}crop/", {"computed": "1"}).status_code == 302
    assert place().crop is None


def test_a_crop_of_another_shape_is_refused_and_kept_in_the_form(sign_in, ordered, shot, place):
    answer = sign_in(ordered).post(f"{stage(place())}crop/", {"x0": "0", "y0": "0", "x1": "100", "y1": "97.3"})
    assert answer.status_code == 422
    assert 'value="97.3"' in answer.text
    assert place().crop is None


def test_full_pixels_are_offered_made_and_shown(sign_in, ordered, place):
    shot = ordered.campaign.shots.get(number=1)
    pictures.add_mockup(ordered, shot.key, file=upload(size=(3000, 2000)))
    run_work()
    browser = sign_in(member_of(ordered.campaign, Role.CLIENT))
    assert "3000\u202f×\u202f1500\u202fpx" in browser.get(stage(place())).text
    browser.post(f"{stage(place())}detail/")
    assert "The full pixels are being made." in browser.get(stage(place())).text
    run_work()
    text = browser.get(stage(place())).text
    assert "composed-detail" in text
    assert "Have them made" not in text


def test_a_small_mockup_has_no_more_pixels_to_offer(sign_in, ordered, shot, place):
    run_work()
    assert "Have them made" not in sign_in(ordered).get(stage(place())).text


def test_the_street_shows_one_language_and_leads_to_the_other(sign_in, ordered, shot, place):
    run_work()
    browser = sign_in(ordered)
    english = browser.get(f"/c/{ordered.campaign.key}/pictures/").text
    assert stage(place()) in english
    assert stage(place(language="cy")) not in english
    assert 'aria-label="Placements of shot 1, at one scale"' in english
    welsh = browser.get(f"/c/{ordered.campaign.key}/pictures/?language=cy").text
    assert stage(place(language="cy")) in welsh
    assert stage(place()) not in welsh


def test_shots_behind_the_first_come_as_they_are_scrolled_to_or_by_a_link(sign_in, ordered, monkeypatch):
    monkeypatch.setattr(street_pages, "SHOTS_A_PAGE", 1)
    here = f"/c/{ordered.campaign.key}/pictures/"
    browser = sign_in(ordered)
    first = browser.get(here, headers=HTMX).text
    assert "Bowl by the window" in first
    assert "Tall stack" not in first
    assert f'href="{here}?language=en-GB&amp;page=2"' in first
    assert "Tall stack" in browser.get(f"{here}?language=en-GB&page=2").text


def test_another_campaigns_placement_is_not_found(sign_in, ordered, place):
    other = member_of(ShotFactory(), Role.AGENCY)
    placement = Placement.objects.first()
    browser = sign_in(other)
    assert browser.get(f"/c/{other.campaign.key}/stage/{placement.key}/").status_code == 404
    assert browser.post(f"/c/{other.campaign.key}/stage/{placement.key}/again/").status_code == 404
    assert browser.get(stage(placement)).status_code == 404


def queries_of(browser, url) -> int:
    with CaptureQueriesContext(connection) as asked:
        assert browser.get(url).status_code == 200
    return len(asked)


def test_the_street_and_the_stage_ask_the_same_number_of_times_for_more_of_everything(sign_in, ordered, shot, place):
    browser = sign_in(ordered)
    pages = [f"/c/{ordered.campaign.key}/pictures/", stage(place())]

    def asked() -> list[int]:
        """While pictures are made anew, and when they are there."""
        for one in ordered.campaign.shots.filter(mockups__current=True):
            pictures.add_mockup(ordered, one.key, file=upload(seed=100 + one.mockups.count() * 10 + one.number))
        open_ = [queries_of(browser, url) for url in pages]
        run_work()
        return open_ + [queries_of(browser, url) for url in pages]

    run_work()
    few = asked()
    for number in range(3, 6):
        more = ShotFactory(campaign=ordered.campaign, number=number)
        formats.fill_grid(ordered.campaign)
        pictures.add_mockup(ordered, more.key, file=upload(seed=number))
    run_work()
    assert asked() == few
    assert max(few) <= 20
