"""Canonical form and digests of the brief."""

import hashlib
from collections.abc import Mapping
from typing import Any

import rfc8785


def canonical(value: Any) -> bytes:
    """The one way to write plain data as JSON, UTF-8.

    Parameters
    ----------
    value : dict, list, str, int, float, bool or None, nested
        Integers within +-(2^53 - 1), finite floats, string keys.

    Raises
    ------
    ValueError
        A value has no canonical form: NaN, an integer out of range, a key that is not a string, another type.

    Source
    ------
    RFC 8785, JSON Canonicalization Scheme.
    """
    try:
        return rfc8785.dumps(value)
    except rfc8785.CanonicalizationError as wrong:
        raise ValueError(f"this cannot be put in the brief: {wrong}") from wrong


def digest(data: bytes) -> str:
    """SHA-256 (FIPS 180-4) of bytes, as 64 hexadecimal digits."""
    return hashlib.sha256(data).hexdigest()


def section_digests(document: Mapping[str, Any]) -> dict[str, str]:
    """The digest of each named section of a document."""
    return {name: digest(canonical(section)) for name, section in document.items()}


def version_digest(sections: Mapping[str, str]) -> str:
    """The digest of the map from section to digest: it covers all, and a part can be checked alone."""
    return digest(canonical(dict(sections)))
