"""What would change the plan: each change by itself, and what it would give, so that a photographer can choose.

More enlargement, a lower artwork ppi, another camera, margin or hero aspect, a format dropped or added, and the hero
down to 90 % of its zone where the designer agrees.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from layouts.imaging.framing.plan import plan
from layouts.imaging.framing.problem import NEED, Pair, Placement, Problem, TooLarge

ENLARGEMENTS = (1.25, 1.5, 2.0)
MARGINS = (0.0, 0.02, 0.03, 0.05)
# Ppi that printers ask of artwork, from high to low (common practice, no source).
ARTWORK_PPI = (300.0, 200.0, 150.0, 100.0, 72.0)
HERO_DOWN_TO = 0.9


@dataclass(frozen=True, slots=True)
class Lever:
    """One change, and the plan that it would give.

    kind         "as it is", "camera", "enlargement", "artwork ppi", "margin", "hero aspect", "without", "with" or
                 "hero down to"
    value        what it is changed to: a camera's name, a number, a placement's id
    captures     how many; None where the problem is too large
    worst_spare  None where nothing is served
    not_served   ids of what no single capture serves
    better       1 better than now, -1 worse, 0 the same: what is not served counts first, then the captures, then the
                 worst spare; None for a format dropped or added, whose plans serve something else
    """

    kind: str
    value: str | float
    captures: int | None
    worst_spare: float | None
    not_served: tuple[str | int, ...]
    better: int | None


def levers(
    problem: Problem,
    *,
    cameras: dict[str, Pair] | None = None,
    hero_aspects: Iterable[float] = (),
    margins: Iterable[float] = MARGINS,
    added: Sequence[Placement] = (),
) -> list[Lever]:
    """The plan as it is, then each change by itself, in the order of the list above.

    `cameras` are others by name, in pixels; `added` are placements that might come. Needs only the fewest captures and
    the worst spare, so it is quick: some milliseconds a change.
    """
    now = _answer("as it is", problem.enlargement, problem, None)
    every = [*_inputs(problem, cameras or {}, hero_aspects, margins), *_placements(problem, added)]
    return [now, *(_answer(kind, value, changed, now) for kind, value, changed in every)]


def _inputs(
    problem: Problem, cameras: dict[str, Pair], hero_aspects: Iterable[float], margins: Iterable[float]
) -> Iterator[tuple[str, str | float, Problem]]:
    for name, camera in cameras.items():
        yield "camera", name, replace(problem, camera=camera)
    for more in ENLARGEMENTS:
        if more != problem.enlargement:
            yield "enlargement", more, replace(problem, enlargement=more)
    steps = dict(sorted({step for p in problem.placements if (step := next_ppi(p))}, reverse=True))
    if steps:
        says = ", ".join(f"{high:g} to {low:g}" for high, low in steps.items())
        yield "artwork ppi", says, replace(problem, placements=tuple(_one_step_down(p) for p in problem.placements))
    for margin in margins:
        if margin != problem.margin:
            yield "margin", margin, replace(problem, margin=margin)
    for aspect in hero_aspects:
        if aspect != problem.hero_aspect:
            yield "hero aspect", aspect, replace(problem, hero_aspect=aspect)


def _placements(problem: Problem, added: Sequence[Placement]) -> Iterator[tuple[str, str | float, Problem]]:
    for p in problem.placements:
        yield "without", p.id, replace(problem, placements=tuple(q for q in problem.placements if q is not p))
    for p in added:
        yield "with", p.id, replace(problem, placements=(*problem.placements, p))
    smaller = tuple(
        replace(p, hero_down_to=min(HERO_DOWN_TO, p.hero_down_to or HERO_DOWN_TO)) for p in problem.placements
    )
    if smaller != problem.placements:
        yield "hero down to", HERO_DOWN_TO, replace(problem, placements=smaller)


def artwork_ppi(p: Placement) -> float | None:
    """Ppi that the artwork needs as it is made, the tighter side; None where size or scale are not known."""
    if p.mm is None or p.artwork_scale is None:
        return None
    return max(need / (mm / p.artwork_scale / 25.4) for need, mm in zip(p.need, p.mm, strict=True))


def next_ppi(p: Placement) -> tuple[float, float] | None:
    """The artwork's ppi, rounded, and the next usual one below it; None where it is not known or already the lowest."""
    asked = artwork_ppi(p)
    # 3543 px on 600 mm is 149.99 ppi: whole pixels are no lower ppi.
    lower = [ppi for ppi in ARTWORK_PPI if asked is not None and ppi < 0.99 * asked]
    return (float(round(asked)), lower[0]) if asked is not None and lower else None


def _one_step_down(p: Placement) -> Placement:
    asked, step = artwork_ppi(p), next_ppi(p)
    if asked is None or step is None:
        return p
    share = step[1] / asked
    return replace(p, need=(max(NEED[0], p.need[0] * share), max(NEED[0], p.need[1] * share)))


def _answer(kind: str, value: str | float, problem: Problem, now: Lever | None) -> Lever:
    try:
        found = plan(problem, leximin_effort=0)
    except TooLarge:
        return Lever(kind, value, None, None, (), None)
    missing = tuple(one.placement.id for one in found.not_served)
    answer = Lever(kind, value, len(found.captures), found.worst_spare, missing, None)
    if now is None or kind in ("without", "with"):
        return answer
    return replace(answer, better=_compared(answer, now))


def _compared(one: Lever, now: Lever) -> int | None:
    if one.captures is None or now.captures is None:
        return None
    ranks = [(-len(x.not_served), -(x.captures or 0), float(f"{x.worst_spare or 0:.8e}")) for x in (one, now)]
    return (ranks[0] > ranks[1]) - (ranks[0] < ranks[1])
