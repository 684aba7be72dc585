"""Protects the agreed tolerance, "the hero may be down to 90 % of its zone": exact against a linear programme."""

import itertools
import random
from dataclasses import replace

import pytest

from layouts.imaging.framing.geometry import density_needed
from layouts.imaging.framing.plan import plan, usable_sides
from layouts.imaging.framing.positions import Positions
from layouts.imaging.framing.windows import spare_alone, windows
from tests.layouts.imaging.framing.cases import drawn
from tests.layouts.imaging.framing.reference import lp_spare_reached, nine, partitions

CASES = range(24)


def tolerant(problem, share):
    return replace(problem, placements=tuple(replace(p, hero_down_to=share) for p in problem.placements))


def a_case(seed, high=6):
    rng = random.Random(seed)
    problem = drawn(rng, rng.randint(2, high), between=(1.02, 2.2), copies=0)
    return tolerant(problem, rng.choice([1, 0.9, 0.75]))


@pytest.mark.parametrize("seed", CASES)
def test_a_linear_programme_agrees_on_the_spare_of_a_set(seed):
    problem = a_case(seed)
    members, share = problem.placements, problem.placements[0].hero_down_to
    spare = Positions(windows(problem, members), usable_sides(problem)).spare((1 << len(members)) - 1)
    for t, reached in ((spare * (1 - 1e-6), True), (spare * (1 + 1e-6), False)):
        ways = [lp_spare_reached(problem, members, t, landscape, share) for landscape in (True, False)]
        assert any(ways) is reached


@pytest.mark.parametrize("seed", range(12))
def test_no_partition_is_better(seed):
    problem = a_case(seed, high=5)
    sets = Positions(windows(problem, problem.placements), usable_sides(problem))
    best = None
    for parts in partitions(list(range(sets.n))):
        spares = sorted(nine(sets.spare(sum(1 << i for i in part))) for part in parts)
        if problem.enlargement * spares[0] >= 1 - 1e-9:
            best = max(best, (-len(spares), spares)) if best else (-len(spares), spares)
    assert [nine(spare) for spare in plan(problem).spares] == pytest.approx(best[1], rel=2e-9)


@pytest.mark.parametrize("seed", CASES)
def test_the_plan_keeps_what_was_agreed(seed):
    """Every hero lies in its zone, no smaller than agreed; every window is in frame, and has the spare that is said."""
    problem = a_case(seed, high=8)
    for capture in plan(problem).captures:
        frame, m = capture.framing.box, problem.margin
        for crop in capture.crops:
            p, box = crop.placement, crop.box
            x0, y0, x1, y1 = p.zone
            zone_wide, zone_high = (x1 - x0) * box.width, (y1 - y0) * box.height
            assert max(problem.hero_aspect / zone_wide, 1 / zone_high) >= p.hero_down_to - 1e-9
            assert box.left + x0 * box.width <= -problem.hero_aspect / 2 + 1e-9
            assert box.left + x1 * box.width >= problem.hero_aspect / 2 - 1e-9
            assert box.top + y0 * box.height <= -0.5 + 1e-9
            assert box.top + y1 * box.height >= 0.5 - 1e-9
            assert box.left >= frame.left + m * frame.width - 1e-9
            assert box.right <= frame.right - m * frame.width + 1e-9
            assert box.top >= frame.top + m * frame.height - 1e-9
            assert box.bottom <= frame.bottom - m * frame.height + 1e-9
            assert box.width / box.height == pytest.approx(p.aspect)
            assert crop.spare == pytest.approx(capture.framing.density / density_needed(box, p.need))
        assert problem.enlargement * capture.spare >= 1 - 2e-9


@pytest.mark.parametrize("seed", CASES)
def test_agreeing_never_hurts_and_rescues_nothing_that_fails_alone(seed):
    rng = random.Random(seed)
    problem = drawn(rng, rng.randint(2, 8))
    plans = [plan(problem), *(plan(tolerant(problem, share)) for share in (1, 0.9, 0.7))]
    assert len({tuple(one.placement.id for one in found.not_served) for found in plans}) == 1
    for found, looser in itertools.pairwise(plans):
        assert len(looser.captures) <= len(found.captures)
        if found.captures and len(looser.captures) == len(found.captures):
            assert looser.worst_spare >= found.worst_spare * (1 - 1e-8)


def test_it_is_hereditary_and_alone_it_changes_nothing():
    for seed in CASES:
        problem = a_case(seed)
        sets = Positions(windows(problem, problem.placements), usable_sides(problem))
        for mask in range(1, 1 << sets.n):
            for i in range(sets.n):
                assert sets.spare(mask | 1 << i) <= sets.spare(mask) * (1 + 1e-12)
        for i, p in enumerate(problem.placements):
            assert sets.spare(1 << i) == pytest.approx(spare_alone(problem, p))


def test_one_may_agree_and_others_not():
    """The one that did not agree keeps its window to the last digit."""
    problem = drawn(random.Random(8), 6, between=(1.3, 2.2), copies=0, margins=(0.03,))
    first = replace(problem.placements[0], hero_down_to=0.8)
    mixed = replace(problem, placements=(first, *problem.placements[1:]))
    plain = {crop.placement.id: crop.box for capture in plan(problem).captures for crop in capture.crops}
    for capture in plan(mixed).captures:
        for crop in capture.crops:
            if crop.placement.id != first.id:
                assert crop.box == plain[crop.placement.id]
