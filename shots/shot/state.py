"""Where each shot stands, as a sentence, from what readiness finds in this room."""

from collections import defaultdict
from dataclasses import dataclass, field
from typing import Any

from portal.brief import reading
from portal.brief.finding import Finding
from portal.models import Campaign, Member
from portal.site.sentences import Clause, count, number, sentence, told
from shots.camera import section as camera
from shots.food import readiness as food
from shots.light import section as light
from shots.props import section as props
from shots.shot import section as shot

ALL_THERE = "Text, food, props, light and camera are all there."
_SHOWN = 6


@dataclass
class State:
    """A shot's findings: what must be fixed and what is worth a look."""

    must: list[Finding] = field(default_factory=list)
    look: list[Finding] = field(default_factory=list)

    @property
    def says(self) -> str:
        """How much is missing, in a sentence."""
        if not (self.must or self.look):
            return ALL_THERE
        return told(
            [
                Clause(len(self.must), "thing", "must be fixed", "must be fixed"),
                Clause(len(self.look), "thing", "is worth a look", "are worth a look"),
            ]
        )

    @property
    def names(self) -> str:
        """What is missing, in short words, the must-fixes first."""
        if not (self.must or self.look):
            return ALL_THERE
        must = f"To be fixed: {_listed(self.must)}." if self.must else ""
        look = f"Worth a look: {_listed(self.look)}." if self.look else ""
        return f"{must} {look}".strip()


def states(campaign: Campaign) -> dict[str, State]:
    """Shot's key to its state; shots of which nothing is to be said have an empty one. Constant queries."""
    campaign = reading.begin(campaign)
    found: dict[str, State] = defaultdict(State)
    for topic in (shot, food, props, light, camera):
        for key, finding in topic.by_shot(campaign):
            state = found[key]
            (state.must if finding.level == "must-fix" else state.look).append(finding)
    return found


def _listed(findings: list[Finding]) -> str:
    """Up to three short forms in words: "no story, no key light and two more"."""
    words = list(dict.fromkeys(finding.wants for finding in findings))
    shown, rest = words[:3], len(words) - 3
    if rest > 0:
        return f"{', '.join(shown)} and {rest} more"
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"


def opening(all_of_them: list[State]) -> str:
    """How many shots there are, and how many of them still miss something that must be there."""
    total, broken = len(all_of_them), sum(bool(state.must) for state in all_of_them)
    if total == 0:
        return "No pictures are ordered yet."
    if broken == 0:
        return sentence(f"{count(total, 'shot')}, and nothing must be fixed in {'it' if total == 1 else 'any of them'}")
    if total == broken:
        return sentence(f"{count(total, 'shot')}, and {'it' if total == 1 else 'each'} still misses something")
    return sentence(
        f"{count(total, 'shot')}, and {number(broken)} of them still {'misses' if broken == 1 else 'miss'} something"
    )


def owed(findings: list[Finding], reader: Member) -> list[dict[str, Any]]:
    """Findings as the owed list shows them; a way to the place only for those who can mend it there."""
    shown = [
        {
            "what": finding.what,
            "by": finding.wants,
            "url": finding.url if reader.role in finding.roles else "",
            "state": "wrong" if finding.level == "must-fix" else "",
        }
        for finding in findings[:_SHOWN]
    ]
    if rest := len(findings) - _SHOWN:
        shown += [{"what": "And more", "by": count(rest, "thing"), "state": ""}] if rest > 0 else []
    return shown
