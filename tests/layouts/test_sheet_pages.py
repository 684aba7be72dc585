"""Protects the contact sheet: one scale for all its pages, sizes as they look from afar, few queries, who sees it."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from layouts.formats import actions as formats
from layouts.models import Format
from layouts.overlays import actions as overlays
from layouts.pictures import actions as pictures
from layouts.previews import sheet_pages
from portal.access import Role
from tests.factories import CampaignFactory, ShotFactory, member_of
from tests.layouts import layout_files
from tests.layouts.mockup_files import upload
from tests.work import run_work

pytestmark = pytest.mark.django_db


def url(campaign, rest=""):
    return f"/c/{campaign.key}/contact-sheet/{rest}"


def items(page) -> dict[str, str]:
    """What stands under each placement, by its name, as plain text; with the width and height of its picture."""
    found = {}
    for item in re.findall(r'<li class="contact-item">(.*?)</li>', page.text, re.DOTALL):
        size = re.search(r'<svg width="([\d.]+)em" height="([\d.]+)em"', item)
        name = re.search(r"<b>(.*?)</b>", item)[1]
        text = " ".join(re.sub(r"<[^>]+>", " ", item).replace("\u202f", " ").split())
        found[name] = (tuple(float(side) for side in size.groups()) if size else None, text)
    return found


@pytest.fixture
def sheet(ordered, sign_in):
    """A function that opens the contact sheet as the agency's producer."""
    browser = sign_in(ordered)
    return lambda rest="": browser.get(url(ordered.campaign, rest))


def screen(agency, **more) -> None:
    formats.add_formats(
        agency, formats=[{"name": "Phone", "kind": "screen", "width_px": 1080, "height_px": 1920, **more}]
    )


def test_posters_stand_at_one_scale(sheet):
    found = items(sheet())
    (big, _), (middle, _), (small, _) = found["96-sheet"], found["48-sheet"], found["6-sheet"]
    assert big[0] / middle[0] == pytest.approx(12192 / 6096, rel=1e-3)
    assert big[0] / small[0] == pytest.approx(12192 / 1200, rel=1e-3)
    assert small[1] / big[1] == pytest.approx(1800 / 3048, rel=1e-3)


def test_the_scale_is_the_same_for_a_shot_that_has_not_the_largest(sheet, ordered, place):
    whole = items(sheet())["6-sheet"][0]
    for language in ("en-GB", "cy"):
        formats.set_wanted(ordered, placements=[place(2, "96-sheet", language).key], wanted=False)
    second = ordered.campaign.shots.get(number=2)
    found = items(sheet(f"?shot={second.key}"))
    assert "96-sheet" not in found
    assert found["6-sheet"][0] == whole


def test_screens_stand_apart_and_have_a_scale_of_their_own(sheet, ordered):
    screen(ordered, width_mm=65, height_mm=116)
    page = sheet()
    assert page.text.count(">Screens</h3>") == 2
    assert "screens are smaller and have a scale of their own" in page.text
    assert items(page)["Phone"][0][1] > items(page)["6-sheet"][0][1] * 116 / 1800 * 2


def test_a_screen_of_unknown_size_says_so(sheet, ordered):
    screen(ordered)
    assert "1080 × 1920 px , size not known" in items(sheet())["Phone"][1]


def test_states_and_verdicts_stand_under_the_pictures(sheet, ordered, place):
    shot = ordered.campaign.shots.get(number=1)
    pictures.add_mockup(ordered, shot.key, file=upload())
    designer = member_of(ordered.campaign, Role.DESIGNER)
    overlays.receive_files(designer, files=[layout_files.upload("a.png")], placement=place(1, "48-sheet").key)
    flat = layout_files.encoded(layout_files.drawn((600, 900), mode="RGB").convert("RGBA"))
    overlays.receive_files(designer, files=[layout_files.upload("b.png", flat)], placement=place(1, "6-sheet").key)
    run_work()
    found = items(sheet(f"?shot={shot.key}"))
    assert "layout owed" in found["96-sheet"][1]
    assert "revision 1, one fault to mend" in found["6-sheet"][1]
    assert re.search(r"revision 1 (reads well|hard to read)", found["48-sheet"][1])
    assert "no mockup yet" in items(sheet(f"?shot={ordered.campaign.shots.get(number=2).key}"))["96-sheet"][1]


def test_as_seen_each_is_as_large_as_it_looks_from_its_distance(sheet, ordered):
    """By similar triangles, in cm: 12,192 mm from 30 m is 24.384 cm at 60 cm before the eye, half that at 30 cm."""
    Format.objects.filter(name="96-sheet").update(distance_m=30)
    Format.objects.filter(name="6-sheet").update(distance_m=4)
    found = items(sheet("?as=seen"))
    assert found["96-sheet"][0] == pytest.approx((24.384, 6.096))
    assert found["6-sheet"][0] == pytest.approx((18.0, 27.0))
    assert "Here 244 × 61 mm" in found["96-sheet"][1]
    # tan(1/60 degree) of 30 m: 8.73 mm
    assert "One minute of arc is 8.7 mm on it." in found["96-sheet"][1]
    assert items(sheet("?as=seen&eye=30"))["96-sheet"][0] == pytest.approx((12.192, 3.048))


def test_as_seen_what_has_no_distance_says_so(sheet):
    size, text = items(sheet("?as=seen"))["48-sheet"]
    assert size is None
    assert "Its viewing distance is not known" in text


@pytest.mark.parametrize("typed", ["0", "-5", "nonsense", "", "1e9", "nan"])
def test_an_eye_that_is_nowhere_is_answered_in_words(sheet, typed):
    Format.objects.filter(name="96-sheet").update(distance_m=30)
    page = sheet(f"?as=seen&eye={typed}")
    assert page.status_code == 200
    assert "One thing is to be put right" in page.text
    assert items(page)["96-sheet"][0] == pytest.approx((24.384, 6.096))


def test_the_height_of_the_smallest_line_is_told_in_minutes(sheet, ordered, place):
    Format.objects.filter(name="48-sheet").update(distance_m=15)
    shot = ordered.campaign.shots.get(number=1)
    pictures.add_mockup(ordered, shot.key, file=upload())
    designer = member_of(ordered.campaign, Role.DESIGNER)
    overlays.receive_files(designer, files=[layout_files.upload("a.png")], placement=place(1, "48-sheet").key)
    run_work()
    text = items(sheet(f"?as=seen&shot={shot.key}"))["48-sheet"][1]
    mm, minutes = (float(part) for part in re.search(r"smallest line, (\d+) mm, is (\d+) minutes high", text).groups())
    assert minutes == pytest.approx(mm / 4.363, abs=0.6)  # tan(1/60 degree) of 15 m is 4.363 mm


def test_the_other_language_is_a_link_away(sheet, place):
    english, welsh = place(1, "48-sheet"), place(1, "48-sheet", "cy")
    page = sheet()
    assert f"/stage/{english.key}/" in page.text
    assert f"/stage/{welsh.key}/" not in page.text
    assert "?language=cy" in page.text
    assert f"/stage/{welsh.key}/" in sheet("?language=cy").text


def test_shots_behind_the_first_come_by_a_link(sheet, monkeypatch):
    monkeypatch.setattr(sheet_pages, "SHOTS_A_PAGE", 1)
    assert "Tall stack" not in sheet().text
    assert "page=2" in sheet().text
    assert "Tall stack" in sheet("?language=en-GB&page=2").text


@pytest.mark.parametrize(("role", "status"), [(Role.CLIENT, 200), (Role.STYLIST, 200), (Role.ASSISTANT, 403)])
def test_whoever_reads_the_draft_sees_it(sign_in, ordered, role, status):
    assert sign_in(member_of(ordered.campaign, role)).get(url(ordered.campaign)).status_code == status


def test_another_campaigns_shot_is_not_found(sheet, ordered):
    other = ShotFactory(campaign=CampaignFactory())
    assert sheet(f"?shot={other.key}").status_code == 404


def test_nothing_yet_is_said(sign_in):
    agency = member_of(CampaignFactory(), Role.AGENCY)
    assert "No shots yet" in sign_in(agency).get(url(agency.campaign)).text


def test_it_asks_the_database_the_same_number_of_times_for_more_of_everything(sheet, ordered, place):
    def asked() -> list[int]:
        counts = []
        for rest in ("", "?as=seen"):
            with CaptureQueriesContext(connection) as queries:
                assert sheet(rest).status_code == 200
            counts.append(len(queries))
        return counts

    designer = member_of(ordered.campaign, Role.DESIGNER)

    def lay(number: int) -> None:
        overlays.receive_files(designer, files=[layout_files.upload("a.png")], placement=place(number, "48-sheet").key)

    pictures.add_mockup(ordered, ordered.campaign.shots.get(number=1).key, file=upload())
    lay(1)
    run_work()
    few = asked()
    for number in range(3, 6):
        more = ShotFactory(campaign=ordered.campaign, number=number)
        formats.fill_grid(ordered.campaign)
        pictures.add_mockup(ordered, more.key, file=upload(seed=number))
        lay(number)
    run_work()
    assert asked() == few
    assert max(few) <= 20
