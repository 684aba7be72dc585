"""Protects inspection: window, type and faults are found where they were drawn, and said to the designer."""

import hashlib
import json

import pytest
from PIL import Image, ImageFont

from layouts.imaging.decoding.prepare import load_prepared, prepare_layout
from layouts.imaging.geometry import Rect
from layouts.imaging.inspecting.inspect import inspect_layout
from tests.layouts.imaging.drawing import CREAM, RED, draw_layout, draw_picture


def codes(inspection):
    return [fault.code for fault in inspection.faults if fault.code != "no-profile"]


def near(found, wanted, by=2):
    sides = ("x", "y", "width", "height")
    return all(abs(getattr(found, side) - getattr(wanted, side)) <= by for side in sides)


@pytest.mark.parametrize("size", [(1800, 900), (1080, 1920), (8000, 2000)])
@pytest.mark.parametrize(
    "look",
    [
        {"kind": "canvas"},
        {"kind": "gradient"},
        {"kind": "surround"},
        {"kind": "surround", "surround": (0, 0, 0, 128)},
        {"kind": "surround", "surround": (255, 255, 255, 255)},
        {"kind": "surround", "surround": CREAM},  # the type's own colour
        {"kind": "keyline"},
    ],
)
def test_the_window_is_found_where_it_was_drawn(tmp_path, size, look):
    drawn = draw_layout(tmp_path / "a.png", size, **look)

    # Here the canvas has the window's shape: the ordered pixels tell a surround from a frame of the artwork.
    found = inspect_layout(drawn.path, px=(round(drawn.window.width), round(drawn.window.height)))

    assert found.window.kind == {"gradient": "canvas"}.get(look["kind"], look["kind"])
    assert near(found.window.rect, drawn.window, by=max(2, max(size) / 1000) if look["kind"] == "keyline" else 0)
    assert found.window.sure >= 0.7
    assert codes(found) == []


def test_a_window_off_the_middle_is_found_and_said(tmp_path):
    drawn = draw_layout(tmp_path / "a.png", (4000, 2000), kind="surround", margins=(100, 200, 500, 300))

    found = inspect_layout(drawn.path)

    assert found.window.rect == drawn.window
    assert codes(found) == ["window-off-centre"]
    assert found.faults[0].says.startswith("The window lies 200 px left of and 50 px above the canvas's middle.")


def test_a_band_of_the_surrounds_colour_is_settled_by_the_ordered_shape(tmp_path):
    drawn = draw_layout(tmp_path / "a.png", (3600, 1800), kind="surround", surround=RED)

    alone, ordered = inspect_layout(drawn.path), inspect_layout(drawn.path, aspect=2)

    assert alone.window.rect != drawn.window
    assert alone.window.sure < 0.7
    assert ordered.window.rect == drawn.window


def test_a_frame_that_belongs_to_the_artwork_is_no_surround(tmp_path):
    drawn = draw_layout(tmp_path / "a.png", (3600, 1800), kind="surround", margins=(100, 100, 100, 100))

    found = inspect_layout(drawn.path, aspect=2)

    assert (found.window.kind, found.window.rect) == ("canvas", Rect(0, 0, 3600, 1800))


def test_crop_marks_and_a_slug_in_the_surround_do_not_move_the_window(tmp_path):
    drawn = draw_layout(tmp_path / "a.png", (4000, 2000), kind="surround", surround=(255, 255, 255, 255))
    image = Image.open(drawn.path)
    for x, y in ((396, 20), (3600, 20), (396, 1850), (3600, 1850)):
        image.paste((0, 0, 0, 255), (x, y, x + 4, y + 120))
    image.paste((0, 0, 0, 255), (500, 1900, 900, 1930))
    image.save(drawn.path)

    found = inspect_layout(drawn.path, aspect=2)

    assert near(found.window.rect, drawn.window, by=0)


def test_the_designers_correction_counts(tmp_path):
    drawn = draw_layout(tmp_path / "a.png", (2000, 1000))

    found = inspect_layout(drawn.path, aspect=4, window=Rect(0, 250, 2000, 500))

    assert (found.window.rect, found.window.sure) == (Rect(0, 250, 2000, 500), 1)
    assert codes(found) == []


@pytest.mark.parametrize("size", [(1800, 900), (8000, 2000), (2400, 3600)])
@pytest.mark.parametrize("kind", ["canvas", "surround", "gradient", "keyline", "flattened"])
def test_lines_of_type_are_found_with_their_height(tmp_path, size, kind):
    drawn = draw_layout(tmp_path / "a.png", size, kind=kind)
    step = max(size) / 3072  # a pixel of the reduced layer

    found = inspect_layout(drawn.path, aspect=drawn.window.aspect)

    lines = sorted((line.ink for zone in found.zones for line in zone.of_type), key=lambda ink: ink.y)
    assert len(lines) == 3
    for ink, drawn_line in zip(lines, sorted(drawn.lines, key=lambda line: line.y), strict=True):
        assert ink.y == pytest.approx(drawn_line.y, abs=2 * step + 1)
        assert ink.height == pytest.approx(drawn_line.height, abs=3 * step + 1)


def test_a_lines_height_is_that_of_its_capitals_without_what_hangs_below(tmp_path):
    drawn = draw_layout(tmp_path / "a.png", (3000, 1500), headline="Happy pigs", second="manna can mean as much")
    capital, small = (letters_of(share * 1500, letter) for share, letter in ((0.2, "H"), (0.1, "h")))

    (headline, second), *_ = [zone.of_type for zone in inspect_layout(drawn.path, aspect=2).zones]

    assert headline.height == pytest.approx(capital, abs=5)
    assert headline.height < 0.85 * headline.ink.height
    assert second.height == pytest.approx(small, abs=5)
    assert (headline.even, second.even) == (False, False)


def letters_of(size: float, letter: str) -> int:
    """The height of a letter in the font that layouts are drawn with, from the font itself."""
    _, top, _, bottom = ImageFont.load_default(round(size)).getbbox(letter)
    return bottom - top


def test_zones_are_the_block_of_type_and_the_band(tmp_path):
    drawn = draw_layout(tmp_path / "a.png", (3000, 1500))

    type_zone, band = inspect_layout(drawn.path).zones

    left, right = min(line.x for line in drawn.lines[:2]), max(line.right for line in drawn.lines[:2])
    assert type_zone.box.x == pytest.approx(left, abs=2)
    assert type_zone.box.right == pytest.approx(right, abs=2)
    assert near(band.box, drawn.band)


def test_line_heights_become_millimetres_and_reading_distance(tmp_path):
    """25 mm for each 10 m: common practice, no source."""
    drawn = draw_layout(tmp_path / "a.png", (3000, 1500))

    (line, *_) = inspect_layout(drawn.path, mm=(6000, 3000)).as_json()["type_zones"][0]["lines"]

    assert line["mm"] == pytest.approx(2 * letters_of(300, "F"), abs=10)
    assert line["reads_to_m"] == pytest.approx(line["mm"] * 10 / 25, abs=0.1)
    assert line["comfortable_to_m"] == pytest.approx(line["mm"] * 3.5 / 25, abs=0.1)
    assert line["letters"] == "tall"


def test_json_is_that_of_the_contract(tmp_path):
    drawn = draw_layout(tmp_path / "a.png", (800, 400))

    found = json.loads(json.dumps(inspect_layout(drawn.path).as_json()))

    assert list(found) == ["file", "pixels", "alpha", "window", "type_zones", "faults"]
    raw = drawn.path.read_bytes()
    assert found["file"] == {
        "sha256": hashlib.sha256(raw).hexdigest(), "bytes": len(raw), "type": "png",
        "width": 800, "height": 400, "mode": "RGBA", "profile": None,
    }  # fmt: skip
    assert found["alpha"]["present"] is True
    assert found["alpha"]["clear"] + found["alpha"]["solid"] + found["alpha"]["half"] == pytest.approx(1, abs=3e-6)
    assert found["window"] == {"x": 0, "y": 0, "width": 800, "height": 400, "kind": "canvas", "sure": 0.9}
    line = found["type_zones"][0]["lines"][0]
    assert line.keys() == {"y", "height", "mm", "reads_to_m", "comfortable_to_m", "letters", "ink"}
    assert line["mm"] is line["reads_to_m"] is line["comfortable_to_m"] is None
    assert found["faults"][0].keys() == {"code", "level", "says"}


def test_wrong_shape_is_said_with_both_shapes_and_what_to_export(tmp_path):
    drawn = draw_layout(tmp_path / "a.png", (1181, 1181))

    found = inspect_layout(drawn.path, px=(7200, 3600), called="the roadside poster")

    assert codes(found) == ["wrong-shape", "too-few-pixels"]
    assert found.must_fix
    assert found.faults[0].says == (
        "This file is 1181 x 1181 px, which is 1 : 1; the roadside poster is 2 : 1. "
        "Export the artboard at 7200 x 3600 px."
    )


@pytest.mark.parametrize(("width", "right"), [(2018, True), (2021, False)])
def test_a_shape_within_one_per_cent_is_right(tmp_path, width, right):
    drawn = draw_layout(tmp_path / "a.png", (width, 1000))

    assert (codes(inspect_layout(drawn.path, aspect=2)) == []) is right


@pytest.mark.parametrize(
    ("size", "level"), [((3600, 1800), None), ((3000, 1500), "worth-a-look"), ((1700, 850), "must-fix")]
)
def test_too_few_pixels_are_said_by_how_much(tmp_path, size, level):
    drawn = draw_layout(tmp_path / "a.png", size)

    faults = {fault.code: fault for fault in inspect_layout(drawn.path, px=(3600, 1800)).faults}

    assert ("too-few-pixels" in faults) is (level is not None)
    if level:
        assert faults["too-few-pixels"].level == level
        assert (
            f"The window has {size[0]} x {size[1]} px and 3600 x 1800 px are ordered" in faults["too-few-pixels"].says
        )


@pytest.mark.parametrize(
    ("kind", "code", "says"),
    [
        ("flattened", "flattened-ground", "is solid, on white, and nothing is clear. Hide the background layer"),
        ("empty", "nothing-solid", "every pixel of it is clear"),
        ("faint", "nothing-solid", "its strongest part has 33\u202f% opacity"),
        ("haze", "stray-half-clear", "of the canvas carries a faint haze"),
    ],
)
def test_faults_of_transparency_are_found(tmp_path, kind, code, says):
    drawn = draw_layout(tmp_path / "a.png", (1800, 900), kind=kind)

    found = inspect_layout(drawn.path)

    assert codes(found) == [code]
    assert says in found.faults[0].says


def test_a_file_without_alpha_is_said(tmp_path):
    path = draw_picture(tmp_path / "a.jpg", (800, 400))

    found = inspect_layout(path)

    assert codes(found) == ["no-alpha"]
    assert found.faults[0].says.startswith("This JPEG has no transparency, so it would hide the whole picture.")
    assert found.as_json()["alpha"] == {"present": False, "clear": 0, "solid": 1, "half": 0}


def test_cmyk_and_profiles_are_said(tmp_path):
    Image.new("CMYK", (80, 40)).save(tmp_path / "a.tif")
    drawn = draw_layout(tmp_path / "b.png", (800, 400))

    assert codes(inspect_layout(tmp_path / "a.tif")) == ["no-alpha", "cmyk"]
    assert [fault.code for fault in inspect_layout(drawn.path).faults] == ["no-profile"]


def test_the_same_file_again_and_a_name_that_says_other_are_said(tmp_path):
    drawn = draw_layout(tmp_path / "a.png", (800, 400))
    digest = hashlib.sha256(drawn.path.read_bytes()).hexdigest()

    found = inspect_layout(
        drawn.path, aspect=2, name="burger_12000x3000mm.png", older=[("revision 1", "0" * 64), ("revision 2", digest)]
    )

    assert codes(found) == ["same-as-older", "name-says-other"]
    says = {fault.code: fault.says for fault in found.faults}
    assert says["same-as-older"].startswith("This file is the same, byte for byte, as revision 2: 0 pixels differ.")
    assert says["name-says-other"].startswith(
        "The file's name says 12000 x 3000 mm, which is 4 : 1; what was ordered is 2 : 1."
    )


def test_a_reloaded_prepared_layout_is_inspected_alike_but_never_surely(tmp_path):
    """What is kept has no masks: its window is good to a pixel of the layer, and it must not claim more."""
    drawn = draw_layout(tmp_path / "a.png", (4000, 2000), kind="surround", margins=(300, 200, 300, 200))
    prepare_layout(drawn.path, tmp_path / "prepared.png")

    found = inspect_layout(load_prepared(tmp_path / "prepared.png"), aspect=3400 / 1600, sha256="x")

    assert near(found.window.rect, drawn.window, by=2)
    assert found.window.sure < 0.7
    assert found.pixels is None
    assert len(found.zones) == 2
