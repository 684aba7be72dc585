"""What pages say of waivers. No query is made here."""

from portal.site.sentences import Clause, told


def lead(holding: int, lapsed: int) -> str:
    """How many hold and how many have lapsed, in a sentence."""
    said = told(
        [
            Clause(holding, "waiver", "holds", "hold"),
            Clause(lapsed, "waiver", "has lapsed", "have lapsed"),
        ]
    )
    return said or "Nothing is waived in this brief."
