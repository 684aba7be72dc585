"""Protects marks over a picture: they lie where the mask holds, show light and dark, and leave out grain."""

import numpy as np

from layouts.imaging.composing.hatching import hatched


def test_a_part_is_hatched_light_and_dark_with_an_outline_and_the_rest_stays_clear():
    mask = np.zeros((600, 1200), bool)
    mask[200:400, 300:700] = True

    marks = hatched(mask)

    inside = marks[220:380, 320:680]
    drawn = inside[..., 3] > 0
    assert 0.1 < drawn.mean() < 0.5, "lines, and the picture between them"
    assert {tuple(colour) for colour in inside[drawn][:, :3]} == {(0, 0, 0), (255, 255, 255)}
    assert (marks[200, 320:680] == 255).all()
    assert not marks[:190, :, 3].any()
    assert not marks[:, 720:, 3].any()


def test_grain_gets_no_mark():
    mask = np.zeros((600, 1200), bool)
    mask[::9, ::9] = True
    assert not hatched(mask).any()
