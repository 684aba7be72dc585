"""Protects the soft proof's shape: what goes in and comes out, and that the quick table agrees with the slow way."""

import numpy as np
import pytest

from layouts.imaging.composing.proof import OUT_OF_REACH, press_difference, soft_proof
from layouts.imaging.decoding.profiles import press_profile, profile_name


def noise(size=(120, 160)):
    return np.random.default_rng(3).integers(0, 256, (*size, 3), dtype=np.uint8)


def test_a_proof_is_pixels_a_mask_and_its_share():
    given = noise()
    before = given.copy()

    pixels, mask, share = soft_proof(given)

    assert (pixels.shape, pixels.dtype) == (given.shape, np.uint8)
    assert (mask.shape, mask.dtype) == (given.shape[:2], np.bool_)
    assert share == pytest.approx(mask.mean())
    assert np.array_equal(given, before)


def test_only_the_part_that_is_out_of_reach_is_marked():
    given = np.full((40, 60, 3), 150, np.uint8)
    given[10:20, 30:45] = (0, 255, 0)
    wanted = np.zeros((40, 60), bool)
    wanted[10:20, 30:45] = True

    _, mask, share = soft_proof(given)

    assert np.array_equal(mask, wanted)
    assert share == pytest.approx(150 / 2400)


def test_the_quick_table_agrees_with_the_slow_way():
    given = noise((400, 500))

    mask = soft_proof(given).mask

    assert (mask != (press_difference(given) > OUT_OF_REACH)).mean() < 0.01


@pytest.mark.parametrize("wrong", [np.zeros((4, 4), np.uint8), np.zeros((4, 4, 4), np.uint8), np.zeros((4, 4, 3)),
                                   np.zeros((0, 4, 3), np.uint8)])  # fmt: skip
def test_other_pixels_are_an_error(wrong):
    with pytest.raises(ValueError, match="a proof is made of"):
        soft_proof(wrong)


def test_a_view_into_a_larger_picture_is_proofed_as_its_copy():
    given = noise()

    assert np.array_equal(soft_proof(given[5:50:2, 7:90]).pixels, soft_proof(given[5:50:2, 7:90].copy()).pixels)


def test_the_press_profile_says_that_it_was_altered():
    assert profile_name(press_profile().tobytes()) == "ISO Coated v2 300% (basICColor), cut to colorimetric"
