"""A second way to the same answers, written from the definitions alone and sharing no code with the planner.

`best_partition` tries every set partition (n <= 7 or so); `milp_aims` solves a set cover by scipy's mixed-integer
solver over every subset that fits (n <= 12 or so) or, given maximal sets, over those; `lp_spare_reached` is the linear
programme of a capture whose windows may grow and slide.
"""

import itertools

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linprog, milp


def nine(value):
    return float(f"{value:.8e}")


class Scene:
    """Windows, densities and spares of a problem, from the definitions."""

    def __init__(self, problem):
        self.long, self.short = max(problem.camera), min(problem.camera)
        self.u, self.enlargement = 1 - 2 * problem.margin, problem.enlargement
        self.boxes, self.dense = [], []
        for p in problem.placements:
            box = self.window(p, problem.hero_aspect)
            self.boxes.append(box)
            self.dense.append(max(p.need[0] / (box[2] - box[0]), p.need[1] / (box[3] - box[1])))

    @staticmethod
    def window(p, hero):
        (x0, y0, x1, y1), (ax, ay) = p.zone, p.anchor
        h = max(hero / ((x1 - x0) * p.aspect), 1 / (y1 - y0))
        w = p.aspect * h
        left = -hero / 2 - ax * ((x1 - x0) * w - hero) - x0 * w
        top = -0.5 - ay * ((y1 - y0) * h - 1) - y0 * h
        return left, top, left + w, top + h

    def spare(self, members):
        some = [self.boxes[i] for i in members]
        wide = max(b[2] for b in some) - min(b[0] for b in some)
        high = max(b[3] for b in some) - min(b[1] for b in some)
        r = self.u * max(min(self.long / wide, self.short / high), min(self.short / wide, self.long / high))
        return r / max(self.dense[i] for i in members)

    def fits(self, members):
        return self.enlargement * self.spare(members) >= 1 - 1e-9

    def served(self):
        return [i for i in range(len(self.boxes)) if self.fits([i])]


def partitions(items):
    """Every way to part the items."""
    if not items:
        yield []
        return
    first, rest = items[0], items[1:]
    for smaller in partitions(rest):
        yield [[first], *smaller]
        for at in range(len(smaller)):
            yield [*smaller[:at], [first, *smaller[at]], *smaller[at + 1 :]]


def best_partition(problem):
    """Spares of the best partition, ascending, and what is not served."""
    scene = Scene(problem)
    served = scene.served()
    best = None
    spares = {}
    for parts in partitions(served):
        key = [tuple(sorted(part)) for part in parts]
        for part in key:
            if part not in spares:
                spares[part] = scene.spare(part)
        if all(scene.enlargement * spares[part] >= 1 - 1e-9 for part in key):
            score = (-len(key), sorted(nine(spares[part]) for part in key))
            best = max(best, score) if best else score
    return (best[1] if best else []), [i for i in range(len(scene.boxes)) if i not in served]


def fitting(scene, served, limit):
    """Every subset of spare >= limit, grown one by one: subsets of what fits fit."""
    level, every = [(i,) for i in served if scene.spare([i]) >= limit], []
    while level:
        every += level
        level = [(*s, i) for s in level for i in served if i > s[-1] and scene.spare([*s, i]) >= limit]
    return every


def smallest_cover(served, sets):
    """How many of the sets hold all, by scipy's milp; None if they cannot."""
    holds = np.array([[i in s for s in map(set, sets)] for i in served], dtype=float)
    if not len(sets) or not holds.any(axis=1).all():
        return None
    answer = milp(
        np.ones(len(sets)), integrality=np.ones(len(sets)), bounds=Bounds(0, 1),
        constraints=LinearConstraint(holds, lb=1),
    )  # fmt: skip
    assert answer.status == 0
    return round(answer.fun)


def milp_aims(problem, sets_at):
    """Fewest captures and the greatest worst spare by milp; `sets_at(limit)` gives the sets of spare >= limit."""
    scene = Scene(problem)
    served = scene.served()
    if not served:
        return 0, None
    limit = (1 - 1e-9) / scene.enlargement
    count = smallest_cover(served, sets_at(limit))
    low, high = limit, min(scene.spare([i]) for i in served)
    if smallest_cover(served, sets_at(high * (1 - 1e-12))) == count:
        return count, high
    while high / low > 1 + 1e-11:
        middle = (low * high) ** 0.5
        reached = smallest_cover(served, sets_at(middle))
        low, high = (middle, high) if reached is not None and reached <= count else (low, middle)
    return count, low


def lp_spare_reached(problem, members, t, landscape, hero_down_to):
    """Whether one capture can hold windows with spare t, the hero at `hero_down_to` to 1 of each zone, by linprog.

    Unknown: k = 1 / r in units of the camera's longer side, so that all are near 1; the frame's left and top, and for
    each member its height and its left and top.
    """
    a_hero, u = problem.hero_aspect, 1 - 2 * problem.margin
    long = max(problem.camera)
    sides = [side / long for side in sorted(problem.camera)]
    wide, high = reversed(sides) if landscape else sides
    n = len(members)
    rows, most = [], []

    def add(limit, **terms):
        row = np.zeros(3 + 3 * n)
        for name, value in terms.items():
            kind, _, at = name.partition("_")
            row[{"k": 0, "x": 1, "y": 2, "h": 3, "left": 4, "top": 5}[kind] + (3 * int(at) if at else 0)] += value
        rows.append(row)
        most.append(limit)

    for i, p in enumerate(members):
        x0, y0, x1, y1 = p.zone
        a, least = p.aspect, max(a_hero / ((x1 - x0) * p.aspect), 1 / (y1 - y0))
        n_px = max(p.need[1], p.need[0] / a) / long
        add(-least, **{f"h_{i}": -1})
        add(least / hero_down_to, **{f"h_{i}": 1})
        add(0, k=t * n_px, **{f"h_{i}": -1})  # h / k >= t n
        add(-a_hero / 2, **{f"left_{i}": 1, f"h_{i}": x0 * a})  # the hero's left lies in the zone
        add(-a_hero / 2, **{f"left_{i}": -1, f"h_{i}": -x1 * a})
        add(-0.5, **{f"top_{i}": 1, f"h_{i}": y0})
        add(-0.5, **{f"top_{i}": -1, f"h_{i}": -y1})
        add(0, x=1, **{f"left_{i}": -1})
        add(0, y=1, **{f"top_{i}": -1})
        add(0, x=-1, k=-u * wide, **{f"left_{i}": 1, f"h_{i}": a})
        add(0, y=-1, k=-u * high, **{f"top_{i}": 1, f"h_{i}": 1})
    bounds = [(0, None), (None, None), (None, None)] + [(0, None), (None, None), (None, None)] * n
    answer = linprog(np.zeros(3 + 3 * n), A_ub=np.array(rows), b_ub=np.array(most), bounds=bounds)
    assert answer.status in (0, 2), answer.message
    return answer.status == 0


def subsets(items):
    for size in range(1, len(items) + 1):
        yield from itertools.combinations(items, size)
