"""What is said of who signs in whose place. No query is made here."""

from collections.abc import Iterable
from datetime import date

from portal.delegation.models import Delegation
from portal.people.models import Member
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


def state(one: Delegation, today: date) -> str:
    """ "holds today", "to come", "over", "ended early"."""
    if one.ended_at:
        return "ended early"
    if today < one.first_day:
        return "to come"
    return "holds today" if today <= one.last_day else "over"
