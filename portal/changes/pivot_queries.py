"""Reads for a change on set: who may be there, who can agree, which shots there are, and photos as pages show them."""

import json
from collections.abc import Iterable
from dataclasses import dataclass

from django.urls import reverse

from portal import access
from portal.access import May
from portal.brief import sections
from portal.brief.models import Campaign
from portal.changes import places, queries
from portal.changes.models import Change
from portal.files import pictures
from portal.people.models import Member
from portal.work.models import Work


@dataclass(frozen=True)
class About:
    """What a change on set is about, in a person's words, and the section of the brief that it opens."""

    word: str
    label: str
    section: str
    # Who usually changes just this, so that it stands chosen for them.
    own: May | None


# In the order in which it is asked whose own work it is: whoever sends mockups may change most of the others too.
ABOUT = (
    About("picture", "the picture", "pictures", May.UPLOAD_MOCKUPS),
    About("food", "the food", "food", May.EDIT_FOOD),
    About("props", "the props", "props", May.EDIT_PROPS),
    About("light", "the light", "light", May.EDIT_LIGHT),
)
NOTHING = "nothing"


@dataclass(frozen=True)
class OnSet:
    """What the form offers: people with the reader first, signers, shots of the locked brief, what it can be about.

    `stand_ins`: who may decide in a signer's place today, with that signer.
    """

    people: list[Member]
    signers: list[Member]
    stand_ins: list[tuple[Member, Member]]
    shots: list[tuple[str, str]]
    about: list[About]
    usual: str


def on_set(member: Member) -> OnSet:
    """Two queries, and the locked version's document."""
    people = list(member.campaign.members.active().select_related("user"))
    people.sort(key=lambda one: one.pk != member.pk)
    known = {section.name for section in sections.sections()}
    about = [one for one in ABOUT if one.section in known]
    usual = next((one.word for one in about if one.own and access.may(member, one.own)), NOTHING)
    signers = access.those_who_may(people, May.DECIDE_CHANGE)
    return OnSet(people, signers, queries.stand_ins(people), shots(member.campaign), about, usual)


def shots(campaign: Campaign) -> list[tuple[str, str]]:
    """Key and label of the shots in the locked version, in its order; none where no brief is locked."""
    if campaign.locked_version is None:
        return []
    found = places.shots(json.loads(campaign.locked_version.document))
    return [(shot.key, f"Shot {shot.number}, {shot.title}") for shot in found]


@dataclass(frozen=True)
class Photo:
    """A change's photo for a page: the address of its copy with its size in px, or why there is none to show yet."""

    url: str
    original: str
    width: int
    height: int
    says: str = ""


def photos(changes: Iterable[Change]) -> dict[int, Photo]:
    """The photos of these changes (`photo`, `campaign` loaded) by the change's primary key; one query for all."""
    having = [change for change in changes if change.photo_id]
    works = pictures.copies([change.photo for change in having])
    return {change.pk: _photo(change, works) for change in having}


def _photo(change: Change, works: dict[str, Work]) -> Photo:
    assert change.photo is not None  # noqa: S101  the caller looked
    work = works.get(change.photo.sha256)
    copy = pictures.copy_in(work)
    names = [change.campaign.key, change.key]
    says = ""
    if not copy:
        failed = work is not None and work.state == Work.State.FAILED
        says = f"The photo cannot be shown: {work.says}" if work and failed else "The photo is being made ready."
    return Photo(
        reverse("portal:pivot-photo", args=names),
        reverse("portal:pivot-original", args=names),
        copy.get("width", 0),
        copy.get("height", 0),
        says,
    )
