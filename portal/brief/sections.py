"""The registry of the brief's sections: each topic declares its own once, in its section.py."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from typing import Any

from portal.access import May
from portal.brief import reading
from portal.brief.fields import Words
from portal.brief.finding import LEVELS, Finding
from portal.brief.models import Campaign
from portal.waivers import queries as waivers


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
