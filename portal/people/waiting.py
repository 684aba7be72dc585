"""What a campaign waits for from one person, in sentences. Pure: no query is made here."""

from dataclasses import dataclass

from portal import access
from portal.access import May
from portal.people.models import Member
from portal.site import sentences
from portal.site.sentences import Clause, number

_BETWEEN = "between the brief and the lock"


@dataclass(frozen=True)
class Waiting:
    """One campaign in a person's list. `mend` counts must-fix findings of theirs, `answer` open comments.

    `decide` counts changes that they are to decide. `early`: their signature is asked for once the agency has signed.
    `sign_for`: names of those in whose place they are to sign.
    """

    seat: Member
    sign: bool
    signed: bool
    mend: int
    answer: int
    early: bool = False
    sign_for: tuple[str, ...] = ()
    decide: int = 0

    @property
    def waits(self) -> bool:
        return self.sign or bool(self.sign_for or self.decide or self.mend or self.answer)

    @property
    def says(self) -> list[str]:
        """What waits, each as a sentence, most pressing first; empty when nothing does."""
        said = []
        version = self.seat.campaign.open_version
        if self.sign and version:
            said.append(f"Version {version.number} waits for your signature.")
        if version:
            said += [f"Version {version.number} waits for your signature for {name}." for name in self.sign_for]
        decide = Clause(self.decide, "change", "waits for your decision", "wait for your decision")
        mend = Clause(self.mend, "thing", f"of yours stands {_BETWEEN}", f"of yours stand {_BETWEEN}")
        answer = Clause(self.answer, "comment", "waits for an answer", "wait for an answer")
        said += [sentences.told([decide]), sentences.told([mend]), sentences.told([answer])]
        return [sentence for sentence in said if sentence]

    @property
    def rest(self) -> str:
        """Where the campaign stands when that is not said already."""
        campaign = self.seat.campaign
        locked = campaign.locked_version
        if version := campaign.open_version:
            holds = f" Until all have signed, version {locked.number} holds." if locked else ""
            if self.signed:
                return f"You have signed version {version.number}; others have yet to.{holds}"
            if self.early:
                return f"Version {version.number} is out for signature. The agency signs before you do.{holds}"
            others = "" if self.sign or self.sign_for else f"Version {version.number} is out for signature, by others."
            return f"{others}{holds}".strip()
        if locked:
            return f"The brief is locked as version {locked.number}."
        if not access.may(self.seat, May.READ_DRAFT):
            return ""
        waived = Clause(campaign.standing.get("waived", 0), "thing", "is waived by a signer", "are waived by signers")
        return f"{self._stands()} {sentences.told([waived])}".strip()

    def _stands(self) -> str:
        """What stands between a draft and its lock; empty where something of theirs does, which is said already."""
        must_fix = self.seat.campaign.standing.get("must_fix", 0)
        if self.mend:
            return ""
        if must_fix:
            stand = Clause(must_fix, "thing", f"stands {_BETWEEN}", f"stand {_BETWEEN}")
            return sentences.told([stand]) + " None of it is yours to put right."
        return "Nothing stands between the brief and being put forward."


def lead(rows: list[Waiting], invitations: int = 0) -> str:
    """The page's first sentence."""
    total, waits = len(rows), sum(row.waits for row in rows)
    if total == 0 and invitations:
        return sentences.told([Clause(invitations, "invitation", "waits for you", "wait for you")])
    if total == 0:
        return "You are in no campaign yet."
    if total == 1:
        return "Your campaign waits for you." if waits else "Nothing waits for you in your campaign."
    if waits == 0:
        return f"Nothing waits for you in your {number(total)} campaigns."
    if waits == total:
        return (
            "Both your campaigns wait for you." if total == 2 else f"All your {number(total)} campaigns wait for you."
        )
    verb = "waits" if waits == 1 else "wait"
    return sentences.sentence(f"{number(waits)} of your {number(total)} campaigns {verb} for you")


def people_say(members: list[Member], unanswered: int) -> str:
    """The first sentence of a campaign's people: how many, how many sign, how many have not answered."""
    signers = len(access.those_who_may(members, May.SIGN_OFF))
    said = [
        sentences.told([Clause(len(members), "person", "works on it", "work on it", plural="people")]),
        _signing(signers, len(members)),
        sentences.told([Clause(unanswered, "invitation", "waits for an answer", "wait for an answer")]),
    ]
    return " ".join(sentence for sentence in said if sentence)


def _signing(signers: int, people: int) -> str:
    if signers == 0:
        return "Nobody signs yet."
    if signers == people:
        return "They sign." if people == 1 else "All of them sign."
    return sentences.sentence(f"{number(signers)} of them {'signs' if signers == 1 else 'sign'}")
