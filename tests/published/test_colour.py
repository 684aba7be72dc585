"""Protects colour arithmetic against sources outside the project.

Marks: P published figure or standard; R recomputed with the reference library named; F follows from the named formula.
"""

import csv
from pathlib import Path

import numpy as np
import pytest
from skimage.color import deltaE_ciede2000, rgb2lab

from layouts.imaging.colour import (
    contrast_ratio,
    delta_e_2000,
    linear_to_srgb,
    relative_luminance,
    srgb_to_lab,
    srgb_to_linear,
)


def of_hex(text):
    text = text.lstrip("#")
    text = "".join(digit * 2 for digit in text) if len(text) == 3 else text
    return [int(text[at : at + 2], 16) / 255 for at in (0, 2, 4)]


@pytest.mark.parametrize(("value", "linear"), [(118, 0.1811642), (128, 0.2158605), (188, 0.5028865)])
def test_srgb_to_linear(value, linear):
    """P IEC 61966-2-1."""
    assert srgb_to_linear(value / 255) == pytest.approx(linear, abs=5e-8)


@pytest.mark.parametrize(("linear", "value"), [(0.18, 0.46135613), (0.5, 0.73535698)])
def test_linear_to_srgb(linear, value):
    """P IEC 61966-2-1."""
    assert linear_to_srgb(linear) == pytest.approx(value, abs=5e-9)


def test_srgb_and_back_for_every_8_bit_value():
    """F: the two curves are each other's inverse."""
    values = np.arange(256) / 255

    assert linear_to_srgb(srgb_to_linear(values)) == pytest.approx(values, abs=1e-7)


@pytest.mark.parametrize(("colour", "luminance"), [((1, 0, 0), 0.2126), ((0, 1, 0), 0.7152), ((0, 0, 1), 0.0722)])
def test_primaries_have_the_weights_of_the_definition(colour, luminance):
    """P WCAG 2.2, "relative luminance"."""
    assert relative_luminance(colour) == pytest.approx(luminance, abs=1e-12)


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000", "#fff", 21),
        ("#ffa500", "#fff", 1.974788),
        ("#707070", "#e5e5e5", 3.931237),
        ("#666", "#ccc", 3.575400),
        ("#777", "#fff", 4.478089),
        ("#767676", "#fff", 4.542225),
    ],
)
def test_contrast(one, other, ratio):
    """P WCAG 2.2, "contrast ratio"; the coloured pairs also stand in axe-core's own tests."""
    assert contrast_ratio(of_hex(one), of_hex(other)) == pytest.approx(ratio, abs=5e-7)
    assert contrast_ratio(of_hex(other), of_hex(one)) == pytest.approx(ratio, abs=5e-7)


@pytest.mark.parametrize(
    ("colour", "lab"),
    [
        ((1, 0, 0), (53.241, 80.092, 67.203)),
        ((0, 1, 0), (87.735, -86.183, 83.180)),
        ((0, 0, 1), (32.296, 79.186, -107.857)),
    ],
)
def test_lab_of_the_primaries(colour, lab):
    """R scikit-image and colour-science, three decimals; their matrices differ in the fourth digit."""
    assert srgb_to_lab(colour) == pytest.approx(lab, abs=0.011)


def test_lab_against_scikit_image():
    """R scikit-image rgb2lab, on a grid of colours."""
    steps = np.linspace(0, 1, 9)
    grid = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, 3)

    assert np.abs(srgb_to_lab(grid) - rgb2lab(grid)).max() < 1e-3


def sharma():
    path = Path(__file__).with_name("ciede2000_sharma.csv")
    with open(path, encoding="ascii") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


@pytest.mark.parametrize("row", sharma(), ids=lambda row: row["pair"])
def test_ciede2000(row):
    """P Sharma, Wu, Dalal 2005, table 1, to the four decimals printed, in both orders."""
    one, other = ([float(row[f"{axis}{at}"]) for axis in "Lab"] for at in (1, 2))

    assert delta_e_2000(one, other) == pytest.approx(float(row["dE00"]), abs=5.1e-5)
    assert delta_e_2000(other, one) == pytest.approx(float(row["dE00"]), abs=5.1e-5)


def test_ciede2000_has_all_its_pairs():
    assert len(sharma()) == 34


def test_ciede2000_against_scikit_image():
    """R scikit-image deltaE_ciede2000, on arrays."""
    rng = np.random.default_rng(5)
    one, other = rng.uniform((0, -90, -90), (100, 90, 90), (2, 40, 50, 3))

    assert np.abs(delta_e_2000(one, other) - deltaE_ciede2000(one, other)).max() < 1e-9


@pytest.mark.parametrize("wrong", [(1.1, 0, 0), (-0.1, 0, 0), (float("nan"), 0, 0)])
def test_values_outside_are_an_error(wrong):
    with pytest.raises(ValueError, match="must lie in"):
        relative_luminance(wrong)
    with pytest.raises(ValueError, match="three channels"):
        srgb_to_lab((0.1, 0.2))
