"""The exact cover: can all windows be held by k of the sets, and by which? Branch and bound on bit masks.

Sets come with a rank: with the captures in ascending order of spare, a set of rank i has the spare for the captures up
to the i-th and no further. So at most i of the chosen may have a rank of i or less.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from layouts.imaging.framing import bound
from layouts.imaging.framing.problem import TooLarge

# Prices are floats; a cost must pass a number of sets by more than their error.
_SURE = 1e-6
# Steps to find prices, and steps of branching then allowed: most questions need no close look.
_LOOKS: tuple[tuple[int, int | None], ...] = ((60, 200), (2000, None))


@dataclass
class Effort:
    """How many steps the search may take; so that it ends with an answer or a sentence, never by the clock."""

    steps: int

    def spend(self) -> None:
        self.steps -= 1
        if self.steps < 0:
            raise TooLarge(
                "These placements are too many, and too unlike each other, to settle the fewest captures exactly. "
                "Plan fewer formats at a time."
            )


class _Hard(Exception):
    """A question took more steps than its look allows."""


@dataclass
class _Share:
    """A part of the effort; None is all of it."""

    whole: Effort
    limit: int | None

    def spend(self) -> None:
        self.whole.spend()
        if self.limit is not None:
            self.limit -= 1
            if self.limit < 0:
                raise _Hard


@dataclass
class _Cover:
    """One question: windows to cover, sets as masks, their ranks, how many may be used."""

    sets: list[int]
    ranks: list[int]
    k: int
    effort: _Share
    by_window: list[int]  # for each window, a mask of the sets that hold it
    prices: list[float]  # what windows cost, where no set costs more than 1
    of_rank: dict[int, int] = field(init=False)  # for each rank below k, a mask of the sets of that rank or less

    def __post_init__(self) -> None:
        lower = sorted(set(self.ranks) - {self.k})
        self.of_rank = {r: sum(1 << i for i, mine in enumerate(self.ranks) if mine <= r) for r in lower}


def cover(windows: int, sets: Sequence[int], ranks: Sequence[int], k: int, effort: Effort) -> list[int] | None:
    """Indices of at most k sets that hold all windows (a mask) and keep to their ranks; None if there are none.

    Raises TooLarge when the effort runs out.
    """
    kept = _undominated(sets, ranks)
    masks, rank = [sets[i] for i in kept], [ranks[i] for i in kept]
    n = windows.bit_length()
    needed = _binding(windows, masks, n)
    if needed is None:
        return None
    for steps, limit in _LOOKS:
        try:
            found = _look(needed, masks, rank, k, _Share(effort, limit), steps)
        except _Hard:
            continue
        return None if found is None else [kept[i] for i in found]
    raise AssertionError("the last look has no limit")


def _look(
    needed: int, sets: Sequence[int], ranks: Sequence[int], k: int, effort: _Share, steps: int
) -> list[int] | None:
    """The same with prices found in so many steps. Raises _Hard where its share of the effort is not enough."""
    worth = bound.worth_using(needed, sets, k, steps)
    if worth is None:
        return None
    usable, prices = worth
    masks = [sets[i] & needed for i in usable]
    ask = _Cover(masks, [ranks[i] for i in usable], k, effort, _holders(masks, needed.bit_length()), prices)
    found = _branch(ask, needed, (1 << len(masks)) - 1, (), sum(prices))
    return None if found is None else [usable[i] for i in found]


def _holders(sets: Sequence[int], n: int) -> list[int]:
    """For each window a mask of the sets that hold it."""
    holders = [0] * n
    for at, members in enumerate(sets):
        bit = 1 << at
        while members:
            low = members & -members
            holders[low.bit_length() - 1] |= bit
            members ^= low
    return holders


def _undominated(sets: Sequence[int], ranks: Sequence[int]) -> list[int]:
    """Sets that lie in no other of at least their rank."""
    order = sorted(range(len(sets)), key=lambda i: (-ranks[i], -sets[i].bit_count(), sets[i]))
    if not ranks or min(ranks) == max(ranks):
        return order  # already maximal among their own
    kept: list[int] = []
    for i in order:
        members = sets[i]
        if all(sets[j] | members != sets[j] for j in kept):
            kept.append(i)
    return kept


def _binding(windows: int, sets: Sequence[int], n: int) -> int | None:
    """The windows that must be looked at: one whose holders include another's is covered with it."""
    holders = _holders(sets, n)
    order = sorted(_bits(windows), key=lambda w: holders[w].bit_count())
    if any(not holders[w] for w in order):
        return None
    kept: list[int] = []
    for w in order:
        if all(holders[v] & ~holders[w] for v in kept):
            kept.append(w)
    return sum(1 << w for w in kept)


def _bits(mask: int) -> list[int]:
    found = []
    while mask:
        low = mask & -mask
        found.append(low.bit_length() - 1)
        mask ^= low
    return found


def _branch(ask: _Cover, left: int, allowed: int, used: tuple[int, ...], cost: float) -> list[int] | None:
    """Cover what is left with the allowed sets; `used` are the ranks spent so far, `cost` what is left costs."""
    if not left:
        return []
    ask.effort.spend()
    for rank, sets in ask.of_rank.items():
        if sum(r <= rank for r in used) >= rank:
            allowed &= ~sets
    spare_sets = ask.k - len(used)
    apart, narrow = _apart(ask, left, allowed)
    if narrow is None or len(apart) > spare_sets:
        return None
    if len(apart) == spare_sets:  # each must take one of them
        touch = 0
        for holders in apart:
            touch |= holders
        allowed &= touch
    return _try_each(ask, left, allowed, used, narrow, cost)


def _apart(ask: _Cover, left: int, allowed: int) -> tuple[list[int], int | None]:
    """Windows no two of which one set holds (their holders), greedily; and the window with the fewest holders.

    The window is None where some window has no holder any more.
    """
    rows = sorted((ask.by_window[w] & allowed for w in _bits(left)), key=int.bit_count)
    if not rows[0]:
        return [], None
    taken, apart = 0, []
    for holders in rows:
        if not holders & taken:
            apart.append(holders)
            taken |= holders
    return apart, rows[0]


def _try_each(
    ask: _Cover, left: int, allowed: int, used: tuple[int, ...], holders: int, cost: float
) -> list[int] | None:
    options = sorted(_bits(holders & allowed), key=lambda i: (-(ask.sets[i] & left).bit_count(), -ask.ranks[i], i))
    tried: list[tuple[int, int]] = []
    for i in options:
        takes = ask.sets[i] & left
        if any(takes | other == other and ask.ranks[i] <= rank for other, rank in tried):
            continue  # another set that was tried does all that this one does
        tried.append((takes, ask.ranks[i]))
        rest = cost - sum(ask.prices[w] for w in _bits(takes))
        if rest <= ask.k - len(used) - 1 + _SURE:
            found = _branch(ask, left & ~takes, allowed, (*used, ask.ranks[i]), rest)
            if found is not None:
                return [i, *found]
        allowed &= ~(1 << i)  # every cover with it has been tried
    return None
