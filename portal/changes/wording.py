"""What pages say of changes. No query is made here."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django.utils.timezone import localtime

from portal.brief.draft import Held
from portal.changes.models import Change
from portal.changes.queries import Total
from portal.people.models import Member
from portal.site.sentences import Clause, count, joined, sentence, told

_STATES = (
    (Change.State.ASKED, "waits for a decision", "wait for a decision"),
    (Change.State.ACCEPTED, "is accepted", "are accepted"),
    (Change.State.REFUSED, "was refused", "were refused"),
    (Change.State.WITHDRAWN, "was withdrawn", "were withdrawn"),
)


def lead(changes: Sequence[Change], here: Held) -> str:
    """How many there are in each state, and what is open because of them."""
    clauses = []
    for state, one, many in _STATES:
        if found := sum(change.state == state for change in changes):
            clauses.append(Clause(found, "change", one, many))
    said = [told(clauses)] if clauses else ["Nobody has asked for a change yet."]
    if here.says_opened:
        said.append(sentence(here.says_opened))
    return " ".join(said)


def raised(words: Mapping[str, Any]) -> str:
    """What the log says of one that was raised or, on set, recorded; `words` as for its sentences."""
    if words.get("kind") != Change.Kind.PIVOT:
        return "{who} raised change {number}, asked by {asked_by}: {what}".format(**words)
    said = on_set(words, words.get("guests", ()))
    return "{who} recorded change {number} on set{said}: {what}".format(**words, said=said)


def on_set(told: Mapping[str, Any], guests: Sequence[str] = ()) -> str:
    """Who was there and who agreed, to follow "on set"; empty for an entry of the log from before that was told."""
    if "present" not in told:
        return ""
    there = who_was_there(told["present"], guests)
    agreed = f"{told['agrees']} agreed" if told["agrees"] else "no signer there agreed"
    return f"; present: {there}; {agreed}" if there else f"; {agreed}"


def who_was_there(names: Sequence[str], guests: Sequence[str]) -> str:
    """ "Ida Moss and Jon Field, guests Rowan Quill and Ash Bellweather"; empty where nobody is named."""
    said = [joined(names)] if names else []
    if guests:
        said.append(f"{'guest' if len(guests) == 1 else 'guests'} {joined(guests)}")
    return ", ".join(said)


def hours(low: Decimal | None, likely: Decimal | None, high: Decimal | None) -> str:
    """ "likely 3 h, from 2 to 5 h"; "3 h" where they are the same; "not said"."""
    if low is None or likely is None or high is None:
        return "not said"
    if low == high:
        return f"{_short(likely)} h"
    return f"likely {_short(likely)} h, from {_short(low)} to {_short(high)} h"


def money(amount: Decimal | None, currency: str) -> str:
    """ "GBP 1,200.00"; "" for none."""
    return "" if amount is None else f"{currency} {amount:,.2f}".replace("-", "−")


def _short(amount: Decimal) -> str:
    return f"{amount:.2f}".rstrip("0").rstrip(".")


def total(found: Total) -> str:
    """What the accepted ones add up to in hours, as a sentence; empty where none is accepted."""
    if not found.changes:
        return ""
    if found.unsaid == found.changes:
        return "Those accepted do not say how many hours they take."
    rest = f", without {count(found.unsaid, 'that does', 'that do')} not say" if found.unsaid else ""
    return sentence(f"accepted so far: {hours(found.low, found.likely, found.high)}{rest}")


def decided(change: Change) -> str:
    """ "Accepted", "Refused", "Withdrawn"; empty while nobody has decided."""
    return "" if change.state == Change.State.ASKED else Change.State(change.state).label


def decision(change: Change) -> str:
    """By whom it was decided and when, with their words; who must, while nobody has."""
    if change.state == Change.State.ASKED:
        if change.kind == Change.Kind.PIVOT and change.agrees_name:
            return f"It counts once a signer accepts it; {change.agrees_name} was there and agreed in words."
        return "It waits for a signer to accept or refuse it."
    who = change.decided_name or str(change.decided_by.user if change.decided_by else "")
    said = f"by {who}"
    if change.decided_by and change.decided_name and change.decided_name != str(change.decided_by.user):
        said += f" ({change.decided_by.user})"
    if change.decided_for:
        said += f" for {change.decided_for.user}"
    if change.decided_at:
        on = localtime(change.decided_at)
        said += f", {on.day} {on:%b %Y, %H:%M}"
    if change.decided_away:
        said += ", away from the set"
    return f"{said}: {change.decided_why}" if change.decided_why else f"{said}."


def became(change: Change) -> str:
    """What is open because of it, or which version has it. A sentence, empty for one that is not accepted."""
    if change.state != Change.State.ACCEPTED:
        return ""
    if change.in_version:
        return f"Version {change.in_version.number} contains it."
    if not change.opens:
        return "It opens nothing; the next version cites it."
    return sentence(f"it has opened {change.opens_words}, until a version that contains it is locked")


def only_signs(signers: Sequence[Member]) -> str:
    """Why somebody who signs for these does not decide for them; empty for nobody."""
    if not signers:
        return ""
    names = joined([str(one.user) for one in signers])
    return f"You may sign for {names}, but decide no changes: whoever decides must be able to read what a change costs."


def to_decide(many: int) -> str:
    """What waits for a signer's decision; empty for none."""
    return told([Clause(many, "change", "waits for your decision", "wait for your decision")])


def next_version(here: Held, must_fix: int) -> str:
    """What lies between what changes have opened and a new version, as a sentence; empty where nothing is open."""
    if not here.places:
        return ""
    opened = sentence(here.says_opened)
    if must_fix:
        stand = Clause(must_fix, "thing", "stands between it and a new version", "stand between it and a new version")
        return f"{opened} {told([stand])}"
    return (
        f"{opened} Once it is edited, a version with it can be put forward; "
        f"until that is signed by all, version {here.locked} holds."
    )
