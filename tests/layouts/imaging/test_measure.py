"""Protects what is measured of a placement: how much of a hero zone is covered, and the verdict's thresholds."""

import numpy as np
import pytest

from layouts.imaging.geometry import Rect
from layouts.imaging.inspecting.zones import TypeZone
from layouts.imaging.measures.measure import Coverage, cover, hero_overlap, measure
from layouts.imaging.measures.verdict import needs, reads
from tests.layouts.imaging.typesetting import flat, laid, set_type


def layer_with(box, alpha=255, size=(2400, 1200)):
    layer = np.zeros((size[1], size[0], 4), np.uint8)
    x0, y0, x1, y1 = box
    layer[y0:y1, x0:x1] = alpha
    return layer


@pytest.mark.parametrize(
    ("box", "hero", "share"),
    [
        ((0, 0, 100, 100), (0.5, 0.5, 1, 1), 0),
        ((0, 0, 1200, 1200), (0.25, 0, 0.75, 1), 0.5),
        ((1800, 900, 2400, 1200), (0.5, 0.5, 1, 1), 0.25),
        ((0, 0, 2400, 1200), (0.123, 0.456, 0.789, 0.9), 1),
        ((1003, 101, 1377, 555), (0.4, 0.05, 0.6, 0.5), 374 * 454 / (480 * 540)),
    ],
)
def test_the_share_of_the_hero_that_is_covered(box, hero, share):
    layer = layer_with(box)
    assert hero_overlap(layer, hero) == pytest.approx(share, abs=1e-6)
    assert cover(layer).overlap(hero) == pytest.approx(share, abs=0.004)


def test_what_is_half_clear_covers_by_half():
    assert hero_overlap(layer_with((0, 0, 2400, 1200), 128), (0.2, 0.2, 0.6, 0.6)) == pytest.approx(128 / 255)


def test_a_hero_zone_that_the_crop_cuts_is_covered_only_inside():
    covered = cover(layer_with((0, 0, 2400, 1200)))
    assert covered.overlap((-0.5, 0, 0.5, 1)) == pytest.approx(0.5)
    assert covered.overlap((1.2, 0, 1.5, 1)) == 0


def test_a_coverage_comes_back_as_it_was_kept_and_is_small():
    layer, _ = set_type((255, 255, 255))
    covered = cover(layer)
    kept = covered.packed()
    assert np.array_equal(Coverage.unpacked(kept).cells, covered.cells)
    assert (kept["rows"], kept["columns"]) == (24, 96)
    assert len(kept["cells"]) < 1500


@pytest.mark.parametrize("hero", [(0, 0, 0, 1), (0.5, 0, 0.4, 1), (0, 0, 1, 1.2)])
def test_an_impossible_hero_zone_is_refused(hero):
    with pytest.raises(ValueError, match="zone"):
        hero_overlap(layer_with((0, 0, 10, 10)), hero)


def test_zones_are_measured_in_the_order_they_come_and_one_outside_the_window_is_not_known():
    layer, zone = set_type((255, 255, 255))
    outside = Rect(5000, 10, 100, 100)
    found = measure(laid(layer, flat((0, 0, 0))), layer, [TypeZone(outside, ()), TypeZone(zone, ((zone.y, 54.0),))])
    assert found.zones[0].contrast is None
    assert found.zones[1].contrast.median == pytest.approx(21, abs=0.01)


@pytest.mark.parametrize(
    ("lines", "seen_from", "wanted"),
    [([400, 150], 20, 3.0), ([400, 60], 20, 4.5), ([60], None, 3.0), ([], 20, 3.0), ([26], 4, 3.0), ([24], 4, 4.5)],
)
def test_small_type_needs_more_and_where_nothing_is_known_type_is_large(lines, seen_from, wanted):
    assert needs(lines, seen_from) == wanted


@pytest.mark.parametrize(
    ("p5", "median", "says"),
    [(3.0, 3.0, "well"), (2.99, 8, "places"), (1.2, 2.99, "hard"), (None, None, "unknown")],
)
def test_a_zone_is_hard_to_read_where_one_letter_in_twenty_falls_short(p5, median, says):
    assert reads(p5, median, 3.0) == says
