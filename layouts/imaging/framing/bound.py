"""A lower bound on the number of sets that a cover needs, from prices on the windows (Lagrangian relaxation).

Source: Held, Wolfe, Crowder, "Validation of subgradient optimization", Mathematical Programming 6 (1974), for the step;
Camerini, Fratta, Maffioli, "On improving relaxation methods by modified gradient techniques", Mathematical Programming
Study 3 (1975), for the direction; both from memory. Any non-negative prices give a valid bound, whatever the steps.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# A step aims at so much more than the best bound so far, along a direction of which so much is kept from the step
# before; after so many steps in vain it is halved, down to the shortest. Chosen by trial on covers of 1,400 sets.
_AHEAD, _KEPT, _PATIENCE, _SHORTEST = 0.5, 0.8, 20, 1e-3
# Prices are floats; a bound must pass k by more than their error.
_SURE = 1e-6


def worth_using(windows: int, sets: Sequence[int], k: int, steps: int) -> tuple[list[int], list[float]] | None:
    """Indices of the sets that some cover by k sets may use, and a price for each window (bits from 0, 0 where it need
    not be covered); None where no such cover can be.

    With prices u the bound is sum(u) + sum of min(0, 1 - price of a set); a set whose own reduced cost lifts it past k
    is in no cover by k. In the prices returned no usable set costs more than 1, so that any windows that are left need
    at least as many sets as they cost.
    """
    rows = [w for w in range(windows.bit_length()) if windows >> w & 1]
    holds = np.array([[s >> w & 1 for s in sets] for w in rows], dtype=np.float64)
    alive = np.ones(len(sets), dtype=bool)
    prices = 1 / np.maximum(1.0, (holds * holds.sum(axis=0)).max(axis=1))
    best, best_prices, length, since = -np.inf, prices, 1.0, 0
    way: Floats | None = None
    for _ in range(steps):
        reduced = 1 - prices @ holds
        below = (reduced < 0) & alive
        value = float(prices.sum() + reduced[below].sum())
        if value > best + 1e-9:
            best, best_prices, since = value, prices, 0
            if best > k + _SURE:
                return None
            alive &= value + np.maximum(reduced, 0.0) <= k + _SURE
        elif (since := since + 1) == _PATIENCE:
            length, since, prices, way = length / 2, 0, best_prices, None
            if length < _SHORTEST:
                break
            continue
        slope = 1 - holds[:, below].sum(axis=1)
        way = slope if way is None else _KEPT * way + (1 - _KEPT) * slope
        norm = float(way @ way)
        if norm == 0:
            break
        prices = np.maximum(0.0, prices + length * (max(best, value) + _AHEAD - value) / norm * way)
    fair = np.zeros(windows.bit_length())
    fair[rows] = _fair(best_prices, holds[:, alive])
    return np.flatnonzero(alive).tolist(), fair.tolist()


def _fair(prices: Floats, holds: Floats) -> Floats:
    """Prices lowered until no set costs more than 1, then raised again, window by window, as far as all sets allow."""
    prices = prices.copy()
    cost = prices @ holds
    while len(cost) and cost.max() > 1:
        dear = int(cost.argmax())
        prices[holds[:, dear] > 0] /= cost[dear] * (1 + 1e-12)
        cost = prices @ holds
    for row in np.argsort(holds.sum(axis=1)):
        mine = holds[row] > 0
        if mine.any():
            more = max(0.0, float(1 - cost[mine].max()))
            prices[row] += more
            cost[mine] += more
    return prices
