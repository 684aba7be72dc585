"""What a campaign waits for from one person, in sentences. Pure: no query is made here."""

from dataclasses import dataclass

from portal import access
from portal.access import May
from portal.people.models import Member

_FIGURES = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def figure(count: int) -> str:
    """Small numbers in words, larger ones in figures."""
    return _FIGURES[count] if count < len(_FIGURES) else str(count)


@dataclass(frozen=True)
class Waiting:
    """One campaign in a person's list. `mend` counts must-fix findings of theirs, `answer` open comments."""

    seat: Member
    sign: bool
    signed: bool
    mend: int
    answer: int

    @property
    def waits(self) -> bool:
        return self.sign or bool(self.mend) or bool(self.answer)

    @property
    def says(self) -> list[str]:
        """What waits, each as a sentence, most pressing first; empty when nothing does."""
        said = []
        if self.sign:
            said.append(f"Version {self.seat.campaign.open_version.number} waits for your signature.")
        if self.mend == 1:
            said.append("One thing of yours stands between the brief and the lock.")
        elif self.mend:
            said.append(f"{figure(self.mend).capitalize()} things of yours stand between the brief and the lock.")
        if self.answer == 1:
            said.append("One comment waits for an answer.")
        elif self.answer:
            said.append(f"{figure(self.answer).capitalize()} comments wait for an answer.")
        return said

    @property
    def rest(self) -> str:
        """Where the campaign stands when that is not said already."""
        campaign = self.seat.campaign
        if campaign.locked_version_id:
            return f"The brief is locked as version {campaign.locked_version.number}."
        if campaign.open_version_id:
            number = campaign.open_version.number
            if self.signed:
                return f"You have signed version {number}; others have yet to."
            return "" if self.sign else f"Version {number} is out for signature, by others."
        must_fix = campaign.standing.get("must_fix", 0)
        if self.mend or not access.may(self.seat, May.READ_DRAFT):
            return ""
        if must_fix:
            things = "One thing stands" if must_fix == 1 else f"{figure(must_fix).capitalize()} things stand"
            return f"{things} between the brief and the lock, none of them yours."
        return "Nothing stands between the brief and being put forward."


def lead(rows: list[Waiting]) -> str:
    """The page's first sentence."""
    total, waits = len(rows), sum(row.waits for row in rows)
    if total == 0:
        return "You are in no campaign yet."
    if total == 1:
        return "Your campaign waits for you." if waits else "Nothing waits for you in your campaign."
    if waits == 0:
        return f"Nothing waits for you in your {figure(total)} campaigns."
    if waits == total:
        return "Both your campaigns wait for you." if total == 2 else f"All your {figure(total)} campaigns wait for you."
    verb = "waits" if waits == 1 else "wait"
    return f"{figure(waits).capitalize()} of your {figure(total)} campaigns {verb} for you."
