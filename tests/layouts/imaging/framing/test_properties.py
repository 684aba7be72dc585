"""Protects fifteen properties that any exact plan has, whatever the placements; numbered as in its definition."""

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layouts.imaging.framing.geometry import hull, window_of
from layouts.imaging.framing.plan import plan
from layouts.imaging.framing.problem import Problem
from tests.layouts.imaging.framing.cases import drawn, problems
from tests.layouts.imaging.framing.reference import Scene

some = settings(max_examples=45, deadline=None)
SAME = 1e-8


def facts(found):
    """What equal plans share; which placement rides where may differ."""
    return len(found.captures), sorted(str(one.placement.id) for one in found.not_served), found.spares


def same(one, other, spare_times=1.0):
    (count, missing, spares), (count_, missing_, spares_) = facts(one), facts(other)
    assert (count, missing) == (count_, missing_)
    assert spares == pytest.approx([spare * spare_times for spare in spares_], rel=SAME)


def rank(found):
    """What is not served first, then the captures, then the worst spare: greater is better."""
    return -len(found.not_served), -len(found.captures), found.worst_spare or 0


def no_worse(one, other):
    assert rank(one)[:2] >= rank(other)[:2]
    if rank(one)[:2] == rank(other)[:2]:
        assert rank(one)[2] >= rank(other)[2] * (1 - SAME)


def each(problem, change):
    return replace(problem, placements=tuple(change(p) for p in problem.placements))


@some
@given(problems(low=2), st.randoms(use_true_random=False))
def test_1_the_order_of_the_input_is_of_no_account(problem, rng):
    shuffled = list(problem.placements)
    rng.shuffle(shuffled)
    same(plan(replace(problem, placements=tuple(shuffled))), plan(problem))


@some
@given(problems(low=2))
def test_2_another_placement_never_needs_fewer_captures(problem):
    fewer, all_ = plan(replace(problem, placements=problem.placements[:-1])), plan(problem)
    assert len(all_.captures) >= len(fewer.captures)
    if len(all_.captures) == len(fewer.captures) > 0:
        assert all_.worst_spare <= fewer.worst_spare * (1 + SAME)


@some
@given(problems(enlargements=(1, 1.25, 2)), st.floats(0.5, 2))
def test_3_needs_and_enlargement_go_together(problem, c):
    if not 1 <= problem.enlargement * c <= 4:
        c = 1.5
    more = each(problem, lambda p: replace(p, need=(p.need[0] * c, p.need[1] * c)))
    same(plan(replace(more, enlargement=problem.enlargement * c)), plan(problem), 1 / c)


@some
@given(problems(), st.floats(0.5, 2))
def test_4_camera_and_needs_go_together(problem, c):
    more = each(problem, lambda p: replace(p, need=(p.need[0] * c, p.need[1] * c)))
    same(plan(replace(more, camera=(problem.camera[0] * c, problem.camera[1] * c))), plan(problem))


@some
@given(problems())
def test_5_mirrored_it_is_the_same(problem):
    def mirror(p):
        x0, y0, x1, y1 = p.zone
        return replace(p, zone=(1 - x1, y0, 1 - x0, y1), anchor=(1 - p.anchor[0], p.anchor[1]))

    same(plan(each(problem, mirror)), plan(problem))


@some
@given(problems())
def test_6_transposed_it_is_the_same(problem):
    def transpose(p):
        x0, y0, x1, y1 = p.zone
        return replace(p, aspect=1 / p.aspect, zone=(y0, x0, y1, x1), need=p.need[::-1], anchor=p.anchor[::-1])

    same(plan(replace(each(problem, transpose), hero_aspect=1 / problem.hero_aspect)), plan(problem))


@some
@given(problems())
def test_7_a_camera_given_turned_is_the_same(problem):
    same(plan(replace(problem, camera=problem.camera[::-1])), plan(problem))


@some
@given(problems(high=6), st.integers(0, 5))
def test_8_copies_and_what_rides_with_another_change_nothing(problem, at):
    p = problem.placements[at % len(problem.placements)]
    before = plan(problem)
    missing = [one.placement.id for one in before.not_served]
    copy, less = replace(p, id="copy"), replace(p, id="less", need=(p.need[0] * 0.9, p.need[1] * 0.9))
    more = (copy,) if p.id in missing else (copy, less)
    after = plan(replace(problem, placements=(*problem.placements, *more)))
    assert after.spares == pytest.approx(before.spares, rel=SAME)
    assert [one.placement.id for one in after.not_served] == missing + (["copy"] if p.id in missing else [])


@some
@given(problems(), st.sampled_from(["margin", "enlargement", "camera"]))
def test_9_margin_never_helps_enlargement_and_pixels_never_hurt(problem, lever):
    if lever == "margin":
        no_worse(plan(problem), plan(replace(problem, margin=min(0.25, problem.margin + 0.04))))
    elif lever == "enlargement":
        no_worse(plan(replace(problem, enlargement=problem.enlargement * 1.3)), plan(problem))
    else:
        no_worse(plan(replace(problem, camera=(problem.camera[0] * 1.2, problem.camera[1] * 1.1))), plan(problem))


@some
@given(problems(high=1))
def test_10_alone_neither_zone_nor_hero_enters(problem):
    found = plan(problem)
    nw, nh = problem.placements[0].need
    long, short = max(problem.camera), min(problem.camera)
    u = 1 - 2 * problem.margin
    formula = u * max(min(long / nw, short / nh), min(short / nw, long / nh))
    assert (found.worst_spare or found.not_served[0].spare_alone) == pytest.approx(formula, rel=1e-12)


@some
@given(problems())
def test_11_the_hero_lies_in_every_zone_and_touches_a_pair_of_its_sides(problem):
    for p in problem.placements:
        box = window_of(p, problem.hero_aspect)
        x0, y0, x1, y1 = p.zone
        hero_x, hero_y = problem.hero_aspect / 2, 0.5
        left, right = -hero_x - (box.left + x0 * box.width), box.left + x1 * box.width - hero_x
        above, below = -hero_y - (box.top + y0 * box.height), box.top + y1 * box.height - hero_y
        assert min(left, right, above, below) >= -1e-9
        assert max(left, right) == pytest.approx(0, abs=1e-9) or max(above, below) == pytest.approx(0, abs=1e-9)
        for free, anchor in (((left, right), p.anchor[0]), ((above, below), p.anchor[1])):
            assert free[0] == pytest.approx(anchor * sum(free), abs=1e-9)


@some
@given(problems())
def test_12_crops_lie_within_the_margin_and_have_shape_and_pixels(problem):
    for capture in plan(problem).captures:
        framing, m = capture.framing, problem.margin
        held = hull(crop.box for crop in capture.crops)
        usable = (1 - 2 * m) * framing.box.width, (1 - 2 * m) * framing.box.height
        assert min(usable[0] - held.width, usable[1] - held.height) == pytest.approx(0, abs=1e-9)
        assert sorted((framing.width, framing.height)) == sorted(problem.camera)
        for crop in capture.crops:
            slack = 1e-6 * framing.width
            assert crop.x >= m * framing.width - slack
            assert crop.x + crop.width <= (1 - m) * framing.width + slack
            assert crop.y >= m * framing.height - slack
            assert crop.y + crop.height <= (1 - m) * framing.height + slack
            assert crop.width / crop.height == pytest.approx(crop.placement.aspect)
            need = crop.placement.need
            assert min(crop.width / need[0], crop.height / need[1]) == pytest.approx(crop.spare)
            x, y, wide, high = crop.pixels
            assert 0 <= x <= framing.width - wide
            assert 0 <= y <= framing.height - high
            assert (abs(crop.x - x) <= 0.5 and abs(crop.width - wide) <= 1) or x == framing.width - wide


@some
@given(problems(high=4))
def test_13_one_capture_exactly_when_all_fit_together(problem):
    found, scene = plan(problem), Scene(problem)
    served = scene.served()
    assert (len(found.captures) == 1) == (bool(served) and scene.fits(served))


@some
@given(problems())
def test_14_the_first_spare_is_the_worst_and_holds_on_every_crop(problem):
    found, scene = plan(problem), Scene(problem)
    assert found.spares == sorted(found.spares)
    assert found.worst_spare == (found.spares[0] if found.spares else None)
    if found.spares:
        assert plan(problem, leximin_effort=0).worst_spare == pytest.approx(found.worst_spare, rel=SAME)
    for capture in found.captures:
        at = [problem.placements.index(crop.placement) for crop in capture.crops]
        assert capture.spare == pytest.approx(scene.spare(at), rel=1e-12)
        assert problem.enlargement * capture.spare >= 1 - 1e-9


@some
@given(problems())
def test_15_the_captures_part_the_served(problem):
    found = plan(problem)
    ids = [crop.placement.id for capture in found.captures for crop in capture.crops]
    ids += [one.placement.id for one in found.not_served]
    assert sorted(ids) == sorted(p.id for p in problem.placements)
    assert len(set(ids)) == len(ids)


def test_no_placements_need_no_capture():
    found = plan(Problem((6000, 4000), 1.0, ()))
    assert (found.captures, found.worst_spare, found.not_served) == ((), None, ())


def test_many_that_ride_with_others_are_no_matter():
    """Two hundred copies: one capture. Five languages of twelve formats: as one language."""
    problem = drawn(random.Random(3), 12, copies=0, margins=(0.03,))
    p = problem.placements[0]
    one = replace(problem, placements=tuple(replace(p, id=i, need=(900, 900 / p.aspect)) for i in range(200)))
    assert [len(capture.crops) for capture in plan(one).captures] == [200]
    many = tuple(replace(p, id=f"{p.id} {tongue}") for tongue in range(5) for p in problem.placements)
    assert plan(replace(problem, placements=many)).spares == pytest.approx(plan(problem).spares, rel=SAME)
