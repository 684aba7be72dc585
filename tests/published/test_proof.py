"""Protects the soft proof against sources outside the project: the inks of the condition, greys, known colours.

Marks: P published figure or standard; R recomputed with the reference library named; C common practice, no source.
"""

import numpy as np
import pytest
from PIL import Image, ImageCms

from layouts.imaging.composing.proof import press_difference, soft_proof
from layouts.imaging.decoding.profiles import press_profile

INK = {
    "cyan": ((255, 0, 0, 0), (55, -37, -50)),
    "magenta": ((0, 255, 0, 0), (48, 74, -3)),
    "yellow": ((0, 0, 255, 0), (89, -5, 93)),
    "black": ((0, 0, 0, 255), (16, 0, 0)),
    "magenta and yellow": ((0, 255, 255, 0), (47, 68, 48)),
}


@pytest.mark.parametrize("ink", INK)
def test_solid_inks_have_the_lab_of_the_standard(ink):
    """P ISO 12647-2:2004 / Amd 1, solids on coated paper, paper-absolute; Pillow's Lab has steps of 0.4 and 1."""
    amounts, lab = INK[ink]
    to_lab = ImageCms.buildTransform(
        press_profile(),
        ImageCms.createProfile("LAB"),
        "CMYK",
        "LAB",
        ImageCms.Intent.ABSOLUTE_COLORIMETRIC,
    )

    found = np.asarray(to_lab.apply(Image.new("CMYK", (1, 1), amounts)))[0, 0]

    assert float(found[0]) * 100 / 255 == pytest.approx(lab[0], abs=0.5)
    assert found[1:].view(np.int8).tolist() == pytest.approx(lab[1:], abs=0.5)


def test_greys_stay_grey_and_are_all_in_reach():
    """P ICC.1:2022, 6.2.3: relative colorimetric takes white to paper; greys lie inside any press's gamut."""
    greys = np.repeat(np.arange(256, dtype=np.uint8)[None, :, None], 3, axis=2)

    pixels, mask, share = soft_proof(greys)

    assert share == 0
    assert not mask.any()
    assert pixels[0, 255].tolist() == [255, 255, 255]
    assert np.ptp(pixels.astype(int), axis=2).max() <= 3
    assert (np.diff(pixels[0].astype(int), axis=0) >= -1).all()
    assert 25 <= pixels[0, 0].mean() <= 45, "black ink on paper is a dark grey, L* 9 to 18"


@pytest.mark.parametrize("colour", [(0, 255, 0), (0, 0, 255), (0, 255, 255), (255, 0, 255), (255, 0, 0), (255, 255, 0)])
def test_a_screens_pure_colours_cannot_be_printed(colour):
    """P: the corners of sRGB (IEC 61966-2-1) lie outside the solids of ISO 12647-2, farthest green, blue and cyan."""
    assert soft_proof(np.full((4, 4, 3), colour, np.uint8)).share == 1


@pytest.mark.parametrize("colour", [(224, 172, 145), (190, 130, 70), (200, 40, 30), (110, 160, 50), (128, 128, 128)])
def test_skin_bread_tomato_lettuce_and_grey_can(colour):
    """C: what food photographs are full of is printable."""
    assert soft_proof(np.full((4, 4, 3), colour, np.uint8)).share == 0


def test_what_ink_makes_is_in_reach():
    """F: colours computed from inks within 300 % are not marked, but for what tables and 8-bit steps cost."""
    inks = np.random.default_rng(1).integers(0, 256, (300, 300, 4), dtype=np.uint8)
    to_screen = ImageCms.buildTransform(
        press_profile(),
        ImageCms.createProfile("sRGB"),
        "CMYK",
        "RGB",
        ImageCms.Intent.RELATIVE_COLORIMETRIC,
        ImageCms.Flags.BLACKPOINTCOMPENSATION,
    )
    size = (inks.shape[1], inks.shape[0])
    shown = np.asarray(to_screen.apply(Image.frombytes("CMYK", size, inks.tobytes())))
    unclipped = (inks.sum(axis=2, dtype=int) <= 700) & (shown.min(axis=2) > 3) & (shown.max(axis=2) < 252)

    mask = soft_proof(shown).mask

    assert unclipped.sum() > 50_000
    assert mask[unclipped].mean() < 0.005
    assert np.median(press_difference(shown)[unclipped]) < 0.5
