"""Opening the draft for an act: access, the lock and what changes have opened of it, the campaign's row held meanwhile.

A place is a section and a shot's key, "" for the whole section. A locked brief opens only in the places that accepted
changes name, until a version that cites those changes is locked.
"""

from dataclasses import dataclass, field

from django.core.exceptions import ValidationError
from django.db.models import FilteredRelation, Q

from portal import access
from portal.brief.models import Campaign, Version
from portal.people.models import Member
from portal.site.sentences import joined

ANY = None  # as a shot: any of the section, where the row that tells the shot is not yet read
# Follows from what is done elsewhere: open as soon as any place is.
_FOLLOWS = ("waivers",)


class BriefClosed(Exception):
    """The brief cannot be edited now; the message is the sentence that people read."""


@dataclass
class Held:
    """What holds a brief: numbers of the versions that are locked and out, and what accepted changes have opened."""

    locked: int | None
    out: int | None
    # First characters of their digests, in groups of four, as stamps have them.
    locked_stamp: str
    out_stamp: str
    # Number of the change, its places, the same in words.
    opened: list[tuple[int, list[tuple[str, str]], str]]
    # Shots by key, whether the locked version has them not: what belongs to a new shot is opened with it.
    new_shots: dict[str, bool] = field(default_factory=dict)

    @property
    def places(self) -> set[tuple[str, str]]:
        return {place for _, places, _ in self.opened for place in places}

    @property
    def says_opened(self) -> str:
        """ "change 3 has opened the props of shot 2"; empty where nothing is opened."""
        return joined([f"change {number} has opened {words}" for number, places, words in self.opened if places])


def held(campaign: Campaign) -> Held:
    """What holds this brief; one query for each campaign object that is locked or has a version out, none else."""
    of = (campaign.locked_version_id, campaign.open_version_id)
    kept: tuple[tuple[int | None, int | None], Held] | None = campaign.__dict__.get("_held")
    if kept is None or kept[0] != of:
        kept = campaign.__dict__["_held"] = (of, _read(campaign) if any(of) else Held(None, None, "", "", []))
    return kept[1]


def _read(campaign: Campaign) -> Held:
    open_ones = Q(changes__state="accepted", changes__in_version=None)
    rows = (
        Campaign.objects.filter(pk=campaign.pk)
        .annotate(opening=FilteredRelation("changes", condition=open_ones))
        .order_by("opening__number")
        .values_list(
            "locked_version__number",
            "open_version__number",
            "locked_version__digest",
            "open_version__digest",
            "opening__number",
            "opening__opens",
            "opening__opens_words",
        )
    )
    found = list(rows)
    opened = [
        (number, [(place[0], place[1]) for place in opens], words) for *_, number, opens, words in found if number
    ]
    locked, out, locked_digest, out_digest, *_ = found[0]
    return Held(locked, out, _stamp(locked_digest), _stamp(out_digest), opened)


def _stamp(digest: str | None) -> str:
    return f"{digest[:4]} {digest[4:8]}" if digest else ""


def closed_because(campaign: Campaign, section: str = "", shot: str | None = "") -> str:
    """Why a place of the brief is closed to editing, as a sentence; empty when it is open.

    Without a section: why the brief as a whole is. `shot` may be ANY. The brief is closed while a version is out for
    signature, and not only once it is locked: people sign one digest, and a draft that moves on under their pens would
    have them read pages that are not what they sign, and would leave edits that nobody agreed to in the brief that
    comes after. To go on editing one says so, by withdrawing or declining, with a reason that the others read.
    """
    if not (campaign.locked_version_id or campaign.open_version_id):
        return ""
    here = held(campaign)
    if here.out is not None:
        stays = "" if here.locked is None else f" Version {here.locked} stays locked until then."
        return (
            f"Version {here.out} is out for signature, so the brief is closed to editing. "
            f"Whoever put it forward can withdraw it.{stays}"
        )
    if _opens(here, campaign, section, shot):
        return ""
    if here.places:
        return (
            f"The brief is locked as version {here.locked}; {here.says_opened}. "
            "All else stays as it was signed, until a change opens it."
        )
    return (
        f"The brief is locked as version {here.locked}. "
        "What was signed is not edited: raise a change, which opens what it names once a signer accepts it."
    )


def forward_closed_because(campaign: Campaign) -> str:
    """Why no version can be put forward, as a sentence: one is out, or one is locked and nothing opened it since."""
    here = held(campaign)
    return "" if here.out is None and here.opened else closed_because(campaign)


def _opens(here: Held, campaign: Campaign, section: str, shot: str | None) -> bool:
    places = here.places
    if not section or not places:
        return False
    if (section, "") in places or section in _FOLLOWS:
        return True
    adds_shots = ("shots", "") in places
    if shot is ANY:
        return adds_shots or any(named == section for named, _ in places)
    return (section, shot) in places or bool(shot and adds_shots and _is_new(here, campaign, shot))


def _is_new(here: Held, campaign: Campaign, shot: str) -> bool:
    """Whether the locked version does not know this shot: a key is random, so its text is proof enough."""
    if shot not in here.new_shots:
        signed = Version.objects.filter(pk=campaign.locked_version_id or 0, document__contains=f'"{shot}"')
        here.new_shots[shot] = not signed.exists()
    return here.new_shots[shot]


def open_draft(by: Member, act: access.May, section: str, shot: str | None = "") -> Campaign:
    """The campaign, locked for this transaction, for a member who may `act` on a place that is open.

    `shot` is its key, "" for what belongs to no one shot, or ANY where only the row tells it: `need_open` then comes
    right after the row is read. Raises PermissionDenied, BriefClosed.
    """
    campaign = hold(by, act)
    need_open(campaign, section, shot)
    return campaign


def hold(by: Member, act: access.May) -> Campaign:
    """The campaign, locked for this transaction, for a member who may `act`. Raises PermissionDenied."""
    access.need(by, act)
    # PostgreSQL refuses to lock the outer side of a join: the versions are loaded apart, when they are there.
    return Campaign.objects.select_for_update().get(pk=by.campaign_id)


def need_open(campaign: Campaign, section: str, shot: str | None = "") -> None:
    """Raise BriefClosed unless this place is open; `campaign` is the one that `open_draft` gave."""
    if reason := closed_because(campaign, section, shot):
        raise BriefClosed(reason)


def refuse(field: str, sentence: str) -> ValidationError:
    """A refusal that a form shows beside its field."""
    return ValidationError({field: sentence})
