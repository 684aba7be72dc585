"""What is said of who signs in whose place. No query is made here."""

from collections.abc import Iterable, Sequence
from datetime import date

from portal.delegation.models import Delegation
from portal.people.models import Member
from portal.sealing.signatures import Standing
from portal.site.sentences import joined


def day(on: date) -> str:
    return f"{on.day} {on:%B %Y}"


def days(one: Delegation) -> str:
    """ "on 3 May 2027", "from 3 May to 9 May 2027"."""
    if one.first_day == one.last_day:
        return f"on {day(one.first_day)}"
    first = day(one.first_day)
    return f"from {first.removesuffix(f' {one.last_day.year}')} to {day(one.last_day)}"


def told_to(member: Member, places: Iterable[Delegation], today: date) -> str:
    """What a member must know who signs for somebody, or for whom somebody signs; empty for others."""
    said = []
    for one in places:
        until = f"until {day(one.last_day)}" if one.first_day <= today else days(one)
        if one.signer_id == member.pk:
            said.append(f"{one.delegate.user} may sign for you {until}")
        elif one.delegate_id == member.pk:
            said.append(f"you may sign for {one.signer.user} {until}")
    text = joined(said)
    return f"{text[0].upper()}{text[1:]}." if text else ""


def what_holds(versions: Sequence[Standing]) -> str:
    """Which signatures of a campaign hold, as a sentence. `versions`: newest first."""
    said = []
    for here in reversed(versions):
        if here.state == "locked":
            its = "signature" if len(here.signed) == 1 else "signatures"
            hold = "holds" if len(here.signed) == 1 else "hold"
            names = joined([signer.told for signer in here.signed])
            said.append(f"Version {here.version.number} is locked: the {its} of {names} {hold}.")
        elif here.state == "put forward":
            said.append(f"Version {here.version.number} is out for signature. {here.says}")
    if said:
        return " ".join(said)
    if any(here.signed for here in versions):
        return "No signature holds now: each was given to a version that was taken back."
    return "Nobody has signed anything yet."


def state(one: Delegation, today: date) -> str:
    """ "holds today", "to come", "over", "ended early"."""
    if one.ended_at:
        return "ended early"
    if today < one.first_day:
        return "to come"
    return "holds today" if today <= one.last_day else "over"
