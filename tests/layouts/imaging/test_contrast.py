"""Protects the measuring of type: what is type, what is its ground, where the worst is, how busy the ground is."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from layouts.imaging.geometry import Rect
from layouts.imaging.measures.contrast import measure_zone
from tests.layouts.imaging.typesetting import SIZE, flat, laid, of_light, set_type

WHITE, BLACK, RED = (255, 255, 255), (0, 0, 0), (176, 32, 40)
PHOTOGRAPH = Path(__file__).parents[3] / "fixtures/pictures/tall-stack.jpg"
RED_LIGHT = 0.2126 * 0.4341537 + 0.7152 * 0.0143845 + 0.0722 * 0.0212190  # F WCAG 2.2, of the channels 176, 32, 40


def measured(layer, zone, ground, letter=54):
    return measure_zone(laid(layer, ground), layer, zone, letter)


def split(left, right, at=600):
    ground = flat(left)
    ground[:, at:] = right
    return ground


def ratios(found):
    return [found.contrast.worst, found.contrast.p5, found.contrast.median]


@pytest.mark.parametrize("colour", [WHITE, BLACK])
def test_type_across_a_boundary_is_worst_on_the_bad_side_and_the_middle_tells_which_is_larger(colour):
    layer, zone = set_type(colour)
    other = BLACK if colour == WHITE else WHITE

    mostly_good = measured(layer, zone, split(colour, other, at=round(zone.x + 0.3 * zone.width)))
    mostly_bad = measured(layer, zone, split(other, colour, at=round(zone.x + 0.3 * zone.width)))

    assert ratios(mostly_good) == pytest.approx([1, 1, 21], abs=0.01)
    assert ratios(mostly_bad) == pytest.approx([1, 1, 1], abs=0.01)


def test_no_letter_is_judged_together_with_one_of_the_line_below():
    """A light line over a faint one: half of the letters have the one ratio, half the other."""
    layer, zone = set_type(WHITE, size=60, text="mmmmmmmm")
    faint, below = set_type((150, 150, 150), size=60, text="mmmmmmmm", at=(60, 150))
    both = np.where(faint[..., 3:] > 0, faint, layer)
    box = Rect(zone.x, zone.y, zone.width, below.bottom - zone.y)
    lines = ((zone.y, zone.height), (below.y, below.height))

    composed = laid(both, flat((118, 118, 118)))
    found = measure_zone(composed, both, box, 45, lines)

    grey = 0.3049873  # F: luminance of 150
    expected = [(grey + 0.05) / 0.2311642, (1.05 / 0.2311642)]
    assert found.contrast.worst == pytest.approx(expected[0], rel=0.01)
    assert found.contrast.median == pytest.approx(sum(expected) / 2, rel=0.01)


def test_one_letter_that_is_lost_is_the_worst_and_hardly_moves_the_rest():
    layer, zone = set_type(WHITE)
    ground = flat(BLACK)
    ground[:, round(zone.x) : round(zone.x) + 40] = 255

    found = measured(layer, zone, ground)

    assert found.contrast.worst < 1.1
    assert found.contrast.median == pytest.approx(21, abs=0.01)


@pytest.mark.parametrize("size", [40, 72, 150])
def test_a_ramp_of_known_luminance_is_read_at_its_ends_and_its_middle(size):
    """F: white type on luminance Y has 1.05 / (Y + 0.05)."""
    light = np.linspace(0.02, 0.6, SIZE[0])[None, :].repeat(SIZE[1], 0)
    layer, zone = set_type(WHITE, size=size, text="mmmmmmmmmm")

    found = measured(layer, zone, of_light(light), 0.5 * size)

    def at(x):
        return 1.05 / (light[0, min(round(x), SIZE[0] - 1)] + 0.05)

    assert found.contrast.worst == pytest.approx(at(zone.right - 0.2 * size), rel=0.08)
    assert found.contrast.median == pytest.approx(at(zone.x + zone.width / 2), rel=0.08)
    assert 0.99 * at(zone.right) < found.contrast.worst < found.contrast.p5 < found.contrast.median < at(zone.x)


def test_a_photograph_that_is_half_as_bright_has_the_contrast_that_follows():
    """F: white type of ratio r has ground 1.05 / r - 0.05; half of that light gives 1.05 / (that / 2 + 0.05)."""
    photograph = Image.open(PHOTOGRAPH).convert("L").resize(SIZE)
    light = (np.asarray(photograph, float) / 255) ** 2.2
    layer, zone = set_type(WHITE)

    found, darker = measured(layer, zone, of_light(light)), measured(layer, zone, of_light(light / 2))

    expected = [1.05 / ((1.05 / ratio - 0.05) / 2 + 0.05) for ratio in ratios(found)]
    assert ratios(darker) == pytest.approx(expected, rel=0.02)
    assert found.contrast.worst < found.contrast.median - 0.1, "a photograph is not flat"


def test_grain_finer_than_the_strokes_does_not_hide_them():
    rng = np.random.default_rng(3)
    layer, zone = set_type(WHITE)
    light = np.clip(0.1 + rng.normal(0, 0.05, (SIZE[1], SIZE[0])), 0, 1)

    found = measured(layer, zone, of_light(light))

    assert ratios(found) == pytest.approx([1.05 / 0.15] * 3, rel=0.13)


def test_a_ground_is_the_busier_the_more_it_changes_within_a_letter():
    layer, zone = set_type(WHITE)
    squares = np.indices((SIZE[1], SIZE[0])) // 27
    chequered = (squares.sum(axis=0) % 2).astype(float)

    busy = [
        measured(layer, zone, ground).busy
        for ground in (
            flat((90, 90, 90)),
            of_light(np.linspace(0.1, 0.3, SIZE[0])[None, :].repeat(SIZE[1], 0)),
            of_light(0.2 + 0.1 * chequered),
            of_light(chequered),
        )
    ]

    assert busy[0] == 0
    assert busy == sorted(busy)
    assert busy[1] < 0.02
    assert busy[3] > 0.8


def test_type_of_two_colours_is_judged_by_each_of_them():
    layer, zone = set_type(WHITE, text="Slow")
    second, other = set_type(RED, text="mornings", at=(500, 80))
    both = np.where(second[..., 3:] > 0, second, layer)

    found = measured(both, Rect(zone.x, zone.y, other.right - zone.x, zone.height + 20), flat((20, 20, 20)))

    dark = 0.0069954  # F: luminance of 20
    assert found.contrast.worst == pytest.approx((RED_LIGHT + 0.05) / (dark + 0.05), rel=0.01)
    assert max(ratios(found)) <= 1.05 / (dark + 0.05) * 1.001


@pytest.mark.parametrize("size", [20, 40, 72])
@pytest.mark.parametrize("ground", [WHITE, RED, BLACK])
def test_type_on_a_panel_of_its_own_is_judged_against_the_panel(size, ground):
    layer, _ = set_type(WHITE, size=size, panel=RED)
    panel = Rect(20, 40, SIZE[0] - 40, SIZE[1] - 80)

    found = measured(layer, panel, flat(ground), 0.75 * size)

    assert ratios(found) == pytest.approx([1.05 / (RED_LIGHT + 0.05)] * 3, rel={20: 0.1, 40: 0.06, 72: 0.01}[size])


def test_a_panel_with_nothing_on_it_is_judged_as_a_graphic_against_the_picture():
    layer, _ = set_type(RED, text=" m", panel=RED)

    found = measured(layer, Rect(20, 40, SIZE[0] - 40, SIZE[1] - 80), flat(WHITE), 220)

    assert ratios(found) == pytest.approx([1.05 / (RED_LIGHT + 0.05)] * 3, rel=0.01)


def test_a_soft_glow_counts_as_ground():
    plain, zone = set_type(WHITE)
    glowing, _ = set_type(WHITE, glow=(BLACK, 14))

    without, with_glow = measured(plain, zone, flat(WHITE)), measured(glowing, zone, flat(WHITE))

    assert ratios(without) == pytest.approx([1, 1, 1])
    assert with_glow.contrast.worst > 3


def test_a_shadow_on_one_side_does_not_save_the_other():
    shadowed, zone = set_type(WHITE, shadow=(BLACK, 8))
    box = Rect(zone.x, zone.y, zone.width + 8, zone.height + 8)

    on_white, on_grey = (measured(shadowed, box, flat((grey,) * 3)) for grey in (255, 118))

    assert on_white.contrast.median < 1.5
    assert on_grey.contrast.median == pytest.approx(1.05 / (0.1811642 + 0.05), rel=0.05)


def test_an_outline_carries_the_type():
    layer, zone = set_type(WHITE, stroke_width=7, stroke_fill=(*BLACK, 255), size=110)

    found = measured(layer, zone, flat(WHITE), 80)

    assert found.contrast.worst > 12


def test_half_clear_type_is_judged_as_it_is_seen():
    """F: white at 128 / 255 over black is 128, whose luminance is 0.2158605."""
    layer, zone = set_type(WHITE, alpha=128)

    found = measured(layer, zone, flat(BLACK))

    assert ratios(found) == pytest.approx([(0.2158605 + 0.05) / 0.05] * 3, rel=0.01)


def test_neighbouring_type_is_no_ground():
    layer, zone = set_type(WHITE, size=60)
    black, _ = set_type(BLACK, size=60, at=(60, 132))
    both = np.where(black[..., 3:] > 0, black, layer)

    found = measured(both, zone, flat((118, 118, 118)), 45)

    assert ratios(found) == pytest.approx([1.05 / (0.1811642 + 0.05)] * 3, rel=0.01)


def test_what_cannot_be_measured_is_none_and_no_number():
    nothing = np.zeros((300, 1200, 4), np.uint8)
    found = measure_zone(flat(WHITE), nothing, Rect(10, 10, 100, 50), 40)
    assert (found.contrast, found.busy) == (None, None)
    solid = np.full((300, 1200, 4), 255, np.uint8)
    found = measure_zone(flat(WHITE), solid, Rect(0, 0, 1200, 300), 300)
    assert found.as_json() == {"contrast": {"worst": None, "p5": None, "median": None}, "busy": None}
