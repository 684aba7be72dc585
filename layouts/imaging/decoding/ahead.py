"""Making the next item while the last one is used."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

_T = TypeVar("_T")


def ahead(items: Iterator[_T]) -> Iterator[_T]:
    """The same items, the next one made in a second thread while this one is used."""
    with ThreadPoolExecutor(1) as pool:
        coming = pool.submit(next, items, None)
        while (item := coming.result()) is not None:
            coming = pool.submit(next, items, None)
            yield item
