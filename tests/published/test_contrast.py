"""Protects measured contrast against published figures, from the pixels of a layout over a picture to the ratio.

Marks: P published figure or standard; R recomputed with the reference library named; F follows from the named formula.
"""

import numpy as np
import pytest

from layouts.imaging.colour import relative_luminance
from layouts.imaging.measures.contrast import measure_zone
from layouts.imaging.measures.luminance import lightness, luminance
from layouts.imaging.measures.verdict import LARGE_MM_PER_M, needs, reads
from tests.layouts.imaging.typesetting import flat, laid, of_hex, set_type

# P WCAG 2.2 formula; the colour pairs also in axe-core's own tests.
PAIRS = [
    ("#000", "#fff", 21),
    ("#fff", "#000", 21),
    ("#ffa500", "#fff", 1.974788),
    ("#707070", "#e5e5e5", 3.931237),
    ("#666", "#ccc", 3.575400),
    ("#777", "#fff", 4.478089),
    ("#767676", "#fff", 4.542225),
]


@pytest.mark.parametrize("size", [40, 72, 160])
@pytest.mark.parametrize(("type_", "ground", "ratio"), PAIRS)
def test_flat_type_on_a_flat_ground_has_the_published_ratio_in_every_letter(type_, ground, ratio, size):
    """P WCAG 2.2, "contrast ratio"; single precision."""
    layer, zone = set_type(of_hex(type_), size=size)

    found = measure_zone(laid(layer, flat(of_hex(ground))), layer, zone, 0.75 * size)

    assert [found.contrast.p5, found.contrast.median] == pytest.approx([ratio] * 2, abs=2e-4)
    assert found.contrast.worst == pytest.approx(ratio, rel=5e-4), "a hairline's colour is known to 8 bits"
    assert found.busy == 0


@pytest.mark.parametrize(("type_", "ground", "ratio"), PAIRS)
def test_small_type_is_measured_by_its_own_colour_and_not_by_its_blurred_edges(type_, ground, ratio):
    """P the same. Of type 16 px high hardly a pixel is solid; 8 bits of a thin stroke's colour leave 1 in a hundred."""
    layer, zone = set_type(of_hex(type_), size=16)

    found = measure_zone(laid(layer, flat(of_hex(ground))), layer, zone, 11)

    assert [found.contrast.worst, found.contrast.median] == pytest.approx([ratio] * 2, rel=0.01)


def test_the_pair_just_under_4_5_fails_and_the_one_just_over_it_passes():
    """P WCAG 2.2, 1.4.3: judged without rounding, as its note on thresholds says."""
    verdicts = []
    for colour in ("#777", "#767676"):
        layer, zone = set_type(of_hex(colour))
        found = measure_zone(laid(layer, flat((255, 255, 255))), layer, zone, 54).contrast
        verdicts.append(reads(found.p5, found.median, 4.5))
    assert verdicts == ["hard", "well"]


def test_luminance_by_table_is_the_definitions():
    """P WCAG 2.2, "relative luminance"; every grey, and colours at random."""
    pixels = np.random.default_rng(7).integers(0, 256, (64, 64, 3), dtype=np.uint8)
    pixels[0] = np.arange(0, 256, 4)[:, None]
    assert luminance(pixels) == pytest.approx(relative_luminance(pixels / 255), abs=2e-7)


def test_lightness_is_that_of_the_standard():
    """R scikit-image `rgb2lab`, L* of sRGB red, green, blue; F of black, white and 18 % grey."""
    light = np.float32([[0.2126729, 0.7151522, 0.0721750, 0, 1, 0.18]])
    assert lightness(light)[0] == pytest.approx([53.241, 87.735, 32.297, 0, 100, 49.496], abs=2e-3)


@pytest.mark.parametrize(("seen_from", "least"), [(0.7112, 4.445), (10, 62.5), (20, 125)])
def test_large_type_is_an_angle(seen_from, least):
    """P WCAG 2.2, "large scale": 24 px; CSS Values and Units, "reference pixel": 1/96 inch at 28 inches (0.7112 m).

    At 28 inches capitals of 24 px type are 0.7 x 24 x 25.4 / 96 = 4.445 mm high.
    """
    assert seen_from * LARGE_MM_PER_M == pytest.approx(least, rel=1e-9)
    assert [needs([least * 1.001], seen_from), needs([least * 0.999], seen_from)] == [3.0, 4.5]
