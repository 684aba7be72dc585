"""A lower bound on the number of sets that a cover needs, from prices on the windows (Lagrangian relaxation).

Source: Held, Wolfe, Crowder, "Validation of subgradient optimization", Mathematical Programming 6 (1974), for the step;
any non-negative prices give a valid bound, whatever the steps.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

_STEPS = 120
# Prices are floats; a bound must pass k by more than their error.
_SURE = 1e-6


def worth_using(windows: int, sets: Sequence[int], k: int) -> list[int] | None:
    """Indices of the sets that some cover by k sets may use; None where no such cover can be.

    With prices u the bound is sum(u) + sum of min(0, 1 - price of a set); a set whose own reduced cost lifts it past k
    is in no cover by k.
    """
    rows = [w for w in range(windows.bit_length()) if windows >> w & 1]
    holds = np.array([[s >> w & 1 for s in sets] for w in rows], dtype=np.float64)
    alive = np.ones(len(sets), dtype=bool)
    prices = 1 / np.maximum(1.0, (holds * holds.sum(axis=0)).max(axis=1))
    best, best_prices, step, since = -np.inf, prices, 1.0, 0
    for _ in range(_STEPS):
        reduced = 1 - prices @ holds
        below = (reduced < 0) & alive
        value = float(prices.sum() + reduced[below].sum())
        if value > best + 1e-9:
            best, best_prices, since = value, prices, 0
            if best > k + _SURE:
                return None
            alive &= value + np.maximum(reduced, 0.0) <= k + _SURE
        else:
            since += 1
            if since == 8:
                step, since, prices = step / 2, 0, best_prices
                if step < 0.01:
                    break
                continue
        slope = 1 - holds[:, below].sum(axis=1)
        norm = float(slope @ slope)
        if norm == 0:
            break
        prices = np.maximum(0.0, prices + step * (1.05 * k + 0.5 - value) / norm * slope)
    return [i for i in range(len(sets)) if alive[i]]
