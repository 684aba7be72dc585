"""The exact cover: can all windows be held by k of the sets, and by which? Branch and bound on bit masks.

Sets come with a rank: with the captures in ascending order of spare, a set of rank i has the spare for the captures up
to the i-th and no further. So at most i of the chosen may have a rank of i or less.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from layouts.imaging.framing import bound
from layouts.imaging.framing.masks import bits, holders_of, lying_within
from layouts.imaging.framing.problem import TooLarge

# Prices are floats; a cost must pass a number of sets by more than their error.
_SURE = 1e-6
# Steps to find prices, and steps of branching then allowed: most questions need no close look.
_LOOKS: tuple[tuple[int, int | None], ...] = ((60, 200), (2000, None))


@dataclass
class Effort:
    """How many steps the search may take; so that it ends with an answer or a sentence, never by the clock.

    A step is one node of the branching: some 20 to 45 microseconds on two cores of 2026, with 2,000 to 3,000 sets.
    """

    steps: int

    def spend(self, steps: int = 1) -> None:
        self.steps -= steps
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
    worth: list[float] = field(init=False)  # what the windows of each set cost
    of_rank: dict[int, int] = field(init=False)  # for each rank below k, a mask of the sets of that rank or less

    def __post_init__(self) -> None:
        self.worth = [self.cost(members) for members in self.sets]
        lower = sorted(set(self.ranks) - {self.k})
        self.of_rank = {r: sum(1 << i for i, mine in enumerate(self.ranks) if mine <= r) for r in lower}

    def cost(self, members: int) -> float:
        """What these windows cost."""
        return sum(self.prices[w] for w in bits(members))


def cover(windows: int, sets: Sequence[int], ranks: Sequence[int], k: int, effort: Effort) -> list[int] | None:
    """Indices of at most k sets that hold all windows (a mask) and keep to their ranks; None if there are none.

    Raises TooLarge when the effort runs out.
    """
    reduced = _reduced(windows, sets, ranks)
    if reduced is None:
        return None
    needed, kept = reduced
    masks, rank = [sets[i] for i in kept], [ranks[i] for i in kept]
    for steps, limit in _LOOKS:
        effort.spend(len(sets) // 4)  # thinning out and finding prices takes about as long
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
    ask = _Cover(masks, [ranks[i] for i in usable], k, effort, holders_of(masks, needed.bit_length()), prices)
    found = _branch(ask, needed, (1 << len(masks)) - 1, (), sum(prices))
    return None if found is None else [usable[i] for i in found]


def _reduced(windows: int, sets: Sequence[int], ranks: Sequence[int]) -> tuple[int, list[int]] | None:
    """The windows that must be looked at and the indices of the sets that some best cover may use; None if no cover.

    A window whose holders include another's is covered with it; a set that holds no more of the windows that are left
    than another of at least its rank is never missed. Each makes room for the other, so both go on until neither finds
    anything.
    """
    kept = list(range(len(sets)))
    while True:
        needed = _binding(windows, [sets[i] & windows for i in kept], windows.bit_length())
        if needed is None:
            return None
        fewer = _undominated(kept, [sets[i] & needed for i in kept], [ranks[i] for i in kept], needed.bit_length())
        if needed == windows and len(fewer) == len(kept):
            return needed, fewer
        windows, kept = needed, fewer


def _undominated(names: Sequence[int], sets: Sequence[int], ranks: Sequence[int], n: int) -> list[int]:
    """The names of the sets that lie in no other of at least their rank; of equals the first."""
    first: dict[tuple[int, int], int] = {}
    for i, members in enumerate(sets):
        if members:
            first.setdefault((members, ranks[i]), i)
    order = sorted(first.values(), key=lambda i: (-ranks[i], -sets[i].bit_count(), sets[i]))
    within = lying_within([sets[i] for i in order], n)
    return [names[i] for i, lies in zip(order, within, strict=True) if not lies]


def _binding(windows: int, sets: Sequence[int], n: int) -> int | None:
    """The windows that must be looked at: one whose holders include another's is covered with it."""
    by_window = holders_of(sets, n)
    order = sorted(bits(windows), key=lambda w: by_window[w].bit_count())
    if any(not by_window[w] for w in order):
        return None
    kept: list[int] = []
    for w in order:
        if all(by_window[v] & ~by_window[w] for v in kept):
            kept.append(w)
    return sum(1 << w for w in kept)


def _branch(ask: _Cover, left: int, allowed: int, used: tuple[int, ...], cost: float) -> list[int] | None:
    """Cover what is left with the allowed sets; `used` are the ranks spent so far, `cost` what is left costs."""
    if not left:
        return []
    ask.effort.spend()
    for rank, sets in ask.of_rank.items():
        if sum(r <= rank for r in used) >= rank:
            allowed &= ~sets
    spare_sets = ask.k - len(used)
    if spare_sets == 1:
        return _one_set(ask, left, allowed)
    apart, narrow = _apart(ask, left, allowed)
    if narrow is None or len(apart) > spare_sets:
        return None
    if len(apart) == spare_sets:  # each must take one of them
        touch = 0
        for holders in apart:
            touch |= holders
        allowed &= touch
    return _try_each(ask, left, allowed, used, narrow, cost)


def _one_set(ask: _Cover, left: int, allowed: int) -> list[int] | None:
    """One allowed set that holds all that is left; most of a search ends here."""
    for w in bits(left):
        allowed &= ask.by_window[w]
        if not allowed:
            return None
    return [next(bits(allowed))]


def _apart(ask: _Cover, left: int, allowed: int) -> tuple[list[int], int | None]:
    """Windows no two of which one set holds (their holders), greedily; and the window with the fewest holders.

    The window is None where some window has no holder any more.
    """
    rows = sorted((ask.by_window[w] & allowed for w in bits(left)), key=int.bit_count)
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
    most = ask.k - len(used) - 1 + _SURE
    options = []
    for i in bits(holders & allowed):
        if cost - ask.worth[i] > most:  # cheap to see, and no cover can have it
            allowed &= ~(1 << i)
            continue
        takes = ask.sets[i] & left
        options.append((-ask.cost(takes), -ask.ranks[i], i, takes))  # the dearest first: a cover is found soon, if any
    tried: list[tuple[int, int]] = []
    for minus_cost, minus_rank, i, takes in sorted(options):
        rest = cost + minus_cost
        # Another set that was tried may do all that this one does.
        if rest <= most and not any(takes | other == other and rank <= minus_rank for other, rank in tried):
            tried.append((takes, minus_rank))
            found = _branch(ask, left & ~takes, allowed, (*used, ask.ranks[i]), rest)
            if found is not None:
                return [i, *found]
        allowed &= ~(1 << i)  # every cover with it has been tried
    return None
