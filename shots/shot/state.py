"""Where each shot stands, as a sentence, from what readiness finds in this room."""

from collections import defaultdict
from dataclasses import dataclass, field

from portal.brief.sections import Finding
from portal.models import Campaign
from shots.camera import section as camera
from shots.food import readiness as food
from shots.light import section as light
from shots.props import section as props
from shots.shot import section as shot


@dataclass
class State:
    """A shot's findings: what must be fixed and what is worth a look."""

    must: list[Finding] = field(default_factory=list)
    look: list[Finding] = field(default_factory=list)

    @property
    def says(self) -> str:
        """One sentence: what is missing, the must-fixes first."""
        if self.must:
            return f"{_begin(_listed(self.must))}. {_more(self.look)}".strip()
        if self.look:
            return f"Nothing must be fixed. {_more(self.look)}"
        return "Text, food, props, light and camera are all there."


def states(campaign: Campaign) -> dict[str, State]:
    """Shot's key to its state; shots of which nothing is to be said have an empty one. Constant queries."""
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


def _more(findings: list[Finding]) -> str:
    if not findings:
        return ""
    return f"Worth a look: {_listed(findings)}."


def _begin(words: str) -> str:
    return words[:1].upper() + words[1:]
