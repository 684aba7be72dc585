"""A fault of a layout file, as it is said to its designer, and what the file is held against."""

from __future__ import annotations

from dataclasses import dataclass

MUST_FIX, WORTH_A_LOOK = "must-fix", "worth-a-look"


@dataclass(frozen=True)
class Fault:
    code: str
    level: str
    says: str


@dataclass(frozen=True)
class Order:
    """What was ordered: aspect (width / height), artwork pixels, a name for the format ("the roadside poster").

    `language` is the tag that this layout is for, `languages` all that are ordered, each with what it is called.
    """

    aspect: float | None = None
    px: tuple[int, int] | None = None
    called: str = "what was ordered"
    language: str = ""
    languages: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Identity:
    """Which file it is: its name, digests of its bytes and of its pixels, and the others that it may be again.

    `older` holds what each is called ("revision 2") and the digest of its bytes or of its pixels.
    """

    name: str = ""
    sha256: str = ""
    pixels: str = ""
    older: tuple[tuple[str, str], ...] = ()


def must_fix(code: str, says: str) -> Fault:
    return Fault(code, MUST_FIX, says)


def look(code: str, says: str) -> Fault:
    return Fault(code, WORTH_A_LOOK, says)


def per_cent(share: float, places: int = 0) -> str:
    """A share, 0 to 1, in per cent."""
    return f"{100 * share:.{places}f}\u202f%"
