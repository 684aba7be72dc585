"""Protects the pages of mockups and hero zones: forms that lose nothing, who sees what, and the same few queries."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from layouts.models import Mockup
from layouts.pictures import actions
from portal.access import Role
from portal.models import Work
from tests.factories import ShotFactory, member_of
from tests.layouts.mockup_files import upload
from tests.work import run_work

pytestmark = pytest.mark.django_db


@pytest.fixture
def shot(ordered):
    return ordered.campaign.shots.get(number=1)


def address(shot, page="mockup"):
    return f"/c/{shot.campaign.key}/shots/{shot.key}/{page}/"


def test_the_form_sends_a_mockup_and_goes_on_to_the_hero_zone(sign_in, ordered, shot):
    answer = sign_in(ordered).post(address(shot), {"file": upload("comp.png")})
    assert (answer.status_code, answer.headers["Location"]) == (302, address(shot, "hero-zone"))
    assert Mockup.objects.get().name == "comp.png"


def test_a_file_that_is_refused_is_answered_with_its_sentence(sign_in, ordered, shot):
    answer = sign_in(ordered).post(address(shot), {"file": upload("comp.jpg", data=b"GIF89a........")})
    assert answer.status_code == 422
    assert "This is a GIF, which is not taken." in answer.text
    assert not Mockup.objects.exists()


def test_no_file_at_all_is_said(sign_in, ordered, shot):
    answer = sign_in(ordered).post(address(shot), {})
    assert answer.status_code == 422
    assert "Choose a picture to send." in answer.text


def test_the_hero_zone_is_marked_by_four_numbers(sign_in, ordered, shot):
    actions.add_mockup(ordered, shot.key, file=upload())
    numbers = {"x0": "40", "y0": "41.5", "x1": "60", "y1": "80"}
    answer = sign_in(ordered).post(address(shot, "hero-zone"), numbers)
    assert answer.status_code == 302
    assert Mockup.objects.get().hero == [0.4, 0.415, 0.6, 0.8]


def test_an_impossible_zone_keeps_what_was_typed(sign_in, ordered, shot):
    actions.add_mockup(ordered, shot.key, file=upload())
    run_work("layouts.copies")
    answer = sign_in(ordered).post(address(shot, "hero-zone"), {"x0": "60", "y0": "40", "x1": "40", "y1": "180"})
    assert answer.status_code == 422
    assert "The right edge must lie right of the left one." in answer.text
    assert 'value="180"' in answer.text
    assert Mockup.objects.get().hero is None


def test_without_a_mockup_the_hero_page_leads_to_sending_one(sign_in, ordered, shot):
    answer = sign_in(ordered).get(address(shot, "hero-zone"))
    assert answer.headers["Location"] == address(shot)


@pytest.mark.parametrize("page", ["mockup", "hero-zone", "pictures"])
def test_whoever_may_not_change_pictures_is_shown_no_way_to(sign_in, ordered, shot, page):
    actions.add_mockup(ordered, shot.key, file=upload())
    run_work()
    text = sign_in(member_of(ordered.campaign, Role.CLIENT)).get(address(shot, page)).text
    for way in ('type="file"', "Keep this hero zone", "Mark the hero zone", "Send a new mockup"):
        assert way not in text


def test_the_client_who_posts_a_mockup_is_refused(sign_in, ordered, shot):
    client = member_of(ordered.campaign, Role.CLIENT)
    assert sign_in(client).post(address(shot), {"file": upload()}).status_code == 403
    assert not Mockup.objects.exists()


def test_the_panel_is_a_page_and_a_fragment_and_asks_again_only_while_work_is_open(sign_in, ordered, shot):
    actions.add_mockup(ordered, shot.key, file=upload())
    here = address(shot, "pictures")
    browser = sign_in(ordered)
    whole = browser.get(here)
    part = browser.get(here, headers={"HX-Request": "true"})
    assert "<h1" in whole.text
    assert part.text.strip().startswith('<section class="stack" id="shot-pictures" data-pictures>')
    poll = f"{here}?seen={part.context['signature']}"
    assert poll in part.text
    again = browser.get(poll, headers={"HX-Request": "true"})
    assert again.text.strip().startswith('<div class="working"'), "nothing changed: only the line is renewed"
    run_work()
    done = browser.get(poll, headers={"HX-Request": "true"})
    assert done.headers["HX-Retarget"] == "#shot-pictures"
    assert "seen=" not in done.text
    assert "<img" in done.text


def test_a_mockup_that_cannot_be_read_says_so_and_offers_another_try(sign_in, ordered, shot):
    mockup = actions.add_mockup(ordered, shot.key, file=upload())
    Work.objects.filter(pk=mockup.work_id).update(state=Work.State.FAILED, says="This file ends early.")
    browser = sign_in(ordered)
    assert "This file ends early." in browser.get(address(shot)).text
    browser.post(f"/c/{shot.campaign.key}/mockups/{mockup.key}/again/")
    mockup.work.refresh_from_db()
    assert mockup.work.state == Work.State.OWED


def test_an_empty_shot_teaches_and_only_some_are_asked(sign_in, ordered, shot):
    here = address(shot, "pictures")
    assert "The mockup is the agreed composition" in sign_in(ordered).get(here).text
    assert "Send a mockup" in sign_in(ordered).get(here).text
    assert "Send a mockup" not in sign_in(member_of(ordered.campaign, Role.CLIENT)).get(here).text


def test_another_campaigns_shot_is_not_found(sign_in, ordered):
    stranger = ShotFactory()
    for page in ("mockup", "hero-zone", "pictures"):
        answer = sign_in(ordered).get(f"/c/{ordered.campaign.key}/shots/{stranger.key}/{page}/")
        assert answer.status_code == 404


def queries_of(browser, url) -> int:
    with CaptureQueriesContext(connection) as asked:
        assert browser.get(url).status_code == 200
    return len(asked)


def test_more_revisions_and_placements_cost_no_more_queries(sign_in, ordered, shot):
    actions.add_mockup(ordered, shot.key, file=upload())
    run_work()
    browser = sign_in(ordered)
    few = [queries_of(browser, address(shot, page)) for page in ("mockup", "hero-zone", "pictures")]
    for seed in (1, 2, 3):
        actions.add_mockup(ordered, shot.key, file=upload(seed=seed))
    run_work()
    assert [queries_of(browser, address(shot, page)) for page in ("mockup", "hero-zone", "pictures")] == few
    assert max(few) <= 20
