"""A version with its signatures: who signs, what became of it, what may be signed now, and how that is said.

No query is made here.
"""

from dataclasses import dataclass, field
from datetime import datetime

from portal import access
from portal.access import May
from portal.brief.models import Version
from portal.people.models import Member
from portal.sealing.models import SignOff
from portal.site.sentences import joined


@dataclass
class Signer:
    """Somebody whose signature a version asks for, and the answer if it has come.

    `gone` says that they can no longer sign, so that the version can never be locked. `by` is who answered in their
    place. `waits_for` are those who sign before them. `void` ends the sentence "void: …" of a signature that does not
    hold. `but` are the titles of sections that whoever answered could not read and this page's reader can.
    """

    key: str
    name: str
    role: str
    answer: SignOff | None = None
    gone: bool = False
    by: str = ""
    waits_for: list[str] = field(default_factory=list)
    void: str = ""
    but: list[str] = field(default_factory=list)

    @property
    def told(self) -> str:
        """ "Ida Moss for Jon Field" where one answered in the other's place, else the name."""
        return f"{self.by} for {self.name}" if self.by else self.name

    @property
    def signed(self) -> bool:
        return self.answer is not None and self.answer.answer == SignOff.Answer.SIGNED

    def turn(self, reader: bool = False) -> str:
        """Whose signatures come before theirs, as a sentence, said to themself or to others; empty when none does."""
        if not self.waits_for:
            return ""
        sign = "signs" if len(self.waits_for) == 1 else "sign"
        whom = "you do" if reader else f"{self.name} does"
        return f"It waits for the agency: {joined(self.waits_for)} {sign} before {whom}."

    @property
    def for_all_but(self) -> str:
        """What whoever answered could not read, to follow "signed": "for all but money"; empty when nothing."""
        titles = [f"{title[0].lower()}{title[1:]}" for title in self.but]
        return f"for all but {joined(titles)}" if titles else ""

    @property
    def stuck_says(self) -> str:
        """Why the version cannot be locked any more; empty while it can."""
        if not self.gone:
            return ""
        return (
            f"{self.name} can no longer sign, so this version cannot be locked. Withdraw it and put it forward again."
        )


@dataclass
class Standing:
    """A version and what became of it: state is "put forward", "locked", "declined", "withdrawn" or "superseded"."""

    version: Version
    state: str
    signers: list[Signer]
    reason: str = ""
    by: str = ""
    at: datetime | None = None

    @property
    def signed(self) -> list[Signer]:
        return [signer for signer in self.signers if signer.signed]

    @property
    def holds(self) -> bool:
        """Whether signatures on it count: it is locked, or may yet be."""
        return self.state in ("locked", "put forward")

    @property
    def awaited(self) -> list[Signer]:
        return [signer for signer in self.signers if signer.answer is None]

    def asks(self, member: Member) -> bool:
        """Whether this member's own signature is awaited now, and they may give it."""
        turn = {signer.key for signer in self.awaited if not signer.waits_for}
        return self.state == "put forward" and member.key in turn and access.may(member, May.SIGN_OFF)

    @property
    def void_says(self) -> str:
        """That the signatures on it hold no longer, and why, as a sentence; empty where none was given or all hold."""
        if self.holds or not self.signed:
            return ""
        its = "signature" if len(self.signed) == 1 else "signatures"
        are = "is" if len(self.signed) == 1 else "are"
        names = joined([signer.told for signer in self.signed])
        return f"The {its} of {names} {are} void: {self.signed[0].void}."

    @property
    def says_why(self) -> str:
        """Who declined or withdrew it, and why; empty for one that was not."""
        if not self.reason:
            return ""
        did = "declined" if self.state == "declined" else "withdrew"
        return f"{self.by} {did} version {self.version.number}: {self.reason}"

    @property
    def says(self) -> str:
        """Who has signed, who is awaited, whose turn comes later, in a sentence; empty where nobody was to sign."""
        signed = joined([signer.told for signer in self.signed])
        awaited = [signer.name for signer in self.awaited if not signer.waits_for]
        later = [signer.name for signer in self.awaited if signer.waits_for]
        said = []
        if signed:
            said.append(f"{signed} {'has' if len(self.signed) == 1 else 'have'} signed")
        if awaited:
            said.append(f"{joined(awaited)} {'is' if len(awaited) == 1 else 'are'} awaited")
        if later:
            said.append(f"{joined(later)} {'signs' if len(later) == 1 else 'sign'} after the agency")
        if not said:
            return ""
        *most, last = said
        told = f"{', '.join(most)}, and {last}." if most else f"{last}."
        return told if signed else f"Nobody has signed yet; {told}"


@dataclass(frozen=True)
class Place:
    """A signature that a reader may give now or later: their own, or that of somebody in whose place they answer."""

    signer: Signer
    own: bool

    @property
    def in_turn(self) -> bool:
        return not self.signer.waits_for

    @property
    def says(self) -> str:
        """What is awaited, or for whom it waits, in a sentence that goes on from a version's number."""
        if says := self.signer.turn(self.own):
            return says
        return "It waits for your signature." if self.own else f"It waits for your signature for {self.signer.name}."
