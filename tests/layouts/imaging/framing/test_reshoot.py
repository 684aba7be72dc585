"""Protects what is said when no frame serves a format on the day: which frame to take anew, and how it is framed."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from layouts.imaging.framing.added import fits_in
from layouts.imaging.framing.geometry import density_needed, window_of
from layouts.imaging.framing.plan import plan
from layouts.imaging.framing.problem import Placement, Problem
from layouts.imaging.framing.reshoot import otherwise, retakes, taken
from layouts.imaging.framing.windows import least_spare, spare_alone
from tests.layouts.imaging.framing.cases import problems

WIDE = Placement("wide", 2.0, (0.52, 0.22, 0.92, 0.9), (500, 250))


def test_a_frame_that_just_misses_is_taken_wider():
    problem = Problem((1200, 900), 1.4, (WIDE,))
    frames = [taken(capture) for capture in plan(problem).captures]
    tall = Placement("tall", 0.8, (0.3, 0.3, 0.7, 0.6), (160, 200))
    assert not any(fit.serves for fit in fits_in(problem, [one.framing for one in frames], tall))
    first, last = retakes(problem, frames, tall)
    assert (first.frame, last.frame) == (0, None)
    assert first.framing.density < frames[0].framing.density
    for placement in (WIDE, tall):
        assert fits_in(problem, [first.framing], placement)[0].serves
    assert last.gives == pytest.approx(spare_alone(problem, tall))
    assert last.spare > first.gives


def test_what_no_frame_of_its_own_serves_gets_tiles_and_a_plate():
    problem = Problem((1200, 900), 1.4, (WIDE,))
    frames = [taken(capture) for capture in plan(problem).captures]
    huge = Placement("huge", 2.0, (0.4, 0.3, 0.6, 0.7), (2400, 1200))
    assert retakes(problem, frames, huge) == ()
    other = otherwise(problem, huge)
    # By hand: 0.94 x 1200 of 2400 px across.
    assert other.gives == pytest.approx(0.94 * 1200 / 2400)
    assert other.stitched.count > 1
    assert other.plate.ground_enlarged == pytest.approx(1 / other.gives)


@settings(max_examples=80, deadline=None)
@given(problems(low=2, high=7), st.integers(0, 6))
def test_a_frame_taken_anew_serves_all_that_it_served_and_the_new_one(problem, which):
    """The new one is left out of a plan and asked for afterwards; what is proposed is checked window by window."""
    new = problem.placements[which % len(problem.placements)]
    rest = Problem(
        problem.camera,
        problem.hero_aspect,
        tuple(p for p in problem.placements if p is not new),
        problem.margin,
        problem.enlargement,
    )
    planned = plan(rest)
    assume(planned.captures)
    frames = [taken(capture) for capture in planned.captures]
    found = retakes(rest, frames, new)
    least = least_spare(rest)
    assert (spare_alone(rest, new) >= least) == bool(found)
    for one in found:
        served = [] if one.frame is None else [crop.placement for crop in planned.captures[one.frame].crops]
        spares = [one.framing.density / density_needed(window_of(p, rest.hero_aspect), p.need) for p in (*served, new)]
        assert all(fits_in(rest, [one.framing], p)[0].serves for p in (*served, new))
        assert one.spare == pytest.approx(min(spares))
    spares = [one.spare for one in found if one.frame is not None]
    assert spares == sorted(spares, reverse=True)
