"""Protects the pages of layouts: who may send and who may fetch, what is said, what a name can do, few queries."""

import io

import pytest
from PIL import Image, ImageChops

from layouts.models import Incoming, Layout, Placement
from layouts.overlays import actions
from portal.access import Role
from portal.models import Work
from tests.factories import CampaignFactory, FormatFactory, ShotFactory, member_of
from tests.layouts.layout_files import drawn, encoded, upload
from tests.work import run_work

pytestmark = pytest.mark.django_db


def url(member, rest=""):
    return f"/c/{member.campaign.key}/layouts/{rest}"


def body(page) -> str:
    return page.text.partition("<main")[2].partition("</main>")[0]


def one(designer, placement, **drawing) -> Layout:
    (row,) = actions.receive_files(designer, files=[upload("layout.png", **drawing)], placement=placement.key)
    return row.layout


def test_many_files_at_once_and_the_page_says_what_became_of_them(sign_in, designer):
    client = sign_in(designer)
    files = [upload("Bowl_48-sheet_en-GB.png"), upload("48-sheet_cy.png", seed=2), upload("x.png", b"junk")]
    answer = client.post(url(designer, "send/"), {"files": files}, follow=True)
    assert answer.redirect_chain == [(url(designer, f"?came={Incoming.objects.last().key}"), 302)]
    assert "One file has its place, one is asked about, and one was refused." in answer.text
    page = body(answer)
    assert "Ten layouts are still owed" not in page
    assert "Eleven layouts are still owed, one is being checked, and one file waits for your answer." in page
    assert page.count('type="radio"') == 3
    assert "Shot 1, 48-sheet, Welsh" in page
    assert "none of these" in page
    assert "This is no picture file" in page


def test_sending_the_same_again_is_said_on_its_page(sign_in, designer, place):
    client, address = sign_in(designer), url(designer, f"of/{place().key}/send/")
    client.post(address, {"files": [upload("layout.png")]})
    answer = client.post(address, {"files": [upload("layout.png")]}, follow=True)
    assert "byte for byte: nothing was changed" in body(answer)


def test_sending_nothing_is_answered_in_words(sign_in, designer):
    answer = sign_in(designer).post(url(designer, "send/"))
    assert answer.status_code == 422
    assert "No file was chosen" in answer.text


def test_a_question_is_answered_or_put_aside(sign_in, designer, place):
    client = sign_in(designer)
    actions.receive_files(designer, files=[upload("48-sheet_cy.png"), upload("6-sheet_cy.png", size=(600, 900))])
    second, first = Incoming.objects.all()
    nothing = client.post(url(designer, f"came/{first.key}/answer/"))
    assert nothing.status_code == 422
    assert "Choose a placement that is wanted, or put the file aside." in nothing.text
    client.post(url(designer, f"came/{first.key}/answer/"), {"placement": place(2, "48-sheet", "cy").key})
    client.post(url(designer, f"came/{second.key}/answer/"), {"placement": "aside"})
    assert Layout.objects.get().placement == place(2, "48-sheet", "cy")
    page = body(client.get(url(designer)))
    assert "Which placement is it for?" not in page
    assert "Give it a placement after all" in page
    shot, format = place(2, "6-sheet").shot.key, place(2, "6-sheet").format.key
    client.post(
        url(designer, f"came/{second.key}/place/"),
        {"placement": "other", "shot": shot, "format": format, "language": "cy"},
    )
    assert Layout.objects.filter(placement=place(2, "6-sheet", "cy")).exists()


def test_a_hostile_name_is_shown_escaped_and_given_back_safely(sign_in, designer, place):
    name = '<img src=x onerror=alert(1)>"; filename=evil.exe\u202e.png'
    (row,) = actions.receive_files(designer, files=[upload(name)], placement=place().key)
    client = sign_in(designer)
    for page in (client.get(url(designer)), client.get(url(designer, f"of/{place().key}/"))):
        assert "<img src=x" not in page.text
        assert "&lt;img src=x" in page.text
    answer = client.get(url(designer, f"file/{row.layout.key}/"))
    disposition = answer.headers["Content-Disposition"]
    assert disposition.startswith('attachment; filename="<img src=x onerror=alert(1)>_; filename=evil.exe.png"')
    assert "\n" not in disposition
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    b"".join(answer.streaming_content)


def test_a_name_of_300_letters_comes_back_whole(sign_in, designer, place):
    name = "ä" * 296 + ".png"
    file = upload("short.png")
    file._name = name  # Django cuts names at 255; the store and we do not depend on it
    (row,) = actions.receive_files(designer, files=[file], placement=place().key)
    assert row.layout.name == name
    answer = sign_in(designer).get(url(designer, f"file/{row.layout.key}/"))
    assert answer.headers["Content-Disposition"].endswith("%C3%A4.png")
    b"".join(answer.streaming_content)


def test_originals_of_every_revision_are_given_back_byte_for_byte(sign_in, designer, place):
    first, second = encoded(drawn()), encoded(drawn(seed=5))
    for data in (first, second):
        actions.receive_files(designer, files=[upload("layout.png", data)], placement=place().key)
    client = sign_in(designer)
    page = body(client.get(url(designer, f"of/{place().key}/")))
    for layout, data in zip(Layout.objects.order_by("revision"), (first, second), strict=True):
        address = url(designer, f"file/{layout.key}/")
        assert address in page
        assert b"".join(client.get(address).streaming_content) == data


@pytest.mark.parametrize(
    ("role", "page", "file", "send"),
    [
        (Role.CLIENT, 200, 200, 403),
        (Role.AGENCY, 200, 200, 302),
        (Role.DESIGNER, 200, 200, 302),
        (Role.PRODUCER, 200, 200, 403),
        (Role.PHOTOGRAPHER, 200, 200, 403),
        (Role.STYLIST, 200, 200, 403),
        (Role.RETOUCHER, 200, 200, 403),
        (Role.ASSISTANT, 403, 403, 403),
    ],
)
def test_who_may_look_fetch_and_send(sign_in, designer, place, role, page, file, send):
    layout = one(designer, place())
    client = sign_in(member_of(designer.campaign, role))
    assert client.get(url(designer)).status_code == page
    assert client.get(url(designer, f"of/{place().key}/")).status_code == page
    assert client.get(url(designer, "progress/")).status_code == page
    answer = client.get(url(designer, f"file/{layout.key}/"))
    assert answer.status_code == file
    if file == 200:
        b"".join(answer.streaming_content)
    assert client.post(url(designer, "send/"), {"files": [upload("a.png", seed=3)]}).status_code == send
    for path in (f"of/{place().key}/send/", f"file/{layout.key}/window/", f"file/{layout.key}/current/"):
        assert (client.post(url(designer, path)).status_code == 403) == (send == 403)


def test_readers_see_no_controls(sign_in, designer, place):
    one(designer, place())
    actions.receive_files(designer, files=[upload("48-sheet_cy.png")])
    client = sign_in(member_of(designer.campaign, Role.PHOTOGRAPHER))
    for page in (client.get(url(designer)), client.get(url(designer, f"of/{place().key}/"))):
        assert "<form" not in body(page)
        assert "<input" not in body(page)
    assert "one file is asked about" in client.get(url(designer)).text


def test_outsiders_and_other_campaigns_find_nothing(sign_in, designer, place):
    layout = one(designer, place())
    stranger = member_of(CampaignFactory(), Role.DESIGNER)
    client = sign_in(stranger)
    assert client.get(url(designer)).status_code == 404
    for path in (f"file/{layout.key}/", f"file/{layout.key}/picture/", f"of/{place().key}/"):
        assert client.get(url(designer, path)).status_code == 404
        assert client.get(url(stranger, path)).status_code == 404
    for path in (f"of/{place().key}/send/", f"file/{layout.key}/window/", f"file/{layout.key}/current/"):
        assert client.post(url(stranger, path), {"files": [upload("a.png")], "found": 1}).status_code == 404


def test_a_refused_file_for_one_placement_says_why_on_its_page(sign_in, designer, place):
    answer = sign_in(designer).post(
        url(designer, f"of/{place(1, '6-sheet').key}/send/"), {"files": [upload("wide.png")]}
    )
    assert answer.status_code == 422
    assert "wide.png was refused." in answer.text
    assert "6-sheet is 1200 × 1800 mm, which is 2 : 3" in answer.text
    assert Incoming.objects.get().file is not None


def test_progress_polls_while_work_is_open_and_then_brings_the_rows(sign_in, designer, place):
    one(designer, place(1))
    one(designer, place(2), seed=4)
    client = sign_in(designer)
    page = client.get(url(designer)).text
    assert "Two layouts are being checked." in page
    poll = f'hx-get="{url(designer, "progress/")}?of={place(1).key},{place(2).key}"'
    assert poll in page.replace("&amp;", "&")
    address = url(designer, f"progress/?of={place(1).key},{place(2).key}")
    still = client.get(address, headers={"HX-Request": "true"}).text
    assert "Two layouts are being checked." in still
    assert "<tr" not in still
    run_work("layouts.prepare")
    ended = client.get(address, headers={"HX-Request": "true"}).text
    assert "hx-trigger" not in ended
    assert ended.count('hx-swap-oob="true"') == 3
    assert f'<tr id="l{place(1).key}" hx-swap-oob="true">' in ended
    assert "Ten layouts are still owed." in ended
    assert "hx-trigger" not in body(client.get(url(designer)))


def test_one_layouts_page_says_anew_what_was_found(sign_in, designer, place):
    sent = place(1)
    one(designer, sent)
    client = sign_in(designer)
    address = url(designer, f"of/{sent.key}/")
    assert "being checked" in client.get(address).text
    run_work("layouts.prepare")

    ended = client.get(address, headers={"HX-Request": "true"}).text

    assert "being checked" not in ended
    assert '<div id="says" hx-swap-oob="true">' in ended


def test_a_window_is_corrected_and_a_wrong_one_keeps_what_was_typed(sign_in, designer, place):
    layout = one(designer, place(), size=(1600, 800))
    run_work("layouts.prepare")
    client = sign_in(designer)
    page = client.get(url(designer, f"of/{place().key}/")).text
    assert 'data-width="1600" data-height="800"' in page
    assert 'data-found="0 0 1600 800"' in page
    wrong = client.post(url(designer, f"file/{layout.key}/window/"), {"x": 0, "y": 0, "width": 800, "height": 700})
    assert wrong.status_code == 422
    assert "800 × 700 px is 1.14 : 1; 48-sheet is 2.00 : 1" in wrong.text
    assert 'value="700"' in wrong.text
    client.post(url(designer, f"file/{layout.key}/window/"), {"x": 80, "y": 40, "width": 1440, "height": 720})
    layout.refresh_from_db()
    assert layout.window == {"x": 80, "y": 40, "width": 1440, "height": 720}
    client.post(url(designer, f"file/{layout.key}/window/"), {"found": "1"})
    layout.refresh_from_db()
    assert layout.window is None


def test_what_was_found_is_still_known_when_it_was_corrected_and_typing_it_takes_the_correction_back(
    sign_in, designer, place
):
    layout = one(designer, place(), size=(1440, 720), surround=40)
    run_work("layouts.prepare")
    client, address = sign_in(designer), url(designer, f"file/{layout.key}/window/")
    client.post(address, {"x": 50, "y": 45, "width": 1420, "height": 710})
    run_work("layouts.prepare")
    page = client.get(url(designer, f"of/{place().key}/")).text
    assert 'data-found="40 40 1440 720"' in page
    assert "The window was set by hand; what the surround leaves was found before." in page
    client.post(address, {"x": 40, "y": 40, "width": 1440, "height": 720})
    layout.refresh_from_db()
    assert layout.window is None


def test_the_page_says_how_the_window_was_found_and_how_far_each_line_reads(sign_in, designer, place):
    one(designer, place(), size=(1440, 720), surround=40)
    run_work("layouts.prepare")
    page = body(sign_in(designer).get(url(designer, f"of/{place().key}/")))
    assert "The window was found as what the surround leaves. That is " in page
    assert 'class="zone-word"' in page
    assert "It is a guide, not a verdict." in page
    # One line of type some 120 px high on 1440 px, and 6096 mm on the poster: legible at 10 m for each 25 mm.
    line = Layout.objects.get().work.result["type_zones"][0]["lines"][0]
    mm = line["height"] * 6096 / 1440
    assert f"{mm:.0f}\u202fmm" in page
    assert f"{mm * 10 / 25:.0f}\u202fm<" in page


def test_the_files_own_pixels_come_in_tiles_when_they_are_asked_for(sign_in, designer, place):
    data = drawn(size=(1440, 720), surround=40)
    (row,) = actions.receive_files(designer, files=[upload("layout.png", encoded(data))], placement=place().key)
    run_work("layouts.prepare")
    client, address = sign_in(designer), url(designer, f"file/{row.layout.key}/pixels/")
    assert client.get(f"{address}0-0/").status_code == 404
    assert client.post(address).status_code == 302
    waiting = client.get(address, headers={"HX-Request": "true"}).text
    assert 'hx-trigger="every 1s"' in waiting
    run_work("layouts.tiles")
    ready = client.get(address, headers={"HX-Request": "true"}).text
    assert f'data-tiles="{address}{{x}}-{{y}}/" data-side="1024"' in ready
    for column, box in enumerate([(0, 0, 1024, 800), (1024, 0, 1520, 800)]):
        answer = client.get(f"{address}{column}-0/")
        tile = Image.open(io.BytesIO(b"".join(answer.streaming_content)))
        assert ImageChops.difference(tile, data.crop(box)).getbbox(alpha_only=False) is None
    assert client.get(f"{address}2-0/").status_code == 404
    stranger = member_of(CampaignFactory(), Role.DESIGNER)
    other, theirs = sign_in(stranger), url(stranger, f"file/{row.layout.key}/pixels/")
    assert [other.get(theirs).status_code, other.post(theirs).status_code] == [404, 404]
    assert other.get(f"{theirs}0-0/").status_code == 404


def test_readers_may_not_have_pixels_made(sign_in, designer, place):
    layout = one(designer, place())
    client = sign_in(member_of(designer.campaign, Role.PHOTOGRAPHER))
    assert client.post(url(designer, f"file/{layout.key}/pixels/")).status_code == 403


def test_a_file_in_question_is_shown_as_a_picture(sign_in, designer):
    actions.receive_files(designer, files=[upload("48-sheet_cy.png")])
    asked = Incoming.objects.get()
    client, address = sign_in(designer), url(designer, f"came/{asked.key}/picture/")
    assert "Its picture is being made." in client.get(url(designer)).text
    assert client.get(address).status_code == 404
    run_work("layouts.look")
    assert f'src="{address}"' in client.get(url(designer)).text
    answer = client.get(address)
    picture = Image.open(io.BytesIO(b"".join(answer.streaming_content)))
    assert (picture.format, picture.size, picture.mode) == ("WEBP", (640, 320), "RGBA")
    stranger = member_of(CampaignFactory(), Role.DESIGNER)
    other = sign_in(stranger)
    for path in (f"came/{asked.key}/picture/", f"came/{asked.key}/seen/"):
        assert other.get(url(designer, path)).status_code == 404
        assert other.get(url(stranger, path)).status_code == 404


def test_a_file_in_question_that_cannot_be_shown_says_why(sign_in, designer):
    actions.receive_files(designer, files=[upload("48-sheet_cy.png")])
    work = Work.objects.get(kind="layouts.look")
    Work.objects.filter(pk=work.pk).update(state=Work.State.FAILED, says="This file ends early.")
    assert "It cannot be shown. This file ends early." in sign_in(designer).get(url(designer)).text


def test_the_picture_of_the_whole_file_is_a_copy_made_by_the_worker(sign_in, designer, place):
    layout = one(designer, place())
    client = sign_in(designer)
    assert client.get(url(designer, f"file/{layout.key}/picture/")).status_code == 404
    run_work("layouts.prepare")
    answer = client.get(url(designer, f"file/{layout.key}/picture/"))
    assert answer.headers["Content-Type"] == "image/webp"
    assert b"".join(answer.streaming_content)[8:12] == b"WEBP"


def test_an_older_revision_is_made_current_from_its_page(sign_in, designer, place):
    first = one(designer, place())
    one(designer, place(), seed=3)
    client = sign_in(designer)
    client.post(url(designer, f"file/{first.key}/current/"))
    assert list(Layout.objects.order_by("revision").values_list("current", flat=True)) == [False, False, True]


def large(shots: int):
    campaign = CampaignFactory(languages=["en-GB", "cy"])
    formats = FormatFactory.create_batch(12, campaign=campaign)
    designer = member_of(campaign, Role.DESIGNER)
    for number in range(1, shots + 1):
        shot = ShotFactory(campaign=campaign, number=number)
        Placement.objects.bulk_create(
            Placement(shot=shot, format=format, language=tag) for format in formats for tag in campaign.languages
        )
    for placement in Placement.objects.filter(shot__number__lte=2, shot__campaign=campaign):
        one(designer, placement)
    actions.receive_files(designer, files=[upload("a.png"), upload("b.png", seed=5), upload("c.png", b"junk")])
    return designer


@pytest.mark.parametrize("shots", [3, 60])
def test_layouts_asks_the_database_the_same_number_of_times(sign_in, django_assert_num_queries, shots):
    designer = large(shots)
    client = sign_in(designer)
    with django_assert_num_queries(16):
        page = client.get(url(designer))
    assert len(page.content) < 300_000


def test_above_60_placements_the_page_shows_one_shot(sign_in, designer):
    designer = large(3)
    client = sign_in(designer)
    third = designer.campaign.shots.get(number=3)
    assert body(client.get(url(designer))).count("<caption") == 1
    page = body(client.get(url(designer, f"?shot={third.key}")))
    assert f"{third.title}</caption>" in page
    assert "24 open" in page
