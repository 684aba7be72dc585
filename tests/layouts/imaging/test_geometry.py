"""Protects crops: of the ordered shape, inside the picture, with the hero zone as near their middle as can be."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layouts.imaging.geometry import Rect, contain_frame, cover_crop, hero_in_window

sides = st.integers(16, 20_000)
aspects = st.floats(0.1, 10)
edges = st.tuples(st.floats(0, 1), st.floats(0, 1)).map(sorted).filter(lambda pair: pair[1] - pair[0] > 1e-3)
zones = st.tuples(edges, edges).map(lambda pairs: (pairs[0][0], pairs[1][0], pairs[0][1], pairs[1][1]))


def test_cover_crop_is_the_widest_and_moves_to_the_hero():
    assert cover_crop(6000, 4000, 2) == Rect(0, 500, 6000, 3000)
    assert cover_crop(6000, 4000, 0.5) == Rect(2000, 0, 2000, 4000)
    assert cover_crop(6000, 4000, 0.5, (0.5, 0.2, 0.7, 0.8)) == Rect(2600, 0, 2000, 4000)
    assert cover_crop(6000, 4000, 2, (0.4, 0.9, 0.6, 1.0)) == Rect(0, 1000, 6000, 3000)


@settings(derandomize=True, max_examples=200)
@given(sides, sides, aspects, zones)
def test_cover_crop_stays_inside_keeps_its_shape_and_holds_a_hero_that_fits(width, height, aspect, hero):
    crop = cover_crop(width, height, aspect, hero)

    assert crop.aspect == pytest.approx(aspect)
    assert crop.x >= 0
    assert crop.y >= 0
    assert crop.right <= width * (1 + 1e-12)
    assert crop.bottom <= height * (1 + 1e-12)
    assert crop.width == pytest.approx(width) or crop.height == pytest.approx(height)
    zone, inside = hero_in_window(crop, width, height, hero)
    if (hero[2] - hero[0]) * width <= crop.width and (hero[3] - hero[1]) * height <= crop.height:
        assert inside == pytest.approx(1, abs=1e-6)
    centred = cover_crop(width, height, aspect)

    def off(rect):
        (x0, y0, x1, y1), _ = hero_in_window(rect, width, height, hero)
        return abs((x0 + x1) / 2 - 0.5) + abs((y0 + y1) / 2 - 0.5)

    assert off(crop) <= off(centred) + 1e-9
    assert zone[2] > zone[0]


def test_hero_in_window_gives_fractions_and_the_share_inside():
    zone, inside = hero_in_window(Rect(1000, 0, 2000, 4000), 6000, 4000, (0.0, 0.25, 0.5, 0.75))

    assert zone == (-0.5, 0.25, 1.0, 0.75)
    assert inside == pytest.approx(2 / 3)


def test_contain_frame_holds_the_whole_picture():
    assert contain_frame(6000, 4000, 3) == Rect(-3000, 0, 12000, 4000)
    assert contain_frame(6000, 4000, 1) == Rect(0, -1000, 6000, 6000)


@pytest.mark.parametrize("zone", [(0.5, 0, 0.5, 1), (-0.1, 0, 1, 1), (0, 0.9, 1, 0.2), (0, 0, 1, float("nan"))])
def test_an_impossible_hero_zone_is_an_error(zone):
    with pytest.raises(ValueError, match="a zone runs from"):
        cover_crop(100, 100, 1, zone)


@pytest.mark.parametrize(("width", "aspect"), [(0, 1), (100, 0), (100, -2)])
def test_a_crop_of_nothing_is_an_error(width, aspect):
    with pytest.raises(ValueError, match="is not possible"):
        cover_crop(width, 100, aspect)


def test_a_rectangle_outside_the_picture_is_an_error():
    with pytest.raises(ValueError, match="lies outside the picture"):
        Rect(200, 0, 50, 50).within(100, 100)
