"""Addresses of many rows of one kind: worked out once, and the row's key put in."""

from collections.abc import Callable

from django.urls import reverse

# As long as a key, and none of its letters: it stands for the key while the address is worked out.
_KEY = "IIIIOOOOllll"


def of_each(name: str, *args: str) -> Callable[[str], str]:
    """A function from a row's key to its address, which is `reverse(name, args=[*args, key])`."""
    before, _, after = reverse(name, args=[*args, _KEY]).partition(_KEY)
    return lambda key: f"{before}{key}{after}"
