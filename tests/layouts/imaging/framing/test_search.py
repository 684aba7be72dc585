"""Protects the plan's exactness: against every partition and a general solver, and that these see planted faults."""

import random

import pytest
from hypothesis import given, settings

from layouts.imaging.framing import search
from layouts.imaging.framing.cover import Effort, cover
from layouts.imaging.framing.plan import plan, usable_sides
from layouts.imaging.framing.positions import Positions
from layouts.imaging.framing.subsets import Subsets
from layouts.imaging.framing.windows import windows
from tests.layouts.imaging.framing.cases import drawn, problems, undominated
from tests.layouts.imaging.framing.reference import (
    Scene,
    best_partition,
    fitting,
    milp_aims,
    nine,
    smallest_cover,
    subsets,
)


def rounded(found):
    return [nine(spare) for spare in found.spares]


def check_against_every_partition(problem):
    found = plan(problem)
    spares, missing = best_partition(problem)
    assert rounded(found) == pytest.approx(spares, rel=2e-9)
    assert [one.placement.id for one in found.not_served] == missing
    assert found.settled == len(found.captures)


def members(mask):
    return [i for i in range(mask.bit_length()) if mask >> i & 1]


@settings(max_examples=120, deadline=None)
@given(problems(high=6))
def test_no_partition_is_better_in_any_of_the_three_aims(problem):
    check_against_every_partition(problem)


@settings(max_examples=12, deadline=None)
@given(problems(low=7, high=7))
def test_no_partition_of_seven_is_better(problem):
    check_against_every_partition(problem)


@pytest.mark.parametrize("seed", range(12))
def test_a_general_solver_over_every_set_that_fits_agrees(seed):
    rng = random.Random(seed)
    problem = drawn(rng, rng.randint(8, 12), between=rng.choice([(1.02, 1.4), (1.05, 2.5)]))
    scene = Scene(problem)
    count, worst = milp_aims(problem, lambda limit: fitting(scene, scene.served(), limit))
    found = plan(problem)
    assert len(found.captures) == count
    assert found.worst_spare == pytest.approx(worst, rel=1e-8)


@pytest.mark.parametrize(("seed", "count"), [(1, 18), (2, 24), (3, 30), (4, 40)])
def test_a_general_solver_over_maximal_sets_agrees(seed, count):
    problem = drawn(random.Random(seed), count, between=(1.05, 3), copies=0, margins=(0.03,))
    every = Positions(windows(problem, problem.placements), usable_sides(problem))
    at = {}

    def sets_at(limit):
        if limit not in at:
            at[limit] = [members(mask) for mask in every.maximal(limit)]
        return at[limit]

    fewest, worst = milp_aims(problem, sets_at)
    found = plan(problem, leximin_effort=0)
    assert len(found.captures) == fewest
    assert found.worst_spare == pytest.approx(worst, rel=1e-8)


@settings(max_examples=60, deadline=None)
@given(problems(low=2, high=11))
def test_tables_of_subsets_and_sliding_frames_find_the_same_maximal_sets(problem):
    every = windows(problem, problem.placements)
    table, sliding = Subsets(every, usable_sides(problem)), Positions(every, usable_sides(problem))
    limits = [0.37, 1 - 1e-9, 1.31] + [table.spare(m) * (1 - 1e-9) for m in (1, 2, 3, (1 << table.n) - 1)]
    for limit in limits:
        assert sorted(table.maximal(limit)) == sorted(sliding.maximal(limit))
    for mask in range(1, 1 << table.n, 7):
        assert table.spare(mask) == pytest.approx(sliding.spare(mask), rel=1e-14)


def test_one_hundred_and_twenty_that_differ_are_settled():
    """The first 120 undominated of these once ended in the sentence: the sets were not thinned out beforehand."""
    problem = undominated(3, 120, (1.05, 3))
    found = plan(problem, leximin_effort=0)
    every = Positions(windows(problem, problem.placements), usable_sides(problem))

    def fewest(limit):
        return smallest_cover(range(120), [members(mask) for mask in every.maximal(limit)])

    assert len(found.captures) == fewest(1 - 1e-9) == fewest(found.worst_spare * (1 - 1e-9)) == 26
    assert fewest(found.worst_spare * (1 + 1e-8)) > 26


@pytest.mark.parametrize("seed", range(40))
def test_thinned_sets_and_ranks_lose_no_cover(seed):
    """Covers with ranks, against every choice of sets."""
    rng = random.Random(seed)
    n, k = rng.randint(3, 7), rng.randint(1, 4)
    sets = sorted({rng.randrange(1, 1 << n) for _ in range(rng.randint(3, 9))})
    ranks = [rng.randint(1, k) for _ in sets]

    def holds(chosen):
        union = 0
        for i in chosen:
            union |= sets[i]
        kept = all(sum(ranks[i] <= rank for i in chosen) <= rank for rank in range(1, k))
        return union == (1 << n) - 1 and kept

    there = any(holds(some) for some in subsets(range(len(sets))) if len(some) <= k)
    found = cover((1 << n) - 1, sets, ranks, k, Effort(10_000))
    assert (found is not None) == there
    assert found is None or (holds(found) and len(found) <= k)


def blind_to_one_way_up(monkeypatch):
    known = Subsets.__init__
    monkeypatch.setattr(
        Subsets, "__init__", lambda self, every, sides: known(self, every, (sides[0], sides[0] * 0.999))
    )


def no_captures_larger_than_three(monkeypatch):
    known = Subsets.maximal
    monkeypatch.setattr(Subsets, "maximal", lambda self, t: [
        m for m in known(self, t) if m.bit_count() <= 3] + [1 << i for i in range(self.n)])  # fmt: skip


def first_cover_is_fewest(monkeypatch):
    monkeypatch.setattr(search.Search, "_fewest", search.Search._greedy)


def worst_spare_is_left_as_found(monkeypatch):
    monkeypatch.setattr(search.Search, "_lift", lambda *asked: asked[3])


@pytest.mark.parametrize(
    "fault", [blind_to_one_way_up, no_captures_larger_than_three, first_cover_is_fewest, worst_spare_is_left_as_found]
)
def test_a_planted_fault_is_seen(monkeypatch, fault):
    fault(monkeypatch)
    rng = random.Random(17)
    seen = 0
    for _ in range(60):
        try:
            check_against_every_partition(drawn(rng, rng.randint(4, 6), between=(0.95, 3.2)))
        except (AssertionError, RuntimeError):
            seen += 1
    assert seen >= 1, "the comparison must be able to see this fault"
