"""What pages say of versions: what became of them, and rounds of amends. No query is made here."""

from portal.brief.documents import Brief
from portal.sealing.signatures import Standing
from portal.site.sentences import Clause, count, number, sentence, told


def what_is_read(brief: Brief | None) -> str:
    """What the page of the brief shows, in a sentence."""
    if brief is None:
        return "No version has been put forward that you may read. It stands here once one has."
    if brief.is_draft:
        return "This is the draft as it stands now. Nobody has signed it, and it may change."
    if brief.state == "locked":
        return f"This is version {brief.number}, as it was signed and locked."
    return f"This is version {brief.number}, which is out for signature. Until it is answered nothing in it changes."


def what_became(here: Standing) -> str:
    """What became of one version, in a sentence."""
    if here.state == "locked":
        return f"It is the locked one. {here.says}"
    if here.state == "put forward":
        return f"It is out for signature. {here.says}"
    if here.state in ("declined", "withdrawn"):
        return f"It was {here.state} by {here.by}, so it does not hold."
    return "A later version has taken its place."


def rounds(put_forward: int, included: int) -> str:
    """Rounds of amends used against those included. The first version is no round: what follows it is.

    Every later version counts, whoever took the one before it back: each is read and answered anew.
    """
    used = max(put_forward - 1, 0)
    of = f"{count(included, 'round')} of amends {'is' if included == 1 else 'are'} included"
    if not put_forward:
        return sentence(of)
    if not used:
        return sentence(f"{of}, and none has been used")
    return sentence(f"{of}, and {number(used)} {'has' if used == 1 else 'have'} been used")


def past_rounds(put_forward: int, included: int, price: str = "") -> str:
    """What is to be said before a version goes past the rounds included; empty while it does not.

    `price`: what a further round costs, for a reader who may know it.
    """
    used = put_forward  # the version that would come next
    if used <= included:
        return ""
    many = f"{number(included)} {'is' if included == 1 else 'are'}" if included else "none is"
    says = f"Version {put_forward + 1} is round {used} of amends, and {many} included: agree first who pays for it."
    return f"{says} A further round costs {price.rstrip('.')}." if price else says


def lapsed(many: int) -> str:
    """That waivers hold no longer; empty for none."""
    return told([Clause(many, "waiver", "holds no longer", "hold no longer")])
