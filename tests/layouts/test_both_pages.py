"""Protects two people at one format, hero zone, crop, window, grid or file: the second is told, and nothing is lost."""

from html import unescape

import pytest

from layouts.formats import actions as formats
from layouts.models import Format, Incoming, Layout, Mockup, Placement
from layouts.overlays import actions as overlays
from layouts.pictures import actions as pictures
from portal.access import Role
from portal.models import LogEntry, Work
from tests.factories import member_of
from tests.filled import filled
from tests.layouts import layout_files
from tests.layouts.mockup_files import upload
from tests.work import run_work

pytestmark = pytest.mark.django_db
ZONE = (0.4, 0.4, 0.6, 0.8)


@pytest.fixture
def ida(ordered):
    """Somebody else, who is quicker."""
    ida = member_of(ordered.campaign, Role.AGENCY)
    ida.user.name = "Ida Moss"
    ida.user.save()
    return ida


@pytest.fixture
def shot(ordered):
    return ordered.campaign.shots.get(number=1)


@pytest.fixture
def mockup(ordered, shot):
    """The shot's mockup with its copies made, as the pages of zone and crop need them."""
    made = pictures.add_mockup(ordered, shot.key, file=upload())
    pictures.mark_hero(ordered, shot.key, zone=ZONE)
    run_work()
    return made


def url(member, rest):
    return f"/c/{member.campaign.key}/{rest}"


def says(page, what):
    return what in unescape(page.text)


def test_a_format_that_two_correct_at_once(sign_in, ordered, ida):
    row = Format.objects.get(name="6-sheet")
    client, at = sign_in(ordered), url(ordered, f"formats/{row.key}/")
    form = filled(client.get(at))
    formats.edit_format(ida, row.key, distance_m=4.5, aliases=["6sheet", "six"])
    refused = client.post(at, form | {"distance_m": "6", "name": "Street poster"})
    assert refused.status_code == 422
    assert says(refused, "Ida Moss (Agency producer) wrote this at")
    assert (filled(refused)["distance_m"], filled(refused)["aliases"]) == (["6"], ["6sheet, six"])
    row.refresh_from_db()
    assert (row.name, row.distance_m) == ("6-sheet", 4.5)
    assert client.post(at, filled(refused)).status_code == 302
    row.refresh_from_db()
    assert (row.name, row.distance_m, row.aliases) == ("Street poster", 6, ["6sheet", "six"])


def test_the_numbers_of_one_size_are_one_thing(sign_in, ordered, ida):
    row = Format.objects.get(name="6-sheet")
    client, at = sign_in(ordered), url(ordered, f"formats/{row.key}/")
    form = filled(client.get(at))
    formats.edit_format(ida, row.key, width_mm=2400, height_mm=3600)
    refused = client.post(at, form | {"ppi": "150", "width_px": "", "height_px": ""})
    assert refused.status_code == 422
    assert says(refused, "changed what belongs with it")
    mine = filled(refused)
    assert (mine["width_mm"], mine["ppi"]) == (["1200"], ["150"])
    sides = ("width_mm", "height_mm", "width_px", "height_px")
    taken = client.post(at, mine | {f"keep-{side}": "theirs" for side in sides})
    assert taken.status_code == 302
    row.refresh_from_db()
    assert (row.width_mm, row.height_mm, row.width_px, row.height_px) == (2400, 3600, 600, 900)


def test_the_removal_of_a_format_asks_again(sign_in, ordered, ida, designer, place):
    row = place().format
    client, at = sign_in(ordered), url(ordered, f"formats/{row.key}/remove/")
    question = filled(client.get(at))
    overlays.receive_files(designer, files=[layout_files.upload("late.png")], placement=place().key)
    asked = client.post(at, question | {"confirmed": "yes"})
    assert asked.status_code == 422
    assert says(asked, "late.png")
    again = filled(asked) | {"confirmed": "yes"}
    assert [client.post(at, again).status_code for _ in range(2)] == [302, 302]
    assert not Format.objects.filter(key=row.key).exists()
    assert LogEntry.objects.filter(act="format.removed").count() == 1


def test_all_of_a_row_does_not_undo_what_somebody_just_decided(sign_in, ordered, ida, shot, place):
    formats.set_wanted(ordered, placements=[place(1, "6-sheet").key], wanted=False)
    client, at = sign_in(ordered), url(ordered, "formats/wanted/")
    grid = filled(client.get(url(ordered, "formats/?choose")), "wanted/")
    formats.set_wanted(ida, placements=[place(1, "96-sheet").key], wanted=False)
    for headers in ({}, {"HX-Request": "true"}):
        told = client.post(at, grid | {"on": f"row:{shot.key}"}, headers=headers)
        assert told.status_code == 422
        assert says(told, "Somebody decided otherwise while you were choosing.")
        assert says(told, "Ida Moss")
    assert Placement.objects.filter(wanted=False).count() == 2
    client.post(at, filled(told, "wanted/") | {"on": f"row:{shot.key}"})
    assert not Placement.objects.filter(wanted=False).exists()


def test_a_cell_that_both_switch_the_same_way_is_no_quarrel(sign_in, ordered, ida, place):
    client, at = sign_in(ordered), url(ordered, "formats/wanted/")
    grid = filled(client.get(url(ordered, "formats/?choose")), "wanted/")
    formats.set_wanted(ida, placements=[place().key], wanted=False)
    assert client.post(at, grid | {"off": place().key}).status_code == 302
    assert client.post(at, grid | {"off": place(2).key}).status_code == 302
    assert Placement.objects.filter(wanted=False).count() == 2


def test_a_hero_zone_that_two_mark_at_once(sign_in, ordered, ida, shot, mockup):
    client, at = sign_in(ordered), url(ordered, f"shots/{shot.key}/hero-zone/")
    form = filled(client.get(at))
    pictures.mark_hero(ida, shot.key, zone=(0.1, 0.2, 0.5, 0.6))
    refused = client.post(at, form | {"x0": "30"})
    assert refused.status_code == 422
    assert says(refused, "Ida Moss (Agency producer) marked it at")
    assert says(refused, "while you were at it: it is 10 to 50 % across and 20 to 60 % down.")
    assert says(refused, "Take theirs")
    assert filled(refused)["x0"] == ["30"]
    assert Mockup.objects.get().hero == [0.1, 0.2, 0.5, 0.6]
    assert client.post(at, filled(refused)).status_code == 302
    assert Mockup.objects.get().hero == [0.3, 0.4, 0.6, 0.8]


def test_a_zone_is_not_put_on_a_mockup_that_nobody_saw(sign_in, ordered, ida, shot, mockup):
    client, at = sign_in(ordered), url(ordered, f"shots/{shot.key}/hero-zone/")
    form = filled(client.get(at))
    pictures.add_mockup(ida, shot.key, file=upload("hers.png", seed=5))
    run_work()
    refused = client.post(at, form | {"x0": "30"})
    assert refused.status_code == 422
    assert says(refused, "Ida Moss (Agency producer) changed the mockup that it is marked on at")
    assert Mockup.objects.get(current=True).hero == list(ZONE)


def test_a_crop_that_two_set_at_once(sign_in, ordered, ida, place, mockup):
    client, at = sign_in(ordered), url(ordered, f"stage/{place().key}/")
    form = filled(client.get(at), "crop/")
    wide, high = mockup.file.width, mockup.file.height
    high_of = lambda share: share * wide / high / 2  # noqa: E731  the format is 2 : 1
    formats.set_crop(ida, place().key, crop=[0.1, 0.1, 0.9, 0.1 + high_of(0.8)])
    mine = {"x0": "20", "x1": "80", "y0": "30", "y1": str(100 * (0.3 + high_of(0.6)))}
    refused = client.post(f"{at}crop/", form | mine)
    assert refused.status_code == 422
    assert says(refused, "Ida Moss (Agency producer) set this crop at")
    assert filled(refused, "crop/")["x0"] == ["20"]
    assert place().crop[0] == 0.1
    assert client.post(f"{at}crop/", filled(refused, "crop/")).status_code == 302
    assert place().crop[0] == 0.2


def test_the_computed_crop_does_not_undo_one_that_was_just_set(sign_in, ordered, ida, place, mockup):
    high_of = lambda share: share * mockup.file.width / mockup.file.height / 2  # noqa: E731
    formats.set_crop(ordered, place().key, crop=[0.1, 0.1, 0.9, 0.1 + high_of(0.8)])
    client, at = sign_in(ordered), url(ordered, f"stage/{place().key}/")
    form = filled(client.get(at), "crop/")
    formats.set_crop(ida, place().key, crop=[0.2, 0.1, 0.9, 0.1 + high_of(0.7)])
    refused = client.post(f"{at}crop/", form | {"computed": "1"})
    assert refused.status_code == 422
    assert place().crop[0] == 0.2
    client.post(f"{at}crop/", filled(refused, "crop/") | {"computed": "1"})
    assert place().crop is None


def test_a_window_that_two_correct_at_once(sign_in, designer, place):
    other = member_of(designer.campaign, Role.AGENCY)
    (row,) = overlays.receive_files(designer, files=[layout_files.upload("a.png")], placement=place().key)
    run_work()
    client, at = sign_in(designer), url(designer, f"layouts/of/{place().key}/")
    form = filled(client.get(at), "window/")
    overlays.correct_window(other, row.layout.key, window={"x": 0, "y": 0, "width": 800, "height": 400})
    run_work()
    mine = {"x": "10", "y": "10", "width": "600", "height": "300"}
    to = url(designer, f"layouts/file/{row.layout.key}/window/")
    refused = client.post(to, form | mine)
    assert refused.status_code == 422
    assert says(refused, "it is 800 × 400 px, 0 px from the left and 0 px from the top")
    assert filled(refused, "window/")["x"] == ["10"]
    assert Layout.objects.get().window["width"] == 800
    assert client.post(to, filled(refused, "window/")).status_code == 302
    assert Layout.objects.get().window["width"] == 600


def test_the_second_of_two_mockups_is_told_of_the_first(sign_in, ordered, ida, shot):
    client, at = sign_in(ordered), url(ordered, f"shots/{shot.key}/mockup/")
    form = filled(client.get(at))
    pictures.add_mockup(ida, shot.key, file=upload("hers.png", seed=5))
    page = client.post(at, form | {"file": upload("mine.png", seed=6)}, follow=True)
    assert says(page, "A newer revision came while you were choosing.")
    assert says(page, "hers.png")
    rows = Mockup.objects.order_by("revision").values_list("name", "current")
    assert list(rows) == [("hers.png", False), ("mine.png", True)]


@pytest.mark.parametrize("on", ["its page", "the page of all"])
def test_the_second_of_two_layouts_is_told_of_the_first(sign_in, ordered, designer, place, on):
    other = member_of(designer.campaign, Role.AGENCY)
    at = url(designer, f"layouts/of/{place().key}/" if on == "its page" else "layouts/")
    client = sign_in(designer)
    form = filled(client.get(at), "send/")
    overlays.receive_files(other, files=[layout_files.upload("hers.png")], placement=place().key)
    name = "shot1_48-sheet_en-GB_bowl-by-the-window.png"
    page = client.post(f"{at}send/", form | {"files": [layout_files.upload(name, seed=9)]}, follow=True)
    assert says(page, "while you were choosing.")
    assert says(page, "hers.png")
    rows = Layout.objects.order_by("revision").values_list("name", "current")
    assert list(rows) == [("hers.png", False), (name, True)]


def test_files_sent_twice_are_taken_once(sign_in, ordered, designer, shot, place):
    client, at = sign_in(ordered), url(ordered, f"shots/{shot.key}/mockup/")
    form = filled(client.get(at))
    answers = [client.post(at, form | {"file": upload("mine.png")}) for _ in range(2)]
    assert answers[0]["Location"] == answers[1]["Location"]
    assert Mockup.objects.count() == 1
    client, at = sign_in(designer), url(designer, "layouts/")
    form = filled(client.get(at), "send/")
    names = ("shot1_48-sheet_en-GB.png", "48-sheet_cy.png")
    sent = lambda: [layout_files.upload(name, seed=seed) for seed, name in enumerate(names)]  # noqa: E731
    answers = [
        client.post(f"{at}send/", form | {"files": [*sent(), layout_files.upload("x.png", b"junk")]}) for _ in "12"
    ]
    assert answers[0]["Location"] == answers[1]["Location"]
    assert Incoming.objects.count() == 3
    assert Layout.objects.count() == 1
    # The same form with other files is another sending: a page that stays open sends many.
    client.post(f"{at}send/", form | {"files": [layout_files.upload("shot2_48-sheet_en-GB.png", seed=7)]})
    assert Incoming.objects.count() == 4
    assert Work.objects.filter(kind="layouts.inspect").count() <= 3


@pytest.mark.parametrize("by", ["catalogue", "hand"])
def test_formats_sent_twice_are_ordered_once(sign_in, ordered, by):
    client = sign_in(ordered)
    if by == "hand":
        page, to = url(ordered, "formats/by-hand/screen/"), url(ordered, "formats/by-hand/screen/")
        typed = {"name": "Lift screen", "width_px": "1080", "height_px": "1920"}
    else:
        page, to = url(ordered, "formats/"), url(ordered, "formats/add/")
        typed = {}
    shown = client.get(page)
    form = filled(shown, "add/" if by == "catalogue" else "") | typed
    if by == "catalogue":
        form["format"] = [shown.text.partition('name="format" value="')[2].partition('"')[0]]
    answers = [client.post(to, form) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [302, 302]
    assert Format.objects.count() == 4
    assert (
        client.post(
            to,
            filled(client.get(page), "add/" if by == "catalogue" else "")
            | {name: value for name, value in form.items() if name != "once"},
        ).status_code
        == 422
    )


def test_a_format_is_moved_once_by_one_click(sign_in, ordered):
    client = sign_in(ordered)
    last = list(ordered.campaign.formats.all())[-1]
    form = filled(client.get(url(ordered, "formats/")), f"{last.key}/move/") | {"way": "up"}
    assert [client.post(url(ordered, f"formats/{last.key}/move/"), form).status_code for _ in range(2)] == [302, 302]
    assert LogEntry.objects.filter(act="format.moved").count() == 1
