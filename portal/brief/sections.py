"""The registry of the brief's sections: each topic declares its own once, in its section.py."""

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlsplit

from portal.access import May, Role
from portal.brief import reading
from portal.brief.fields import Words
from portal.brief.models import Campaign
from portal.record.canonical import canonical, digest
from portal.waivers import queries as waivers
from portal.waivers.models import Waiver

LEVELS = ("must-fix", "waived", "worth-a-look")


@dataclass(frozen=True)
class Finding:
    """Something that readiness found.

    `level` is "must-fix" (stands between the brief and the lock) or "worth-a-look"; a must-fix that a signer has waived
    is given as "waived", with its `waiver`. `says` is a sentence.
    `what` and `wants` are its short form for the owed list ("Street poster, Welsh": "designer owes a file").
    `roles` can mend it, none named means anyone; `url` leads to the very place.
    """

    level: str
    says: str
    what: str
    wants: str
    roles: tuple[Role, ...]
    url: str
    # Findings of one kind are counted together in the sentence: see Section.kinds.
    kind: str = ""
    # No signer can waive it: nothing would be there to sign, nothing is known yet, or somebody could be hurt.
    waivable: bool = True
    waiver: Waiver | None = None
    # Number of the shot that `says` names first; None where it names none. A shot that is moved gets another number.
    shot: int | None = None

    @property
    def key(self) -> str:
        """What it is known by, as long as kind, place and sentence stay: with another measure it is another finding.

        SHA-256 of the canonical form (RFC 8785) of those three, the sentence without the number of its own shot: the
        place holds the shot's or the placement's own key, which stays when shots are moved.
        """
        says = self.says if self.shot is None else re.sub(rf"(?i)\b(shot) {self.shot}\b", r"\1", self.says, count=1)
        return digest(canonical([self.kind, urlsplit(self.url).path, says]))

    @property
    def key_with_number(self) -> str:
        """The key that waivers of earlier releases hold: with the number, so that it ends when the shot is moved."""
        return digest(canonical([self.kind, urlsplit(self.url).path, self.says]))


@dataclass(frozen=True)
class Picture:
    """A copy of a file, for pages: its path in the store, its type (a key of files.sending.MIME), its size in px."""

    path: str
    type: str
    width: int
    height: int


Pictures = Callable[[Campaign, Collection[str]], dict[str, Picture]]


@dataclass(frozen=True)
class Section:
    """One section of the brief.

    `assemble` draws plain data from the rows; `ready` finds what is missing; `template` shows the section's
    data on the put-forward brief and in print. `read` is the capability that it asks for besides the version's.
    `kinds` has words for its kinds of findings: {"layout-owed": ("layout", "is still owed", "are still owed")}, the
    noun, what is said of one, of many, and the plural of a noun that is not regular.
    `words` say its data and what differs in it. `pictures` finds copies of the files that it names by SHA-256, among
    the campaign's own, in a query or two.
    """

    name: str
    title: str
    order: int
    assemble: Callable[[Campaign], Any]
    template: str
    ready: Callable[[Campaign], list[Finding]] = field(default=lambda _: [])
    read: May = May.READ_VERSIONS
    kinds: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    words: Words = field(default_factory=Words)
    pictures: Pictures = field(default=lambda _, __: {})


Check = Callable[[Campaign], list[Finding]]
_sections: dict[str, Section] = {}
_checks: dict[str, Check] = {}


def register(section: Section) -> None:
    """Add a section; called once each from AppConfig.ready."""
    _sections[section.name] = section


def register_check(name: str, check: Check) -> None:
    """Add findings of a topic that is no part of the document; called once from AppConfig.ready."""
    _checks[name] = check


def sections() -> list[Section]:
    """All sections, in the order of the brief."""
    return sorted(_sections.values(), key=lambda section: section.order)


def assemble(campaign: Campaign) -> dict[str, Any]:
    """The brief's document: section name to plain data with stable keys."""
    campaign = reading.begin(campaign)
    return {section.name: section.assemble(campaign) for section in sections()}


def findings(campaign: Campaign) -> list[Finding]:
    """All that readiness finds: must-fix, then what is waived, then the rest, each in the order of the brief."""
    campaign = reading.begin(campaign)
    found = [finding for section in sections() for finding in section.ready(campaign)]
    found += [finding for check in _checks.values() for finding in check(campaign)]
    return sorted(waivers.marked(campaign, found), key=lambda finding: LEVELS.index(finding.level))


def words_for(kind: str) -> tuple[str, ...]:
    """A kind's words, as in Section.kinds; empty where no section declares any."""
    for section in _sections.values():
        if kind in section.kinds:
            return section.kinds[kind]
    return ()
