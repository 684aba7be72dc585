"""The three aims in order: the fewest captures, the greatest worst spare, the greatest spares from there up (leximin).

Feasible or not is decided on exact spares. They are *compared* rounded to 9 significant digits: on exact floats a
difference in the last bit at one capture would decide the next, and mirroring the input could change the plan.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

from layouts.imaging.framing.cover import Effort, cover
from layouts.imaging.framing.problem import TooLarge

_DIGITS = 9


class Sets(Protocol):
    """Windows that captures hold; a set of them is a bit mask."""

    n: int

    def spare(self, members: int) -> float: ...

    def maximal(self, t: float) -> list[int]: ...


@dataclass(frozen=True)
class Found:
    """Sets that part the windows, in ascending order of spare, and how many of their spares are proven the greatest."""

    sets: list[int]
    spares: list[float]
    settled: int


def rounded(spare: float) -> float:
    """To 9 significant digits."""
    return float(f"{spare:.{_DIGITS - 1}e}")


def just_below(spare: float) -> float:
    """The least number that rounds to the same."""
    return rounded(spare) - 0.5 * _last_place(spare)


def just_above(spare: float) -> float:
    """The least number that rounds to more."""
    return rounded(spare) + 0.5 * _last_place(spare)


def _last_place(spare: float) -> float:
    return 10.0 ** (math.floor(math.log10(rounded(spare))) - _DIGITS + 1)


class Search:
    """One search over the sets; `least` is the spare that each capture must have."""

    def __init__(self, of: Sets, least: float, effort: Effort) -> None:
        self._of, self._least, self._effort = of, least, effort
        self._all = (1 << of.n) - 1
        self._alone = sorted(of.spare(1 << i) for i in range(of.n))
        self._families: dict[float, list[int]] = {}

    def best(self, *, leximin_effort: int) -> Found:
        """The best partition. The fewest captures and the worst spare are exact, or TooLarge is raised.

        The spares above the worst are settled one by one while `leximin_effort` steps last; `settled` says how many.
        """
        if not self._all:
            return Found([], [], 0)
        sets = self._fewest()
        sets = self._lift(0, [], sets, self._alone[0])
        settled, fixed = 1, [self._floor(sets[0])]
        self._effort = Effort(leximin_effort)
        k = len(sets)
        while settled < k:
            try:
                sets = self._lift(settled, fixed, sets, self._alone[self._of.n - k + settled])
            except TooLarge:
                break
            fixed.append(self._floor(sets[settled]))
            settled += 1
        return Found(sets, [self._of.spare(s) for s in sets], settled)

    def _floor(self, members: int) -> float:
        return max(self._least, just_below(self._of.spare(members)))

    def _fewest(self) -> list[int]:
        """A partition with the fewest captures: a greedy one, lowered until no fewer will do."""
        best = self._greedy()
        while len(best) > 1:
            fewer = self._decide([], self._least, len(best) - 1)
            if fewer is None:
                break
            best = fewer
        return best

    def _greedy(self) -> list[int]:
        left, chosen = self._all, []
        while left:
            most = max(self._family(self._least), key=lambda members: (members & left).bit_count())
            chosen.append(most)
            left &= ~most
        return self._part(chosen)

    def _lift(self, i: int, fixed: list[float], sets: list[int], top: float) -> list[int]:
        """The partition whose i-th spare is the greatest, those before it held at `fixed`; `top` cannot be passed."""
        unreached, tries = just_above(top), 0
        while rounded(low := self._of.spare(sets[i])) < rounded(top):
            next_up = just_above(low)
            # Most plans are the best already, which one question proves; else halve what is left in between.
            t = next_up if tries % 2 == 0 else max(next_up, math.sqrt(low * unreached))
            better = self._decide(fixed, t, len(sets))
            if better is not None:
                sets = better
            elif t <= next_up:
                break
            else:
                unreached = top = t
            tries += 1
        return sets

    def _decide(self, fixed: list[float], t: float, k: int) -> list[int] | None:
        """A partition into k sets whose spares reach `fixed`, and t from there on."""
        pool: dict[int, int] = dict.fromkeys(self._family(t), k)
        for low in dict.fromkeys(fixed):
            for members in self._family(low):
                if members not in pool:
                    spare = self._of.spare(members)
                    pool[members] = sum(spare >= other for other in fixed)
        sets = [members for members, rank in pool.items() if rank]
        chosen = cover(self._all, sets, [pool[s] for s in sets], k, self._effort)
        return None if chosen is None else self._proven([sets[i] for i in chosen], [*fixed, *[t] * (k - len(fixed))])

    def _proven(self, chosen: list[int], floors: list[float]) -> list[int]:
        """The cover as a partition; looked at once more, for a plan that does not hold must never leave here."""
        parts = self._part(chosen)
        for members, floor in zip(reversed(parts), reversed(floors), strict=False):
            if self._of.spare(members) < floor * (1 - 1e-11):
                raise RuntimeError(f"a capture of spare {self._of.spare(members)} was taken for one of {floor}")
        return parts

    def _family(self, t: float) -> list[int]:
        if t not in self._families:
            self._families[t] = self._of.maximal(t)
        return self._families[t]

    def _part(self, cover_: list[int]) -> list[int]:
        """A cover as a partition, in ascending order of spare: what two hold stays with the one that has less to spare.

        Fewer members never lower a spare.
        """
        parts, taken = [], 0
        for members in sorted(cover_, key=lambda s: (self._of.spare(s), s)):
            if mine := members & ~taken:
                parts.append(mine)
                taken |= mine
        return sorted(parts, key=lambda s: (self._of.spare(s), s))
