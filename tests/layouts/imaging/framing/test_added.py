"""Protects the answer for a format that comes on the day: which frame serves it, or which must be taken again."""

import random
from dataclasses import replace

import pytest

from layouts.imaging.framing.added import add
from layouts.imaging.framing.plan import plan
from layouts.imaging.framing.problem import Placement, Problem, Unplannable
from tests.layouts.imaging.framing.cases import drawn

# The definition's second example: A and F in one capture, B and C in the other.
PROBLEM = Problem(
    (6000, 4000), 1.0,
    (
        Placement("A", 2, (0.25, 0.25, 0.5, 0.75), (4800, 2400)),
        Placement("B", 0.5, (0.2, 0.5, 0.8, 0.8), (1200, 2400)),
        Placement("C", 1, (0.2, 0.3, 0.8, 0.6), (2000, 2000), (0.5, 1)),
    ),
    0.05,
)  # fmt: skip


def test_a_frame_that_has_it_gives_its_pixels():
    """F of the example: 2 x 2 hero heights at 1350 px each are 2700 px, 1.6875 times the 1600 it needs."""
    found = add(plan(PROBLEM), Placement("F", 1, (0.25, 0.25, 0.75, 0.75), (1600, 1600)))
    best = found.fits[0]
    assert (best.frame, best.inside, best.margin, best.serves) == (0, True, True, True)
    assert best.spare == pytest.approx(1.6875)
    assert best.pixels == (975, 650, 2700, 2700)
    assert (found.replanned, found.reshoot) == (None, ())


def test_where_none_has_it_the_frames_to_take_again_are_named():
    """By hand: 4.8 x 2 hero heights. With A the hull is 4.9 wide, 5400 / 4.9 px are short of A's 1200 a hero height;
    with B and C it is 4.8 x 4, min(5400 / 4.8, 3600 / 4) = 900 px over 720, so that frame is taken again, turned."""
    found = add(plan(PROBLEM), Placement("wide", 2.4, (0.3, 0.25, 0.7, 0.75), (3000, 1250)))
    assert not any(fit.serves for fit in found.fits)
    assert len(found.replanned.captures) == 2
    assert found.reshoot == (1,)
    assert found.replanned.spares == pytest.approx([1.125, 1.25])


def test_what_nothing_can_serve_leaves_the_frames_as_they_are():
    found = add(plan(PROBLEM), Placement("D", 4, (0.4, 0.3, 0.6, 0.7), (14400, 3600)))
    assert [one.placement.id for one in found.replanned.not_served] == ["D"]
    assert found.reshoot == ()


def test_every_planned_placement_is_served_by_its_own_frame():
    rng = random.Random(4)
    for _ in range(20):
        problem = drawn(rng, 6, between=(1.02, 3), copies=0)
        found = plan(problem)
        for capture in found.captures:
            for crop in capture.crops:
                again = add(found, replace(crop.placement, id="again")).fits
                mine = next(fit for fit in again if found.captures[fit.frame] is capture)
                assert (mine.serves, mine.margin, mine.pixels) == (True, True, crop.pixels)
                assert mine.spare == pytest.approx(crop.spare)


def test_a_name_that_is_taken_is_refused():
    with pytest.raises(Unplannable, match="Two placements are called “A”"):
        add(plan(PROBLEM), PROBLEM.placements[0])
