"""Protects the answer on the day: whether a frame serves a format, with what, and what to take anew where none does."""

import math
import re
from urllib.parse import parse_qs, urlsplit

import pytest
from django.urls import reverse

from layouts.capture import asking, day_answers
from layouts.formats.models import Format
from layouts.imaging.framing.geometry import Box
from layouts.models import CapturePlan, Incoming, Layout, Placement
from portal.access import Role
from portal.models import LogEntry, Work
from shots.models import Camera
from tests.factories import UserFactory, member_of
from tests.layouts import layout_files
from tests.layouts.capture_rows import example_1
from tests.layouts.capture_scenes import accepted, lock, plannable
from tests.work import run_work

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}
SQUARE = {"choice": "poster", "width": "1200", "height": "1200", "scale": "1", "ppi": "20"}


def page(shot) -> str:
    return reverse("layouts:on-the-day", args=[shot.campaign.key, shot.key])


def words(answer) -> str:
    """What a person reads of it, on one line."""
    text = answer.text.partition("<main")[2] or answer.text
    text = re.sub(r"<(select|svg|script).*?</\1>", "", text, flags=re.S)
    return " ".join(re.sub(r"<[^>]+>", " ", text).replace("&#x27;", "'").replace("\u202f", " ").split())


def screen(width, height) -> Format:
    return Format(name="Screen", kind="screen", width_px=width, height_px=height)


def asked(shot, format, zone=None):
    source = day_answers.source_of(shot.campaign, shot)
    return day_answers.answer(source, format, zone, day_answers.mockup_of(shot), None)


def test_a_format_in_the_frame_of_the_first_worked_example_gets_its_numbers_by_hand():
    """Example 1 of the capture plan's specification: one frame of 6000 x 4000 px holds A (4 x 2 hero heights) and B.

    Its hull is 4 by 10/3, so with 5 % margin 4000 x 0.9 / (10/3) = 1080 px to a hero height. A square window with the
    hero in its middle, a quarter of its side, is 4 hero heights wide: 4320 px, more than the frame's 4000 high. With
    the hero half of its side it is 2 wide: 2160 px.
    """
    _, shot = example_1()
    (capture,) = asking.planned(shot).captures
    assert capture.framing.density == pytest.approx(1080)

    half = asked(shot, screen(1080, 1080), (0.25, 0.25, 0.75, 0.75))
    assert half.serves
    assert half.best.pixels[2:] == (2160, 2160)
    assert half.best.spare == pytest.approx(2160 / 1080)
    assert half.box == Box(-1, -1, 1, 1)

    quarter = asked(shot, screen(1080, 1080), (0.375, 0.375, 0.625, 0.625))
    assert (quarter.serves, quarter.best.inside) == (False, False)
    assert quarter.best.spare == pytest.approx(4)
    # Taken anew: the hull becomes -2 to 2.5 by -13/6 to 2, so 0.9 x min(6000 / 4.5, 4000 / (25/6)) = 864 px.
    anew = quarter.anew[0]
    assert (anew.frame, anew.framing.density) == (0, pytest.approx(864))
    assert anew.gives == pytest.approx(4 * 864 / 1080)


def test_without_a_zone_the_hero_is_where_the_mockup_has_it(ordered):
    shot = plannable(ordered, layouts=())
    found = asked(shot, screen(900, 900))
    # By hand: of 1200 x 800 the square is 800 x 800, round the hero's middle at 612 across: 212 to 1012 px.
    assert found.zone == pytest.approx(((480 - 212) / 800, 0.35, (744 - 212) / 800, 0.7), abs=0.001)
    assert not found.drawn


def test_the_page_answers_with_pixels_ppi_and_room(client, ordered):
    shot = plannable(ordered, layouts=())
    client.force_login(member_of(ordered.campaign, Role.OPERATOR).user)
    assert "was not ordered" in words(client.get(page(shot)))
    text = words(client.get(page(shot), SQUARE | {"distance": "10"}))
    assert "Yes: capture 1 serves it as it is, with 1504 × 1504 px, 1.59 times its need." in text
    assert "20.0 ppi at full size ( 20 ppi in the artwork at 1 : 1)" in text
    assert "tells apart 8.7 ppi from 10 m" in text, "one arc minute at 10 m, by the capture plan's own table"
    assert "left 471, top 110, right 425, bottom 186 px" in text
    assert "answered from the format’s shape and the hero as the mockup has it" in text


def test_what_no_frame_serves_says_which_to_take_anew_and_how(client, ordered):
    shot = plannable(ordered, layouts=())
    client.force_login(ordered.user)
    drawn = {"x0": "10", "y0": "10", "x1": "50", "y1": "50"}
    text = words(client.get(page(shot), SQUARE | drawn))
    assert "No frame serves it as it is; capture 1 does, taken anew." in text
    assert "It reaches out of the frame: 21 px at the bottom." in text
    assert "Take capture 1 anew, wider: landscape, the hero 491 × 521 px" in text
    assert "It serves 48-sheet, 96-sheet and 6-sheet as before, and this" in text
    assert "Or take one more frame, for this alone: landscape" in text
    far = words(client.get(page(shot), {"choice": "screen", "width": "2900", "height": "400"}))
    assert "No single frame of this camera serves it." in far
    assert "Stitched: two landscape tiles, 2 across and 1 down" in far
    assert "entrance pupil" not in far, "nothing is said of a lens that nobody has written down"
    CapturePlan.objects.update_or_create(shot=shot, defaults={"sensor_mm": 36, "hero_mm": 100, "distance_mm": 1200})
    far = words(client.get(page(shot), {"choice": "screen", "width": "2900", "height": "400"}))
    focal, turn = re.search(r"with (\d+)\s?mm from 1\.20\s?m, turn ([\d.]+)° across about", far).groups()
    # By the thin lens and the angle of view, worked out here from memory: neighbours share a part of that angle.
    image = int(focal) * 1200 / (1200 - int(focal))
    overlap = int(re.search(r"overlapping the next by (\d+)", far)[1]) / 100
    assert abs(float(turn) - (1 - overlap) * 2 * math.degrees(math.atan(18 / image))) < 0.02 * float(turn)


def test_a_zone_that_was_drawn_stays_and_one_that_was_filled_in_follows_the_format(client, ordered):
    shot = plannable(ordered, layouts=())
    client.force_login(ordered.user)
    first = client.get(page(shot), SQUARE).text
    sent = {name: re.search(rf'name="{name}" value="([^"]*)"', first)[1] for name in ("x0", "x1", "y0", "y1")}
    sent["drawn_for"] = re.search(r'name="drawn_for" value="([^"]*)"', first)[1]
    wide = {"choice": "screen", "width": "1600", "height": "400"}
    follows = client.get(page(shot), wide | sent)
    assert "hero as the mockup has it" in words(follows)
    assert f'name="x0" value="{sent["x0"]}"' not in follows.text
    stays = client.get(page(shot), wide | sent | {"x0": "21.5"})
    assert "hero zone as it is drawn" in words(stays)
    assert 'name="x0" value="21.5"' in stays.text


def test_to_htmx_it_gives_the_part_that_changes(client, ordered):
    shot = plannable(ordered, layouts=())
    client.force_login(ordered.user)
    of_format = client.get(page(shot), SQUARE, headers=HTMX).text.strip()
    assert of_format.startswith('<div id="asked"')
    assert "hx-swap-oob" in of_format
    of_zone = client.get(page(shot), SQUARE | {"part": "answer"}, headers=HTMX).text.strip()
    assert of_zone.startswith('<div id="answer"')
    assert "hero-zone" not in of_zone


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        ({"choice": ""}, "Choose a format."),
        ({"choice": "nothing-known"}, "nothing-known"),
        ({"choice": "poster"}, "Give its width and height in millimetres"),
        ({"choice": "screen", "width": "1080"}, "Give its width and height in pixels."),
        (SQUARE | {"width": "12"}, "50"),
        (SQUARE | {"width": "1200.5"}, "whole number"),
        (SQUARE | {"x0": "60", "x1": "20", "y0": "1", "y1": "9"}, "The right edge must lie right of the left one."),
        (SQUARE | {"x0": "60"}, "Give all four edges of the hero zone, or none."),
        (SQUARE | {"x0": "1", "x1": "1.5", "y0": "1", "y1": "99"}, "at least 0.01 of the window"),
    ],
)
def test_what_cannot_be_asked_is_said_plainly(client, ordered, sent, says):
    shot = plannable(ordered, layouts=())
    client.force_login(ordered.user)
    answer = client.get(page(shot), sent)
    assert answer.status_code == 200
    assert says in words(answer)
    assert "serves it" not in words(answer)


def test_a_shot_without_a_plan_says_why(client, ordered):
    client.force_login(ordered.user)
    text = words(client.get(page(ordered.campaign.shots.get(number=2)), SQUARE))
    assert "This shot has no mockup yet" in text


def test_a_dropped_layout_is_answered_at_once_and_exactly_when_it_was_inspected(client, ordered):
    shot = plannable(ordered, layouts=())
    client.force_login(member_of(ordered.campaign, Role.OPERATOR).user)
    before = (Layout.objects.count(), Incoming.objects.count(), LogEntry.objects.count(), Placement.objects.count())
    drop = re.search(r'action="([^"]+choice=[^"]+)"', client.get(page(shot), SQUARE).text)[1].replace("&amp;", "&")
    sent = client.post(drop, {"files": layout_files.upload("square.png", size=(945, 945), surround=40)})
    assert sent.status_code == 302
    there = sent.headers["Location"]
    waits = client.get(there)
    assert "Yes: capture 1 serves it as it is" in words(waits)
    assert "the answer becomes exact when its window is found" in words(waits)
    poll = re.search(r'class="working" hx-get="([^"]+)"', waits.text)[1].replace("&amp;", "&")
    assert client.get(poll, headers=HTMX).text.strip().startswith('<div class="working"')
    run_work()
    changed = client.get(poll, headers=HTMX)
    assert changed.headers["HX-Retarget"] == "#asked"
    done = words(client.get(there))
    assert "This is exact for square.png: its window was found, 945 × 945 px" in done
    assert "of the hero zone: move the zone, or the type." in done or "No type of it lies over the hero zone." in done
    picture = re.search(r'src="([^"]+/on-the-day/layout/[^"]+)"', client.get(there).text)[1]
    assert client.get(picture).headers["Content-Type"] == "image/webp"
    # For another format the layout says nothing.
    other = client.get(there.replace("width=1200", "width=2400"))
    assert "is for another format" in words(other)
    after = (Layout.objects.count(), Incoming.objects.count(), LogEntry.objects.count(), Placement.objects.count())
    assert after == before, "nothing goes into the brief"


def test_type_over_the_hero_zone_is_told_by_its_share(client, ordered):
    shot = plannable(ordered, layouts=())
    client.force_login(ordered.user)
    bar = SQUARE | {"x0": "6", "x1": "30", "y0": "80", "y1": "84"}  # where the layout's bar is, see layout_files
    drop = re.search(r'action="([^"]+choice=[^"]+)"', client.get(page(shot), bar).text)[1].replace("&amp;", "&")
    there = client.post(drop, {"files": layout_files.upload("square.png", size=(945, 945))}).headers["Location"]
    run_work()
    share = int(re.search(r"Its type lies over (\d+) % of the hero zone", words(client.get(there)))[1])
    assert share > 80


@pytest.mark.parametrize(
    ("file", "says"),
    [
        (lambda: layout_files.upload("flat.png", mode="RGB", size=(945, 945)), "has no transparency"),
        (lambda: layout_files.upload("wide.png", size=(1440, 360)), "1440 × 360 px"),
        (lambda: layout_files.upload("note.txt", data=b"not a picture"), "note.txt was not taken."),
    ],
)
def test_a_file_that_is_no_layout_for_this_format_is_refused_in_words(client, ordered, file, says):
    shot = plannable(ordered, layouts=())
    client.force_login(ordered.user)
    drop = re.search(r'action="([^"]+choice=[^"]+)"', client.get(page(shot), SQUARE).text)[1].replace("&amp;", "&")
    answer = client.post(drop, {"files": file()})
    assert answer.status_code == 422
    assert says in words(answer)
    assert "capture 1 serves it" in words(answer), "the answer stays"
    assert "No file was chosen." in words(client.post(drop))


def test_a_token_of_another_shot_or_one_that_is_made_up_names_nothing(client, ordered):
    shot = plannable(ordered, layouts=())
    other = plannable(ordered, number=2, layouts=())
    client.force_login(ordered.user)
    drop = re.search(r'action="([^"]+choice=[^"]+)"', client.get(page(shot), SQUARE).text)[1].replace("&amp;", "&")
    there = client.post(drop, {"files": layout_files.upload("square.png", size=(945, 945))}).headers["Location"]
    run_work()
    token = parse_qs(urlsplit(there).query)["layout"][0]
    for key, sent in ((other, token), (shot, token[:-2] + "xx"), (shot, "nothing")):
        assert "is not known here any more" in words(client.get(page(key), SQUARE | {"layout": sent}))
        address = reverse("layouts:on-the-day-layout", args=[ordered.campaign.key, key.key, sent])
        assert client.get(address).status_code == 404


def test_who_may_ask(client, ordered):
    shot = plannable(ordered, layouts=())
    people = {role: member_of(ordered.campaign, role) for role in Role}
    found = {}
    for role, member in people.items():
        client.force_login(member.user)
        found[role] = client.get(page(shot), SQUARE).status_code
    assert found == {role: 403 if role == Role.ASSISTANT else 200 for role in Role}
    lock(ordered.campaign)
    client.force_login(people[Role.ASSISTANT].user)
    assert client.get(page(shot), SQUARE).status_code == 200, "a version may be read by everybody"
    assert client.post(page(shot)).status_code == 403
    client.force_login(UserFactory())
    assert client.get(page(shot), SQUARE).status_code == 404


def test_on_a_locked_brief_its_own_frames_answer_and_a_change_can_be_raised_with_the_words(client, ordered):
    shot = plannable(ordered, layouts=())
    accepted(shot)
    lock(ordered.campaign)
    Camera.objects.update(width_px=4800, height_px=3600)  # as an accepted change may have it
    client.force_login(ordered.user)
    answer = client.get(page(shot), SQUARE)
    assert "with 1504 × 1504 px" in words(answer)
    link = re.search(r'href="([^"]+/changes/raise/[^"]*)"', answer.text)[1].replace("&amp;", "&")
    told = parse_qs(urlsplit(link).query)
    assert told["what"] == ["Shot 1 is wanted in one more format: New format, 1200 × 1200 mm."]
    assert told["why"][0].startswith("Asked for on the day. Yes: capture 1 serves it as it is")
    form = client.get(link)
    assert told["what"][0] in form.text, "the words are filled in"
    for place in told["open"]:
        assert re.search(rf'value="{place}"[^>]* checked', form.text), f"{place} is ticked"
    client.force_login(member_of(ordered.campaign, Role.DESIGNER).user)
    assert "/changes/raise/" not in client.get(page(shot), SQUARE).text, "a designer raises none"


def test_asking_costs_few_queries_and_owes_no_work(client, ordered, django_assert_max_num_queries):
    shot = plannable(ordered)
    client.force_login(ordered.user)
    before = Work.objects.count()
    client.get(page(shot), SQUARE)
    with django_assert_max_num_queries(20):
        client.get(page(shot), SQUARE)
    assert Work.objects.count() == before


def test_the_mockup_may_lack_its_hero_once_the_plan_is_locked(client, ordered):
    shot = plannable(ordered, layouts=())
    accepted(shot)
    lock(ordered.campaign)
    shot.mockups.update(hero=None)
    assert "serves it" in words(_get(client, ordered, page(shot)))


def _get(client, member, url):
    client.force_login(member.user)
    return client.get(url, SQUARE)
