"""Protects the levers (each answer is the plan that it claims), and odd input that is still legal."""

import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layouts.imaging.framing.lens import distance_for, focal_for, turns
from layouts.imaging.framing.levers import levers, next_ppi
from layouts.imaging.framing.plan import plan
from layouts.imaging.framing.problem import Placement, Problem, TooLarge, Unplannable
from layouts.imaging.framing.reading import read_problem
from layouts.imaging.framing.report import as_data, in_words
from layouts.imaging.framing.resolution import ppi_for_the_eye
from layouts.imaging.framing.stitch import Tiles, tiles
from tests.layouts.imaging.framing.cases import problems

MM = {"mm": (1200.0, 1800.0), "artwork_scale": 2.0}
SHELTER = Placement("shelter", 2 / 3, (0.12, 0.42, 0.88, 0.86), (3543, 5315), **MM)
PROBLEM = Problem(
    (6000, 4000), 1.4, (SHELTER, Placement("screen", 16 / 9, (0.5, 0.22, 0.94, 0.9), (1920, 1080))), enlargement=1.5
)


def test_each_change_is_answered_by_the_plan_that_it_gives():
    extra = Placement("banner", 4, (0.6, 0.16, 0.92, 0.92), (4000, 1000))
    found = levers(PROBLEM, cameras={"other": (11648, 8736)}, hero_aspects=(1, 1.4), added=(extra,))
    changed = {
        ("as it is", 1.5): PROBLEM,
        ("camera", "other"): replace(PROBLEM, camera=(11648, 8736)),
        ("enlargement", 1.25): replace(PROBLEM, enlargement=1.25),
        ("enlargement", 2.0): replace(PROBLEM, enlargement=2.0),
        ("margin", 0.0): replace(PROBLEM, margin=0.0),
        ("margin", 0.02): replace(PROBLEM, margin=0.02),
        ("margin", 0.05): replace(PROBLEM, margin=0.05),
        ("hero aspect", 1): replace(PROBLEM, hero_aspect=1),
        ("without", "shelter"): replace(PROBLEM, placements=PROBLEM.placements[1:]),
        ("without", "screen"): replace(PROBLEM, placements=PROBLEM.placements[:1]),
        ("with", "banner"): replace(PROBLEM, placements=(*PROBLEM.placements, extra)),
        ("hero down to", 0.9): replace(
            PROBLEM, placements=tuple(replace(p, hero_down_to=0.9) for p in PROBLEM.placements)
        ),
    }
    answers = {(lever.kind, lever.value): lever for lever in found}
    assert set(answers) == {*changed, ("artwork ppi", "150 to 100")}
    for key, problem in changed.items():
        expected = plan(problem)
        assert answers[key].captures == len(expected.captures), key
        assert answers[key].worst_spare == pytest.approx(expected.worst_spare), key
        assert answers[key].not_served == tuple(one.placement.id for one in expected.not_served), key
    assert answers["as it is", 1.5].better is None
    assert answers["without", "screen"].better is None, "it serves something else"


@settings(max_examples=25, deadline=None)
@given(problems(high=6, enlargements=(1,)))
def test_more_enlargement_and_less_margin_are_never_called_worse(problem):
    for lever in levers(problem, margins=(0.0,)):
        if lever.kind in ("enlargement", "margin", "hero down to"):
            assert lever.better >= 0


def test_the_next_lower_ppi_is_known_only_where_the_artwork_is():
    assert next_ppi(SHELTER) == (150, 100), "3543 px are 149.99 ppi, and no lower for that"
    assert next_ppi(PROBLEM.placements[1]) is None
    assert next_ppi(replace(SHELTER, need=(800, 1200))) is None, "already the lowest"
    assert [lever for lever in levers(replace(PROBLEM, placements=())) if lever.kind == "artwork ppi"] == []


def test_what_is_too_large_says_so_by_none(monkeypatch):
    def refuse(*_, **__):
        raise TooLarge("too large")

    monkeypatch.setattr("layouts.imaging.framing.levers.plan", refuse)
    assert {(lever.captures, lever.better) for lever in levers(PROBLEM)} == {(None, None)}


def between(low, high):
    return st.floats(low, high) | st.sampled_from([low, high])


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_anything_legal_gets_a_plan_that_prints(data):
    """At and between the limits of every value: an answer in finite numbers, or a sentence."""
    rows = []
    for name in range(data.draw(st.integers(0, 5))):
        x0, y0 = data.draw(between(0, 0.98)), data.draw(between(0, 0.98))
        rows.append({
            "id": name,
            "aspect": data.draw(between(0.02, 50)),
            "zone": [x0, y0, data.draw(between(min(1, x0 + 0.011), 1)), data.draw(between(min(1, y0 + 0.011), 1))],
            "need": [data.draw(between(1, 1e6)), data.draw(between(1, 1e6))],
            "anchor": [data.draw(between(0, 1)), data.draw(between(0, 1))],
            "hero_down_to": data.draw(st.none() | between(0.5, 1)),
        })  # fmt: skip
    problem, cautions = read_problem({
        "camera": {"width": data.draw(between(16, 1e6)), "height": data.draw(between(16, 1e6))},
        "hero_aspect": data.draw(between(0.02, 50)),
        "margin": data.draw(between(0, 0.25)),
        "enlargement": data.draw(between(1, 4)),
        "placements": rows,
    })  # fmt: skip
    found = as_data(plan(problem), cautions)
    assert json.loads(json.dumps(found, allow_nan=False)) == found
    assert in_words(found)
    served = [crop["id"] for capture in found["captures"] for crop in capture["crops"]]
    assert sorted(served + [one["id"] for one in found["not_served"]]) == list(range(len(rows)))


def test_numbers_without_meaning_are_refused_by_each_formula():
    framing = plan(PROBLEM).captures[0].framing
    for wrong in (lambda: focal_for(framing, (36, 24), 0, 1000), lambda: focal_for(framing, (36, 24), 80, -1),
                  lambda: distance_for(framing, (0, 24), 80, 50), lambda: distance_for(framing, (36, 24), 80, 0),
                  lambda: turns(Tiles(2, 1, True, 0.3), (6000, 4000), (36, 24), 0), lambda: ppi_for_the_eye(0),
                  lambda: tiles(PROBLEM, framing.box, (1, 1), 1.0)):  # fmt: skip
        with pytest.raises(ValueError, match=r"more than 0|under 1"):
            wrong()
    with pytest.raises(Unplannable, match="margin"):
        replace(PROBLEM, margin=float("nan"))
