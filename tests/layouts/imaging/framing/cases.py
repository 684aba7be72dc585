"""Random problems for the tests of the capture plan: as hypothesis draws them, and from a seed for benchmarks."""

import random
from dataclasses import replace

from hypothesis import strategies as st

from layouts.imaging.framing.problem import Placement, Problem
from layouts.imaging.framing.windows import dominators, windows
from tests.layouts.imaging.framing.reference import Scene

CAMERAS = [(11648, 8736), (8256, 5504), (4000, 6000)]
ANCHORS = [0, 0.5, 1]


@st.composite
def problems(draw, low=1, high=8, anchors=True, enlargements=(1, 1.25, 2)):
    """Up to `high` placements, in ten one or two that nothing serves, one in eight a copy of another."""
    seed = draw(st.integers(0, 2**32 - 1))
    count = draw(st.integers(low, high))
    return drawn(random.Random(seed), count, anchors=anchors, enlargements=enlargements)


def drawn(rng, count, *, between=(0.85, 3.2), copies=0.12, anchors=True, enlargements=(1,), margins=(0, 0.03, 0.1)):
    """A problem whose needs are what each placement gets alone, divided by a number from `between`."""
    camera, hero = rng.choice(CAMERAS), 2 ** rng.uniform(-1.2, 1.2)
    margin, enlargement = rng.choice(margins), rng.choice(enlargements)
    placements = []
    for i in range(count):
        if placements and rng.random() < copies:
            other = rng.choice(placements)
            placements.append(Placement(i, other.aspect, other.zone, other.need, other.anchor))
            continue
        aspect = 2 ** rng.uniform(-2, 2.6)
        wide, high = rng.uniform(0.15, 0.9), rng.uniform(0.15, 0.9)
        x0, y0 = rng.uniform(0, 1 - wide), rng.uniform(0, 1 - high)
        anchor = (rng.choice(ANCHORS), rng.choice(ANCHORS)) if anchors else (0.5, 0.5)
        zone = (x0, y0, min(1, x0 + wide), min(1, y0 + high))
        trial = Placement(i, aspect, zone, (1000.0 * aspect, 1000.0), anchor)
        gets = enlargement * Scene(Problem(camera, hero, (trial,), margin)).spare([0])
        less = rng.uniform(*between)
        placements.append(Placement(i, aspect, zone, (1000 * aspect * gets / less, 1000 * gets / less), anchor))
    return Problem(camera, hero, tuple(placements), margin, enlargement)


def undominated(seed, count, between):
    """Exactly so many placements, all served, none of which rides with another."""
    rng, problem = random.Random(seed), None
    while True:
        more = drawn(rng, 4 * count, between=between, copies=0, margins=(0.03,))
        problem = more if problem is None else _with(problem, more.placements)
        apart = sorted(set(dominators(windows(problem, problem.placements))))
        if len(apart) >= count:
            return replace(problem, placements=tuple(problem.placements[i] for i in apart[:count]))


def _with(problem, more):
    every = (*problem.placements, *more)
    return replace(problem, placements=tuple(replace(p, id=i) for i, p in enumerate(every)))
