"""Protects matching: what name and shape make clear is placed, and every doubt is asked about with its reason."""

import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layouts.imaging.match import NamedFile, Wanted, match_layouts
from layouts.imaging.names import read_name, words
from layouts.imaging.words import shape, sizes

SHOTS = ((1, "The golden burger"), (2, "Fries on fire"), (3, "Crème brûlée tower"))
FORMATS = (
    ("Roadside poster", ("48 sheet", "roadside"), (6096, 3048), (7200, 3600)),
    ("Long roadside poster", ("96 sheet",), (12192, 3048), (12192, 3048)),
    ("Street poster", ("6 sheet",), (1200, 1800), (2400, 3600)),
    ("Portrait screen", ("D6",), None, (1080, 1920)),
    ("Landscape screen", (), None, (1920, 1080)),
)
LANGUAGES = (("en-GB", ("English",)), ("de", ("German", "Deutsch")))
ORDERED = [
    Wanted(f"{number} {name} {code}", number, title, name, (mm or px)[0] / (mm or px)[1], aliases, mm, px, code, spoken)
    for number, title in SHOTS
    for name, aliases, mm, px in FORMATS
    for code, spoken in LANGUAGES
]
ROADSIDE, LONG, STREET, PORTRAIT, LANDSCAPE = (7200, 3600), (12192, 3048), (2400, 3600), (1080, 1920), (1920, 1080)


def match(name, size, ordered=ORDERED):
    (found,) = match_layouts([NamedFile(name, *size)], ordered)
    return found


@pytest.mark.parametrize(
    ("name", "size", "place"),
    [
        ("shot2_roadside_EN_v3_FINAL.png", ROADSIDE, "2 Roadside poster en-GB"),
        ("GoldenBurger-48sheet-de.png", ROADSIDE, "1 Roadside poster de"),
        ("2026-03-14_Fries_1200x1800mm_English.png", STREET, "2 Street poster en-GB"),
        ("Fries 120 x 180 cm en-GB.tif", STREET, "2 Street poster en-GB"),
        ("burger 2x1 en.png", (3600, 1800), "1 Roadside poster en-GB"),
        ("S03_D6_DE.psd", PORTRAIT, "3 Portrait screen de"),
        ("03_D6_DE.psd", PORTRAIT, "3 Portrait screen de"),
        ("shot-1 long roadside poster GERMAN.png", LONG, "1 Long roadside poster de"),
        ("burger_1920x1080px_deutsch_rev12.webp", LANDSCAPE, "1 Landscape screen de"),
        ("20260302_fries_landscape screen_Deutsch_v2.png", LANDSCAPE, "2 Landscape screen de"),
        ("campaign/final/cremeBrulee_EN.png", LANDSCAPE, "3 Landscape screen en-GB"),
        (unicodedata.normalize("NFD", "Crème-Brûlée_6-sheet_en.png"), STREET, "3 Street poster en-GB"),
        ("C:\\layouts\\Fries_roadside\n_en\u200f.png", ROADSIDE, "2 Roadside poster en-GB"),
        ("fries_roadside_en_" + "x" * 300 + ".png", ROADSIDE, "2 Roadside poster en-GB"),
        ("fries_roadside_en (2).png", ROADSIDE, "2 Roadside poster en-GB"),
    ],
)
def test_what_name_and_shape_make_clear_is_sure(name, size, place):
    found = match(name, size)

    assert (found.sure, found.placement, found.candidates) == ("sure", place, (place,))


@pytest.mark.parametrize(
    ("name", "size", "first", "says"),
    [
        ("layout.png", ROADSIDE, 6, "Name and shape leave 6 placements: which shot and which language?"),
        ("fries_roadside.png", ROADSIDE, 2, "Name and shape leave 2 placements: which language?"),
        ("roadside_en.png", ROADSIDE, 3, "Name and shape leave 3 placements: which shot?"),
        ("burger_96-sheet_en.png", ROADSIDE, 2, "(Long roadside poster is 4 : 1), but the file is 7200 x 3600 px"),
        ("fries_street poster_en.png", (4724, 4724), 1, "(Street poster is 2 : 3), but the file is 4724 x 4724 px"),
        ("shot9_roadside_en.png", ROADSIDE, 3, "The name says shot 9, and there is no such shot."),
        ("burger_roadside_FR.png", ROADSIDE, 2, "The name says FR, a language that is not ordered."),
        ("shot1_fries_roadside_en.png", ROADSIDE, 2, "What the name says is not ordered together"),
        ("burger_5000x3000mm_en.png", ROADSIDE, 1, "The name says 5000 x 3000 mm, which no ordered format has."),
        ("roadside 3 en.png", ROADSIDE, 1, "The name has the number 3: is that the shot?"),
    ],
)  # fmt: skip
def test_doubt_is_asked_about_with_its_reason(name, size, first, says):
    found = match(name, size)

    assert (found.sure, found.placement, len(found.candidates)) == ("doubt", None, first)
    assert says in found.why


def test_a_shape_that_nobody_ordered_is_said():
    found = match("layout.png", (4724, 4724))

    assert (found.sure, found.candidates) == ("none", ())
    assert found.why == "Nothing that is ordered has this shape: the file is 4724 x 4724 px, which is 1 : 1."


def test_nothing_ordered_yet_is_said():
    assert match("a.png", ROADSIDE, []).why.startswith("No placement is ordered yet")


def test_shape_alone_is_never_enough():
    only = [place for place in ORDERED if place.id == "1 Long roadside poster de"]

    found = match("export.png", LONG, only)

    assert (found.sure, found.candidates) == ("doubt", ("1 Long roadside poster de",))


def test_a_file_of_unknown_size_goes_by_its_name():
    assert match("fries_street poster_de.pdf", (0, 0)).placement == "2 Street poster de"


def test_two_files_for_one_placement_are_both_asked_about():
    names = ["fries_roadside_de_v2.png", "burger_roadside_de.png", "fries_roadside_de_v3.png"]

    one, other, two = match_layouts([NamedFile(name, *ROADSIDE) for name in names], ORDERED)

    assert other.sure == "sure"
    assert (one.sure, two.sure) == ("doubt", "doubt")
    assert one.candidates == two.candidates == ("2 Roadside poster de",)
    assert one.why == (
        "“fries_roadside_de_v2.png” and “fries_roadside_de_v3.png” are both for shot 2, Roadside poster, German. "
        "By its name “fries_roadside_de_v3.png” is the newest. Which one counts?"
    )


def test_regions_of_a_language_are_told_apart():
    ordered = [Wanted(code, 1, "Burger", "Screen", 2, language=code) for code in ("en-GB", "en-US")]

    assert match("burger_screen_en-US.png", ROADSIDE, ordered).placement == "en-US"
    assert match("burger_screen_en_gb.png", ROADSIDE, ordered).placement == "en-GB"
    assert match("burger_screen_en.png", ROADSIDE, ordered).sure == "doubt"


@pytest.mark.parametrize(
    ("name", "numbers", "revision"),
    [
        ("burger_2026-03-14.png", (), None),
        ("20260314_burger_02.png", (2,), None),
        ("burger 14.03.2026 v4.png", (), 4),
        ("260314_burger_R2.png", (), 2),
        ("burger_6000x3000_10-30.png", (), None),
        ("burger FINAL2 (1).png", (), 2),
    ],
)
def test_dates_sizes_and_revisions_are_no_shot_numbers(name, numbers, revision):
    said = read_name(name)

    assert (said.shots, said.numbers, said.revision) == (frozenset(), numbers, revision)


def test_words_of_a_name_are_bare():
    assert words("Crème-Brûlée 048Sheet_GoldenBurgerDE") == ("creme", "brulee", "48", "sheet", "golden", "burger", "de")


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("6000x3000mm", [(6000, 3000, "mm")]),
        ("600 × 300 cm", [(6000, 3000, "mm")]),
        ("6,0x3,0m", [(6000, 3000, "mm")]),
        ("6m x 3m", [(6000, 3000, "mm")]),
        ("7200x3600px and 2x1", [(7200, 3600, "px"), (2, 1, "")]),
        ("0x5 nothing 12", []),
    ],
)
def test_sizes_are_read_in_every_writing(text, found):
    assert list(sizes(text)) == found


@pytest.mark.parametrize(
    ("aspect", "said"),
    [
        (2, "2 : 1"),
        (4, "4 : 1"),
        (2 / 3, "2 : 3"),
        (16 / 9, "16 : 9"),
        (9 / 16, "9 : 16"),
        (1, "1 : 1"),
        (1.37, "1.37 : 1"),
    ],
)
def test_shapes_are_said_as_people_say_them(aspect, said):
    assert shape(aspect) == said


SOME = ("shot", "1", "2", "3", "fries", "burger", "roadside", "48", "sheet", "street", "D6", "en", "de", "FR", "v2")
MORE = ("FINAL", "2026-03-14", "2x1", "1200x1800", "x")
names = st.text(max_size=60) | st.lists(st.sampled_from(SOME + MORE)).map("_".join)


@settings(derandomize=True, max_examples=150, deadline=None)
@given(st.lists(st.tuples(names, st.sampled_from([ROADSIDE, LONG, STREET, (100, 100), (0, 0)])), max_size=4))
def test_any_names_give_one_answer_each_and_sure_means_one_placement_that_fits(batch):
    found = match_layouts([NamedFile(name, *size) for name, size in batch], ORDERED)

    assert [match.file for match in found] == list(range(len(batch)))
    placed = [match.placement for match in found if match.sure == "sure"]
    assert len(placed) == len(set(placed))
    by_id = {place.id: place for place in ORDERED}
    for match, (_, (width, height)) in zip(found, batch, strict=True):
        assert match.why
        assert set(match.candidates) <= set(by_id)
        assert (match.placement is not None) is (match.sure == "sure")
        if match.placement and width:
            assert by_id[match.placement].aspect == pytest.approx(width / height, rel=0.0101)


def test_a_file_with_a_surround_is_matched_by_its_windows_shape():
    """6-sheet in a wide surround: the canvas is square, which nothing ordered is."""
    name, canvas, window = "fries_en.png", (3600, 3600), (2400, 3600)

    (unknown,), (known,) = (match_layouts([NamedFile(name, *canvas, window=size)], ORDERED) for size in (None, window))

    assert unknown.sure != "sure"
    assert (known.sure, known.placement) == ("sure", "2 Street poster en-GB")
    assert "its window is 2400 x 3600 px, which is 2 : 3" in known.why
