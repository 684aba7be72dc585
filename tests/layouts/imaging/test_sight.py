"""Protects how large a poster looks from its distance, and what one minute of arc is there."""

import pytest

from layouts.imaging.measures import sight


# One minute of arc in pixels per inch: 25.4 / (d tan(1/60 degree)), worked with bc to five figures.
@pytest.mark.parametrize(("distance", "ppi"), [(1, 87.319), (5, 17.464), (10, 8.732), (20, 4.366), (50, 1.746)])
def test_one_minute_of_arc(distance, ppi):
    assert 25.4 / sight.minute_at(distance) == pytest.approx(ppi, abs=5e-4)


def test_a_letter_of_six_metres_acuity_has_its_published_height():
    """ISO 8596 and the chart of Snellen (1862): the 6/6 letter, five minutes high, is 8.73 mm at 6 m (from memory)."""
    assert sight.minute_at(6) * sight.LEAST_LETTER == pytest.approx(8.73, abs=0.005)


def test_common_practice_is_some_nine_minutes():
    """25 mm at 10 m: atan(0.025 / 10) is 0.1432 degrees, worked by hand: 8.59 minutes."""
    assert abs(sight.PRACTICE_LETTER - 8.59) < 0.005


def test_a_poster_looks_as_large_as_its_angle():
    """By similar triangles: 12,192 mm at 30 m is 243.84 mm at 60 cm."""
    assert sight.as_seen(12192, 30, 600) == pytest.approx(243.84)
    assert sight.minutes_of(243.84, 0.6) == pytest.approx(sight.minutes_of(12192, 30))


@pytest.mark.parametrize(("distance", "eye"), [(0, 600), (-1, 600), (30, 0)])
def test_a_distance_is_positive(distance, eye):
    with pytest.raises(ValueError, match="positive"):
        sight.as_seen(1, distance, eye)


@pytest.mark.parametrize(
    ("sizes", "room", "scale"),
    [
        ([(12192, 3048)], (112, 95), 125),
        ([(934, 1660)], (50, 60), 30),
        ([(100, 100)], (100, 100), 1),
        ([], (10, 10), 1),
    ],
)
def test_the_scale_is_a_usual_one_at_which_all_fits(sizes, room, scale):
    assert sight.round_scale(sizes, room) == scale
    assert all(wide / scale <= room[0] and high / scale <= room[1] for wide, high in sizes)
