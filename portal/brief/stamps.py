"""What a stamp in hand stands for: which version it is, whether that one holds, and which version took its place."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from portal.brief.documents import Brief
from portal.sealing.signatures import Standing
from portal.site.sentences import count, digest_groups, joined, sentence

NEEDED = 8  # characters of a digest: two groups of four
_STAMP = re.compile(r"(?<![0-9a-z])[0-9a-f]{4}(?:\s*[0-9a-f]{4})*(?:\s*[0-9a-f]{1,3})?(?![0-9a-z])")
_NUMBER = re.compile(r"\b(?:version|ver|v)\.?\s*(\d+)\b")


@dataclass(frozen=True)
class Answer:
    """What a stamp is, as sentences. `holds`: it is the locked version. `of`: the version that it is, if any.

    `read` is false where it cannot be told what was typed: then there is no verdict either. `partly`: it holds but for
    what a change has opened since.
    """

    says: str
    holds: bool = False
    of: Standing | None = None
    read: bool = True
    partly: bool = False

    def opened(self, says: str) -> "Answer":
        """With what changes have opened of the locked version since, as a sentence; empty for nothing."""
        return replace(self, says=f"{self.says} {says}", partly=True) if says and self.holds else self


def look_up(typed: str, versions: Sequence[Standing], draft: Brief | None) -> Answer:
    """What a stamp as printed or typed stands for: "version 2, locked, 9c41 e07b" or just its digits.

    `versions`: newest first. `draft`: the draft where the reader may read it, else None.
    """
    text = typed.lower()
    numbered = _NUMBER.search(text)
    digits = _STAMP.findall(_NUMBER.sub(" ", text))
    digest = "".join(digits[-1].split()) if digits else ""
    if len(digest) < NEEDED:
        return Answer(_too_short(digest), read=False)
    number = int(numbered[1]) if numbered else None
    shown = digest_groups(digest[:NEEDED])
    found = [here for here in versions if here.version.digest.startswith(digest)]
    if len({here.version.digest for here in found}) > 1:
        return Answer(_more_than_one(shown, found), read=False)
    if found:
        return _version(shown, number, found, versions)
    if draft and draft.number is None and draft.digest.startswith(digest):
        return Answer(f"{shown} is the draft as it now stands. Nobody has signed it.{_holds_instead(versions)}")
    rest = _holds_instead(versions)
    return Answer(f"{shown} is no version of this brief. It may be from a draft that has changed since.{rest}")


def _too_short(digest: str) -> str:
    if not digest:
        return "A stamp ends in eight characters, figures and letters a to f, such as 9c41 e07b. Type those."
    few = sentence(f"{count(len(digest), 'character')} {'is' if len(digest) == 1 else 'are'} not enough")
    return f"{few} Type the first {NEEDED} of the digest, such as 9c41 e07b."


def _more_than_one(shown: str, found: Sequence[Standing]) -> str:
    digests = [here.version.digest for here in found]
    needed = next(n for n in range(NEEDED, 65) if len({digest[:n] for digest in digests}) == len(set(digests)))
    numbers = joined([str(here.version.number) for here in reversed(found)])
    return f"{shown} begins the digests of versions {numbers}. Type {needed} characters to tell them apart."


def _version(shown: str, number: int | None, found: Sequence[Standing], versions: Sequence[Standing]) -> Answer:
    """`found` are versions of one digest: the same brief, put forward more than once."""
    here = next((one for one in found if one.version.number == number), None)
    wrong = ""
    if number is not None and here is None:
        numbers = joined([str(one.version.number) for one in reversed(found)])
        wrong = f" The stamp says version {number}, and that is not the one: read it again."
        return Answer(f"{shown} is the digest of version {numbers}.{wrong}{_holds_instead(versions)}")
    locked = next((one for one in found if one.state == "locked"), None)
    here = here or locked or found[0]
    of = here.version.number
    if here is locked:
        return Answer(f"{shown} is version {of}, the locked one: this is what was signed.", True, here)
    if locked:
        same = f"Version {locked.version.number}, which is locked, is word for word the same."
        return Answer(f"{shown} is version {of}, which was {here.state}. {same}", True, here)
    state = "is out for signature" if here.state == "put forward" else f"was {here.state}"
    return Answer(f"{shown} is version {of}, which {state}. It is not locked.{_holds_instead(versions)}", False, here)


def _holds_instead(versions: Sequence[Standing]) -> str:
    locked = next((one.version.number for one in versions if one.state == "locked"), None)
    return "" if locked is None else f" The one that holds is version {locked}."
