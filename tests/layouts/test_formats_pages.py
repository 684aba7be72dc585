"""Protects the pages of formats: who sees what, nothing typed is lost, few queries, and a weight that stays light."""

import gzip

import pytest

from layouts.formats import actions, catalogue
from layouts.models import Format, Placement
from portal.access import Role
from portal.models import Version
from tests.factories import CampaignFactory, FormatFactory, ShotFactory, member_of
from tests.layouts.layout_files import upload

pytestmark = pytest.mark.django_db


def url(member, rest=""):
    return f"/c/{member.campaign.key}/formats/{rest}"


def test_formats_says_where_the_grid_stands(sign_in, ordered, designer, place):
    from layouts.overlays.actions import receive_files

    receive_files(designer, files=[upload("a.png")], placement=place().key)
    actions.set_wanted(ordered, placements=[place(2, "96-sheet", "cy").key], wanted=False)
    page = sign_in(designer).get(url(designer))
    assert "two languages make twelve placements, and eleven of them are wanted." in page.text
    assert "Ten layouts are still owed, and one is being checked." in page.text
    assert "r1 …" in page.text
    assert 'class="is-off">no<' in page.text.replace("grid-first ", "")


@pytest.mark.parametrize("role", [Role.DESIGNER, Role.CLIENT, Role.STYLIST])
def test_readers_see_no_controls_and_may_not_act(sign_in, ordered, role):
    reader = member_of(ordered.campaign, role)
    client = sign_in(reader)
    page = client.get(url(reader))
    assert page.status_code == 200
    assert "6-sheet" in page.text
    body = page.text.partition("<main")[2].partition("</main>")[0]
    for control in ("<form", "<input", "<button", "Choose which", "remove"):
        assert control not in body
    format = Format.objects.first()
    for path in (
        "add/",
        "wanted/",
        f"{format.key}/",
        f"{format.key}/move/",
        f"{format.key}/remove/",
        "by-hand/poster/",
    ):
        assert client.post(url(reader, path)).status_code == 403


def test_an_outsider_finds_nothing(sign_in, ordered):
    stranger = member_of(CampaignFactory(), Role.AGENCY)
    assert sign_in(stranger).get(url(ordered)).status_code == 404


def test_adding_from_the_catalogue_and_adding_nothing(sign_in, ordered):
    client = sign_in(ordered)
    assert client.post(url(ordered, "add/"), {"format": ["4-sheet", "a1"]}).status_code == 302
    assert list(Format.objects.values_list("name", flat=True))[-2:] == ["4-sheet", "A1 portrait"]
    nothing = client.post(url(ordered, "add/"))
    assert nothing.status_code == 422
    assert "Tick the sizes that were ordered" in nothing.text
    assert client.post(url(ordered, "add/"), {"format": ["no-such"]}).status_code == 422


def test_a_poster_by_hand_gets_its_pixels_from_ppi_and_scale(sign_in, ordered):
    data = {
        "name": "Roof",
        "width_mm": 4000,
        "height_mm": 1000,
        "artwork_scale": 10,
        "ppi": 300,
        "aliases": "roof, dach, roof",
    }
    assert sign_in(ordered).post(url(ordered, "by-hand/poster/"), data).status_code == 302
    row = Format.objects.get(name="Roof")
    assert (row.width_px, row.height_px, row.aliases, row.distance_m) == (4724, 1181, ["roof", "dach"], None)


def test_a_screen_by_hand_needs_no_millimetres(sign_in, ordered):
    data = {"name": "Foyer", "width_px": 1080, "height_px": 1920, "distance_m": 3}
    assert sign_in(ordered).post(url(ordered, "by-hand/screen/"), data).status_code == 302
    row = Format.objects.get(name="Foyer")
    assert (row.kind, row.width_mm, row.aspect) == ("screen", None, 1080 / 1920)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"ppi": ""}, "Give the artwork’s ppi"),
        ({"width_px": 4000}, "Give both width and height in pixels, or neither."),
        ({"width_px": 4000, "height_px": 1000}, "makes 4724 × 1181 px, not 4000 × 1000"),
        (
            {"ppi": "", "width_px": 4000, "height_px": 3000},
            "4000 × 1000 mm is 4.00 : 1, but 4000 × 3000 px is 1.33 : 1",
        ),
        ({"name": "6-sheet"}, "6-sheet is ordered already"),
        ({"width_mm": 3}, "greater than or equal to 50"),
        ({"height_mm": "tall"}, "Enter a whole number"),
        ({"ppi": 2400, "artwork_scale": 1}, "check ppi and scale"),
    ],
)
def test_a_refused_form_keeps_what_was_typed(sign_in, ordered, change, says):
    data = {"name": "Roof top", "width_mm": 4000, "height_mm": 1000, "artwork_scale": 10, "ppi": 300, "aliases": "dach"}
    answer = sign_in(ordered).post(url(ordered, "by-hand/poster/"), data | change)
    assert answer.status_code == 422
    assert says.replace("’", "&#x27;") in answer.text
    assert 'value="dach"' in answer.text
    assert f'value="{(data | change)["name"]}"' in answer.text


def test_editing_a_format_shows_and_changes_its_numbers(sign_in, ordered):
    client, row = sign_in(ordered), Format.objects.get(name="6-sheet")
    assert 'value="1800"' in client.get(url(ordered, f"{row.key}/")).text
    data = {
        "name": "6-sheet",
        "width_mm": 1185,
        "height_mm": 1750,
        "artwork_scale": 10,
        "ppi": 300,
        "distance_m": "4.5",
    }
    assert client.post(url(ordered, f"{row.key}/"), data).status_code == 302
    row.refresh_from_db()
    assert (row.width_mm, row.width_px, row.distance_m) == (1185, 1400, 4.5)


def test_removing_a_format_with_layouts_says_what_goes_and_asks(sign_in, ordered, designer, place):
    from layouts.overlays.actions import receive_files

    receive_files(designer, files=[upload("a.png")], placement=place().key)
    receive_files(designer, files=[upload("a.png", seed=9)], placement=place().key)
    client, row = sign_in(ordered), place().format
    address = url(ordered, f"{row.key}/remove/")
    assert "With 48-sheet go four placements and one layout in two revisions." in client.get(address).text
    refused = client.post(address)
    assert refused.status_code == 422
    assert Format.objects.filter(pk=row.pk).exists()
    assert client.post(address, {"confirmed": "yes"}).status_code == 302
    assert not Format.objects.filter(pk=row.pk).exists()


def test_cells_rows_and_columns_are_switched(sign_in, ordered, place):
    client = sign_in(ordered)
    address = url(ordered, "wanted/")

    def off():
        rows = Placement.objects.filter(wanted=False)
        return set(rows.values_list("shot__number", "format__name", "language"))

    assert client.post(address, {"off": place().key}).headers["Location"] == url(ordered, "?choose")
    assert off() == {(1, "48-sheet", "en-GB")}
    client.post(address, {"on": place().key})
    client.post(address, {"off": f"row:{place().shot.key}"})
    assert off() == {(1, name, tag) for name in ("48-sheet", "96-sheet", "6-sheet") for tag in ("en-GB", "cy")}
    client.post(address, {"on": f"row:{place().shot.key}"})
    client.post(address, {"off": f"column:{place().format.key}/cy"})
    assert off() == {(1, "48-sheet", "cy"), (2, "48-sheet", "cy")}


def test_htmx_gets_the_one_button_back_or_the_grid(sign_in, ordered, place):
    client = sign_in(ordered)
    address, key = url(ordered, "wanted/"), place().key
    one = client.post(address, {"off": key}, headers={"HX-Request": "true"})
    assert one.headers["HX-Retarget"] == f"#p{key}"
    assert one.text.strip().startswith(f'<button id="p{key}" name="on" value="{key}"')
    whole = client.get(url(ordered, "?choose")).text
    assert one.text.strip() in whole
    row = client.post(address, {"off": f"row:{place().shot.key}"}, headers={"HX-Request": "true"})
    assert row.text.strip().startswith('<div class="grid-scroll" id="grid"')


def test_switching_a_placement_of_another_campaign_is_not_found(sign_in, ordered):
    other = Placement.objects.create(shot=ShotFactory(), format=FormatFactory(), language="en-GB")
    assert sign_in(ordered).post(url(ordered, "wanted/"), {"off": other.key}).status_code == 404
    other.refresh_from_db()
    assert other.wanted


def test_a_closed_brief_shows_why_and_no_controls(sign_in, ordered):
    campaign = ordered.campaign
    campaign.open_version = Version.objects.create(
        campaign=campaign, number=1, document="{}", sections={}, digest="0" * 64, put_forward_by=ordered,
        put_forward_at="2026-01-01T00:00Z",
    )  # fmt: skip
    campaign.save(update_fields=["open_version"])
    client = sign_in(ordered)
    page = client.get(url(ordered))
    assert "is out for signature, so the brief is closed to editing" in page.text
    assert "Choose which" not in page.text
    assert client.post(url(ordered, "add/"), {"format": ["a1"]}).status_code == 409


def large(shots: int):
    campaign = CampaignFactory(languages=["en-GB", "cy"])
    for number in range(1, shots + 1):
        ShotFactory(campaign=campaign, number=number, title=f"A shot with a title of usual length {number}")
    agency = member_of(campaign, Role.AGENCY)
    actions.add_formats(agency, formats=catalogue.chosen(list(catalogue.entries())[:12]))
    return agency


@pytest.mark.parametrize("query", ["", "?choose"])
def test_formats_asks_the_database_the_same_number_of_times_for_3_shots_or_60(
    sign_in, django_assert_num_queries, query
):
    counts = []
    for shots in (3, 60):
        agency = large(shots)
        client = sign_in(agency)
        with django_assert_num_queries(6) as asked:
            client.get(url(agency, query))
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 20


@pytest.mark.parametrize("query", ["", "?choose"])
def test_60_shots_in_12_formats_and_2_languages_stay_under_300_kb(sign_in, query):
    agency = large(60)
    page = sign_in(agency).get(url(agency, query))
    assert Placement.objects.count() == 1440
    assert len(page.content) < 300_000
    assert len(gzip.compress(page.content)) < 40_000
