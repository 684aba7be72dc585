"""Words that name what can hurt somebody on set. Pure: no Django, no database.

It is a help to the reader and no safety plan: a text without these words may well name a danger, and local codes and
licensed practice decide. Words are common practice, no source.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Hazard:
    """A kind of danger: `name` as it stands in a sentence, `asks` what its caution must tell."""

    name: str
    asks: str
    words: str

    def word_in(self, text: str) -> str:
        """The first of its words that the text has, as it is written there; empty for none."""
        found = re.search(rf"\b(?:{self.words})\b", text, re.IGNORECASE)
        return found.group() if found else ""


HAZARDS = (
    Hazard("glass", "how breakage is kept off food and feet", r"glass(?:es)?|glassware"),
    Hazard("blades", "who handles them and where they lie", r"knife|knives|blades?|cleavers?|skewers?|scalpels?"),
    Hazard(
        "heat",
        "who tends it and what puts it out",
        r"flames?|flamb[eé]\w*|blow ?torch(?:es)?|torch(?:es|ed)?|candles?|burners?|braziers?|charcoal|heat ?guns?|"
        r"hot (?:oil|fat|plate|coals?)|hotplates?|frying oil|fryers?|deep[ -]fr(?:y|ied)|boiling|steamers?|griddles?",
    ),
    Hazard("dry ice", "gloves, and how the room is aired", r"dry ice|liquid nitrogen"),
    Hazard(
        "electricity",
        "the load, and who is licensed to connect it",
        r"mains|electric(?:al|ity)?|generators?|extension leads?|three[ -]phase|distribution box(?:es)?",
    ),
    Hazard(
        "rigging",
        "how it is secured and who checks it",
        r"rig(?:s|ged|ging)?|overhead|booms?|truss(?:es)?|scaffold(?:s|ing)?|suspended|ceiling|hung",
    ),
)  # fmt: skip


def named(texts: Iterable[str]) -> list[tuple[Hazard, str]]:
    """The hazards that these texts name, each with the first word that does, in the order of HAZARDS."""
    whole = "\n".join(texts)
    return [(hazard, word) for hazard in HAZARDS if (word := hazard.word_in(whole))]
