"""Digests of rows: what an act leaves of each row that it wrote, and of all of them together."""

import hashlib
import hmac
from collections.abc import Iterable, Mapping
from typing import Any

from portal.record.canonical import canonical, digest

GONE = ""  # as a row's digest: it was taken out


def row_digest(salt: str, plain: Mapping[str, Any]) -> str:
    """HMAC-SHA256 (RFC 2104) over a row's canonical form (RFC 8785), as 64 hexadecimal digits.

    `salt` is the campaign's and stays out of the log: a sum or an address is short enough to be found by trying.
    Raises ValueError where a value has no canonical form.
    """
    return hmac.new(salt.encode(), canonical(dict(plain)), hashlib.sha256).hexdigest()


def rows_digest(written: Iterable[tuple[str, str, str]]) -> str:
    """SHA-256 of what one entry of the log vouches for: (table, row, digest) of each row, in any order; "" for none."""
    rows = sorted(list(one) for one in written)
    return digest(canonical({"kind": "rows", "rows": rows})) if rows else ""
