"""Acts on changes: raising one, recording a pivot on set, deciding, withdrawing."""

import json
from collections.abc import Iterable, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.utils import timezone

from portal import access
from portal.access import May
from portal.brief.draft import BriefClosed, hold, refuse
from portal.brief.models import Campaign, Version
from portal.changes import places, presence
from portal.changes.models import Change
from portal.changes.presence import Present
from portal.changes.proof import plain, proof_of
from portal.delegation import queries as delegation
from portal.files.models import StoredFile
from portal.people.models import Member
from portal.sealing import log

EFFECTS = ("hours_low", "hours_likely", "hours_high", "money", "currency", "retouching", "plates", "lists")
_AMOUNTS = ("hours_low", "hours_likely", "hours_high", "money")
# A model's text field is not checked for its length.
LONGEST = {"what": 1000, "why": 2000, "decided_why": 2000, "retouching": 1000, "plates": 1000, "lists": 1000}
_MOST_GUESTS = 40
_LONGEST_NAME = 120
_CAN_NO_LONGER = "Who was chosen can no longer sign. Choose again who agrees."
AWAY = "decided away from the set"


@transaction.atomic
def raise_change(
    by: Member,
    *,
    what: str,
    why: str,
    asked_by: str,
    opens: Iterable[Sequence[str]],
    sent_as: str,
    **effects: Any,
) -> Change:
    """Raise a change to a locked brief; it waits for a signer's decision.

    `opens`: places, each (section, shot's key or ""). `effects`: any of EFFECTS, hours and money as Decimal. `sent_as`:
    a token of the form; what comes again with it answers as the first time. Raises PermissionDenied (also for money
    from who may not see the estimate), BriefClosed unless the brief is locked, ValidationError.
    """
    campaign = hold(by, May.RAISE_CHANGE)
    if twin := _twin(by, campaign, sent_as):
        return twin
    if unknown := set(effects) - set(EFFECTS):
        raise TypeError(f"not effects of a change: {sorted(unknown)}")
    if any(effects.get(name) not in (None, "") for name in ("money", "currency")):
        access.need(by, May.SEE_ESTIMATE)
    change = _begun(by, campaign, Change.Kind.CHANGE, what, opens, sent_as)
    change.why, change.asked_by = why.strip(), " ".join(asked_by.split())
    for name, value in effects.items():
        setattr(change, name, value if name in _AMOUNTS else str(value or "").strip())
    _need_words(change)
    _check_amounts(change)
    return _raised(by, change)


@transaction.atomic
def record_pivot(
    by: Member,
    *,
    what: str,
    present: Sequence[str],
    guests: Sequence[str] = (),
    agrees: str,
    agrees_for: str = "",
    photo: StoredFile | None,
    opens: Iterable[Sequence[str]],
    sent_as: str,
    happened_at: datetime,
) -> Change:
    """Record a change that was made on set. It counts once a signer accepts it: in this act where it is theirs.

    `present`: keys of the members who were there. `guests`: names of who else was. `agrees`: key of the signer who was
    there and agrees, "" for nobody; `agrees_for`: of the signer in whose place they do. `photo`: a picture that is
    kept, or none. `happened_at`: when it was done, which may be before it could be sent. `sent_as`: the device's token;
    what comes again with it answers as the first time. Raises PermissionDenied, BriefClosed unless the brief is locked,
    ValidationError.
    """
    campaign = hold(by, May.RAISE_CHANGE)
    if twin := _twin(by, campaign, sent_as):
        return twin
    change = _begun(by, campaign, Change.Kind.PIVOT, what, opens, sent_as)
    change.asked_by = str(by.user)
    away = _stands_in_for(campaign, agrees, agrees_for)
    people = _present(campaign, present, guests, agrees, away)
    change.present = presence.kept(people)
    for_whom = f" for {away.user}" if away else ""
    change.agrees_name = next((f"{one.name}{for_whom}" for one in people if one.agrees), "")
    change.happened_at = min(happened_at, timezone.now())
    change.photo = photo
    made = _raised(by, change)
    if agrees == by.key:
        _decide(by, made, Change.State.ACCEPTED, str(by.user), "", away)
    return made


@transaction.atomic
def accept_change(by: Member, change: str, *, typed_name: str, why: str = "", signer: str = "") -> Change:
    """Accept a change: it opens what it names. The same answer by the same person again is one.

    `signer`: the key of somebody in whose place `by` decides.
    A pivot that is accepted by a signer who was not there is recorded as decided away from the set.

    Raises PermissionDenied, BriefClosed where it is decided otherwise or by somebody else, ValidationError,
    Change.DoesNotExist (also for another campaign's).
    """
    return _answer(by, change, Change.State.ACCEPTED, typed_name, why, signer)


@transaction.atomic
def refuse_change(by: Member, change: str, *, typed_name: str, why: str, signer: str = "") -> Change:
    """Refuse a change, with a reason. As `accept_change`."""
    return _answer(by, change, Change.State.REFUSED, typed_name, why, signer)


@transaction.atomic
def withdraw_change(by: Member, change: str, *, why: str = "") -> Change:
    """Take back a change that nobody has decided: whoever raised it, or who may put versions forward.

    Raises PermissionDenied, BriefClosed, Change.DoesNotExist.
    """
    hold(by, May.READ_VERSIONS)
    row = _row(by, change)
    if not may_withdraw(by, row):
        raise PermissionDenied("A change is withdrawn by whoever raised it, or by who may put versions forward.")
    if row.state == Change.State.WITHDRAWN and row.decided_by_id == by.pk:
        return row
    _need_undecided(row)
    _decide(by, row, Change.State.WITHDRAWN, "", why.strip())
    return row


def may_withdraw(by: Member, change: Change) -> bool:
    """Whether this member may take the change back, while it is not decided."""
    return change.raised_by_id == by.pk or access.may(by, May.PUT_FORWARD)


def _twin(by: Member, campaign: Campaign, sent_as: str) -> Change | None:
    """What came before with this token: a double click, or a request that was sent again."""
    if not 8 <= len(sent_as) <= 64:
        raise ValidationError("The form came without its token. Open the page anew and send it again.")
    found: Change | None = campaign.changes.filter(sent_as=sent_as).first()
    if found and found.raised_by_id != by.pk:
        raise ValidationError("This was sent by somebody else already. Open the page anew and send it again.")
    return found


def _begun(
    by: Member, campaign: Campaign, kind: str, what: str, opens: Iterable[Sequence[str]], sent_as: str
) -> Change:
    locked = campaign.locked_version
    if locked is None:
        raise BriefClosed(not_locked(campaign))
    try:
        named, words = places.chosen(json.loads(locked.document), opens)
    except ValueError as wrong:
        raise refuse("opens", str(wrong)) from wrong
    return Change(
        campaign=campaign,
        number=campaign.changes.count() + 1,
        kind=kind,
        on_version=locked,
        what=what.strip(),
        raised_by=by,
        raised_at=timezone.now(),
        opens=[list(place) for place in named],
        opens_words=words,
        sent_as=sent_as,
    )


def _stands_in_for(campaign: Campaign, agrees: str, signer: str) -> Member | None:
    """The signer in whose place whoever agrees does; None where they agree for themself, or nobody does."""
    if not agrees or signer in ("", agrees):
        return None
    by = campaign.members.active().filter(key=agrees).first()
    held = delegation.in_place_of(by, signer) if by else None
    if by is None or held is None or not access.may_decide_for(held.signer, by):
        raise refuse("agrees", _CAN_NO_LONGER)
    return held.signer


def _present(
    campaign: Campaign, keys: Sequence[str], guests: Sequence[str], agrees: str, away: Member | None
) -> list[Present]:
    """Who was there, whoever agrees among them; members by key, for two may have one name."""
    wanted = list(dict.fromkeys([*keys, *([agrees] if agrees else [])]))
    here = campaign.members.active().select_related("user").filter(key__in=wanted)
    found = {member.key: member for member in here}
    if agrees and not away and not (agrees in found and access.may(found[agrees], May.DECIDE_CHANGE)):
        raise refuse("agrees", _CAN_NO_LONGER)
    if len(found) < len(wanted):
        raise refuse("present", "Somebody ticked is no longer in the campaign. Write their name instead.")
    typed = presence.typed(guests)
    if len(typed) > _MOST_GUESTS or any(len(name) > _LONGEST_NAME for name in typed):
        raise refuse("guests", f"At most {_MOST_GUESTS} names, each of {_LONGEST_NAME} characters at most.")
    for_whom = away.key if away else ""
    members = [Present(str(found[key].user), key, key == agrees, for_whom if key == agrees else "") for key in wanted]
    return [*members, *(Present(name, "") for name in typed)]


def not_locked(campaign: Campaign) -> str:
    """Why no change can be raised on a brief that is not locked."""
    if campaign.open_version_id:
        return "The brief is out for signature and not locked yet: say in a comment what should be different."
    return "The brief is not locked, so nothing stands in the way of editing it. A change is for what was signed."


def _need_words(change: Change) -> None:
    wrong = {}
    if not change.why:
        wrong["why"] = "Say why: whoever decides was perhaps not there."
    if not change.asked_by:
        wrong["asked_by"] = "Say who asked for it, by name."
    if wrong:
        raise ValidationError(wrong)


def _check_amounts(change: Change) -> None:
    hours = (change.hours_low, change.hours_likely, change.hours_high)
    given = [one for one in hours if one is not None]
    if given and len(given) < len(hours):
        raise refuse(
            "hours_likely", "Give all three: the fewest hours, the likely ones and the most; they may be equal."
        )
    if given and not Decimal(0) <= given[0] <= given[1] <= given[2]:
        raise refuse("hours_likely", "The fewest hours come first, then the likely ones, then the most.")
    if (change.money is None) != (not change.currency):
        raise refuse("money", "An amount needs its currency, and a currency its amount.")
    change.currency = change.currency.upper()
    if change.currency and not (len(change.currency) == 3 and change.currency.isascii() and change.currency.isalpha()):
        raise refuse("currency", "Write the currency as three letters, such as GBP or EUR (ISO 4217).")


def _raised(by: Member, change: Change) -> Change:
    if not change.what:
        raise refuse("what", "Say in a sentence what shall be different.")
    change.full_clean(exclude=["campaign", "on_version", "raised_by", "photo"], validate_constraints=False)
    for name, most in LONGEST.items():
        if len(getattr(change, name)) > most:
            raise refuse(name, f"That is too long: {most} characters at most.")
    change.save()
    on_set: dict[str, Any] = {}
    if change.kind == Change.Kind.PIVOT:
        # For the sentence alone: by keys they are in the proof.
        there = {"present": presence.names(change.present), "guests": presence.guests(change.present)}
        on_set = there | {"agrees": change.agrees_name}
    log.append(
        by,
        "change.raised",
        f"change/{change.key}",
        number=change.number,
        kind=str(change.kind),
        on_version=change.on_version.number,
        what=change.what,
        asked_by=change.asked_by,
        opens=[list(place) for place in change.opens],
        opens_words=change.opens_words,
        hours=[plain(hours) for hours in (change.hours_low, change.hours_likely, change.hours_high)],
        # Money stays out of the log, which more people read: its place in the digest proves it.
        proof=proof_of(change),
        **on_set,
    )
    return change


def _answer(by: Member, change: str, state: str, typed_name: str, why: str, signer: str) -> Change:
    hold(by, May.READ_DRAFT)
    away = decider(by, signer)
    row = _row(by, change)
    if row.state == state and row.decided_by_id == by.pk:
        return row
    _need_undecided(row)
    if not typed_name.strip():
        raise refuse("typed_name", "Type your name as you decide.")
    if state == Change.State.REFUSED and not why.strip():
        raise refuse("why", "Say why it is refused: whoever asked will read it.")
    _decide(by, row, state, typed_name.strip(), why.strip(), away)
    return row


def decider(by: Member, signer: str) -> Member | None:
    """The signer in whose place `by` decides, None where it is for themself. Raises PermissionDenied."""
    if signer in ("", by.key):
        access.need(by, May.DECIDE_CHANGE)
        return None
    held = delegation.in_place_of(by, signer)
    if held is None or not access.may_decide_for(held.signer, by):
        raise PermissionDenied(
            "Nobody has asked you to decide for them, the days for which they asked are over, or you may not read what "
            "a change costs."
        )
    return held.signer


def _row(by: Member, key: str) -> Change:
    found: Change = Change.objects.select_related("decided_by__user", "raised_by__user").get(
        key=key, campaign=by.campaign_id
    )
    return found


def _need_undecided(change: Change) -> None:
    if change.state != Change.State.ASKED and change.decided_by:
        raise BriefClosed(f"{change.decided_by.user} {change.state} change {change.number} already. That is final.")


def _decide(by: Member, change: Change, state: str, name: str, why: str, away: Member | None = None) -> None:
    change.state, change.decided_by, change.decided_at = state, by, timezone.now()
    change.decided_for = away
    change.decided_name, change.decided_why = name, why
    change.decided_away = (
        state == Change.State.ACCEPTED and change.kind == Change.Kind.PIVOT and not was_there(by, change)
    )
    if len(why) > LONGEST["decided_why"]:
        raise refuse("why", f"That is too long: {LONGEST['decided_why']} characters at most.")
    change.full_clean(exclude=["campaign", "on_version", "raised_by", "photo"], validate_constraints=False)
    names = ("state", "decided_by", "decided_for", "decided_at", "decided_name", "decided_why", "decided_away")
    change.save(update_fields=names)
    more: dict[str, Any] = {"away": AWAY} if change.decided_away else {}
    if away:
        more |= {"signer": away.key, "signer_name": str(away.user)}
    log.append(
        by,
        f"change.{change.state}",
        f"change/{change.key}",
        number=change.number,
        what=change.what,
        name=name,
        reason=why,
        opens_words=change.opens_words,
        **more,
    )


def was_there(member: Member, pivot: Change) -> bool:
    """Whether this member raised the pivot or is among those who were present."""
    return pivot.raised_by_id == member.pk or presence.was_there(pivot.present, member.key, str(member.user))


def cite(version: Version) -> None:
    """Note on the changes that a version cites that it is locked: what they opened is closed with it.

    Within the act that locks. Those accepted after it was put forward are not in its document, and stay open.
    """
    cited = [row["id"] for row in json.loads(version.document).get("changes", [])]
    Change.objects.filter(campaign=version.campaign_id, key__in=cited, in_version=None).update(in_version=version)
