"""Protects the digests of rows: what they are computed from, and that nothing of a row is left out of them."""

import json
from hashlib import sha256

import pytest

from portal.record.rows import row_digest, rows_digest

ROW = {"table": "shots.prop", "row": "k3x", "name": "Läufer", "quantity": 2, "crop": [0.25, 1], "shot": "a2b"}


def plainly(value):
    """Canonical for these values (RFC 8785, by the standard library): sorted keys, no spaces, UTF-8."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()


def by_the_definition(key, text):
    """HMAC as RFC 2104, section 2, writes it: H(K XOR opad, H(K XOR ipad, text)), B = 64 for SHA-256."""
    padded = key.ljust(64, b"\0")
    inner = sha256(bytes(byte ^ 0x36 for byte in padded) + text).digest()
    return sha256(bytes(byte ^ 0x5C for byte in padded) + inner).hexdigest()


def test_the_definition_gives_the_published_value():
    """RFC 4231, test case 2: key "Jefe"."""
    assert by_the_definition(b"Jefe", b"what do ya want for nothing?") == (
        "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"
    )


def test_a_rows_digest_is_an_hmac_of_its_canonical_form():
    assert row_digest("5a17", ROW) == by_the_definition(b"5a17", plainly(ROW))


@pytest.mark.parametrize("key", ROW)
def test_every_value_is_in_it(key):
    assert row_digest("5a17", ROW | {key: "another"}) != row_digest("5a17", ROW)
    assert row_digest("5a17", {name: ROW[name] for name in ROW if name != key}) != row_digest("5a17", ROW)


def test_an_entrys_digest_is_of_all_its_rows_in_any_order():
    one, two = ("shots.prop", "k3x", "0" * 64), ("shots.prop", "a2b", "")
    told = {"kind": "rows", "rows": [list(two), list(one)]}
    assert rows_digest([one, two]) == rows_digest([two, one]) == sha256(plainly(told)).hexdigest()
    assert rows_digest([one]) != rows_digest([one, two])
    assert rows_digest([]) == ""
