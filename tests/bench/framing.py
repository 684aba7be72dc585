"""The capture plan's time and its agreement with general solvers: `python -m tests.bench.framing [draws [cases]]`.

Prints tables and asserts nothing about time. Process time of this machine; random placements, two bands of tightness.
"""

import random
import statistics
import sys
import time
from dataclasses import replace

from layouts.imaging.framing.levers import levers
from layouts.imaging.framing.plan import plan, usable_sides
from layouts.imaging.framing.positions import Positions
from layouts.imaging.framing.problem import TooLarge
from layouts.imaging.framing.windows import dominators, windows
from tests.layouts.imaging.framing.cases import drawn, undominated
from tests.layouts.imaging.framing.reference import (
    Scene,
    best_partition,
    fitting,
    lp_spare_reached,
    milp_aims,
    nine,
)
from tests.layouts.imaging.framing.test_floating import tolerant

SIZES = (16, 20, 24, 30, 40, 60, 120)
BANDS = ((1.02, 1.4), (1.05, 3))
# None of these rides with another: the size that the sentence on what is too many speaks of.
APART = ((30, 30), (40, 30), (60, 16), (80, 10), (120, 8))


def a_problem(seed, count, between):
    return drawn(random.Random(seed), count, between=between, copies=0, margins=(0.03,))


def clocked(work):
    start = time.process_time()
    try:
        answer = work()
    except TooLarge:
        answer = None
    return time.process_time() - start, answer


def times(draws):
    print("placements  needs at 1/      left  captures   fewest and worst      all three aims       (s, median / max)")
    for count in SIZES:
        for band in BANDS:
            two, three, left, captures, past = [], [], [], [], 0
            for seed in range(draws):
                problem = a_problem(seed, count, band)
                left.append(len(set(dominators(windows(problem, problem.placements)))))
                spent, found = clocked(lambda problem=problem: plan(problem, leximin_effort=0))
                two.append(spent)
                past += found is None
                captures.append(len(found.captures) if found else 0)
                spent, found = clocked(lambda problem=problem: plan(problem))
                if found and found.settled == len(found.captures):
                    three.append(spent)
            lexi = f"{statistics.median(three):6.3f} / {max(three):6.3f} ({len(three)})" if three else "past its size"
            print(
                f"{count:10}  {band[0]:g} to {band[1]:<8g} {min(left):3}-{max(left):<3} {min(captures):3}-"
                f"{max(captures):<3}    {statistics.median(two):6.3f} / {max(two):6.3f}      {lexi}"
                + (f"   past what can be done: {past}" if past else ""),
                flush=True,
            )


def times_apart():
    print("undominated  needs at 1/    draws   fewest and worst, s: median / p95 / max   past what can be done")
    for count, draws in APART:
        for band in (*BANDS, (1.5, 4)):
            spent, past = [], 0
            for seed in range(100, 100 + draws):
                problem = undominated(seed, count, band)
                took, found = clocked(lambda problem=problem: plan(problem, leximin_effort=0))
                spent.append(took)
                past += found is None
            spent.sort()
            p95 = spent[min(draws - 1, int(0.95 * draws))]
            print(
                f"{count:11}  {band[0]:g} to {band[1]:<8g} {draws:5}   {statistics.median(spent):.3f} / {p95:.3f} / "
                f"{spent[-1]:.3f}   {past}",
                flush=True,
            )


def campaign():
    """Five languages of twelve formats, and all levers of it."""
    base = a_problem(5, 12, (1.05, 3))
    many = tuple(replace(p, id=f"{p.id} {tongue}") for tongue in range(5) for p in base.placements)
    problem = replace(base, placements=many)
    print(f"60 placements, five languages of twelve: {clocked(lambda: plan(problem))[0]:.4f} s")
    spent, answers = clocked(lambda: levers(problem, cameras={"other": (11648, 8736)}, hero_aspects=(1, 2)))
    print(f"its {len(answers)} levers: {spent:.3f} s")
    print(f"all 60 with the hero down to 0.9: {clocked(lambda: plan(tolerant(problem, 0.9)))[0]:.3f} s")


def agreement(cases):
    rng = random.Random(1)
    wrong = {"every partition": 0, "milp": 0, "linear programme": 0}
    asked = dict.fromkeys(wrong, 0)
    for at in range(cases):
        problem = drawn(rng, rng.randint(1, 6 + (at % 20 == 0)), enlargements=(1, 1.25, 2))
        found, (spares, missing) = plan(problem), best_partition(problem)
        asked["every partition"] += 1
        same = [one.placement.id for one in found.not_served] == missing
        wrong["every partition"] += not same or [nine(s) for s in found.spares] != spares
    for _ in range(cases // 20):
        problem = drawn(rng, rng.randint(7, 12), between=rng.choice(BANDS))
        scene, found = Scene(problem), plan(problem)
        sets = fitting(scene, scene.served(), (1 - 1e-9) / problem.enlargement)
        spare = {s: scene.spare(s) for s in sets}
        count, worst = milp_aims(problem, lambda t, spare=spare: [s for s, its in spare.items() if its >= t])
        asked["milp"] += 1
        wrong["milp"] += len(found.captures) != count or abs(found.worst_spare / worst - 1) > 1e-8
    for _ in range(cases // 5):
        problem = drawn(rng, rng.randint(2, 6), between=(1.02, 2.2), copies=0)
        share = rng.choice([1, 0.9, 0.75])
        members = tolerant(problem, share).placements
        spare = Positions(windows(problem, members), usable_sides(problem)).spare((1 << len(members)) - 1)
        for t, want in ((spare * (1 - 1e-6), True), (spare * (1 + 1e-6), False)):
            asked["linear programme"] += 1
            ways = [lp_spare_reached(problem, members, t, way, share) for way in (True, False)]
            wrong["linear programme"] += any(ways) is not want
    for name, count in asked.items():
        print(f"against {name}: {wrong[name]} of {count} differ")


if __name__ == "__main__":
    given = [int(text) for text in sys.argv[1:]]
    draws, cases = [*given, *(12, 2000)[len(given) :]]
    campaign()
    times(draws)
    times_apart()
    agreement(cases)
