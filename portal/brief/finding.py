"""What readiness finds: one thing that stands between the brief and the lock, or that is worth a look."""

import re
from dataclasses import dataclass
from urllib.parse import urlsplit

from portal.access import Role
from portal.record.canonical import canonical, digest
from portal.waivers.models import Waiver

LEVELS = ("must-fix", "waived", "worth-a-look")


@dataclass(frozen=True)
class Finding:
    """Something that readiness found.

    `level` is "must-fix" (stands between the brief and the lock) or "worth-a-look"; a must-fix that a signer has waived
    is given as "waived", with its `waiver`. `says` is a sentence.
    `what` and `wants` are its short form for the owed list ("Street poster, Welsh": "designer owes a file").
    `roles` can mend it, none named means anyone; `url` leads to the very place.
    """

    level: str
    says: str
    what: str
    wants: str
    roles: tuple[Role, ...]
    url: str
    # Findings of one kind are counted together in the sentence: see Section.kinds.
    kind: str = ""
    # No signer can waive it: nothing would be there to sign, nothing is known yet, or somebody could be hurt.
    waivable: bool = True
    waiver: Waiver | None = None
    # Number of the shot that `says` names first; None where it names none. A shot that is moved gets another number.
    shot: int | None = None
    # Where whoever cannot mend it sees it; empty where `url` opens for everybody who may read the draft.
    seen: str = ""

    def place(self, role: str) -> str:
        """The very place, for a reader of this role: where they mend it, or see it."""
        return self.url if not self.seen or role in self.roles else self.seen

    @property
    def key(self) -> str:
        """What it is known by, as long as kind, place and sentence stay: with another measure it is another finding.

        SHA-256 of the canonical form (RFC 8785) of those three, the sentence without the number of its own shot: the
        place holds the shot's or the placement's own key, which stays when shots are moved.
        """
        says = self.says if self.shot is None else re.sub(rf"(?i)\b(shot) {self.shot}\b", r"\1", self.says, count=1)
        return digest(canonical([self.kind, urlsplit(self.url).path, says]))

    @property
    def key_with_number(self) -> str:
        """The key that waivers of earlier releases hold: with the number, so that it ends when the shot is moved."""
        return digest(canonical([self.kind, urlsplit(self.url).path, self.says]))
