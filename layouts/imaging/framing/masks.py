"""Sets as bit masks: bit i is window i."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np


def bits(mask: int) -> Iterator[int]:
    """The members, least first."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


def holders_of(sets: Sequence[int], n: int) -> list[int]:
    """For each of n windows a mask of the sets that hold it: bit j is sets[j]."""
    size = (n + 7) // 8
    raw = b"".join(members.to_bytes(size, "little") for members in sets)
    table = np.unpackbits(np.frombuffer(raw, np.uint8).reshape(len(sets), size), axis=1, count=n, bitorder="little")
    return [int.from_bytes(row.tobytes(), "little") for row in np.packbits(table.T, axis=1, bitorder="little")]


def lying_within(sets: Sequence[int], n: int) -> list[bool]:
    """Whether each, none of them empty, lies within one that comes before it."""
    by_window = holders_of(sets, n)
    found = []
    for at, members in enumerate(sets):
        hold = (1 << at) - 1
        for w in bits(members):
            hold &= by_window[w]
            if not hold:
                break
        found.append(bool(hold))
    return found
