"""Two documents of a campaign beside each other, as one reader may read them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from portal import access
from portal.brief import sections
from portal.brief.models import Campaign
from portal.brief.telling import Line, tell
from portal.people.models import Member
from portal.record.diff import same
from portal.site.sentences import count, sentence

LISTED = 300  # lines of one section on a page


@dataclass(frozen=True)
class Shown:
    """A line, with copies of its pictures where there are any: (address, width, height) before and now."""

    line: Line
    was: tuple[str, int, int] | None = None
    now: tuple[str, int, int] | None = None

    @property
    def flickers(self) -> bool:
        """Whether both pictures are there, to be seen in turn."""
        return bool(self.was and self.now)


@dataclass(frozen=True)
class Part:
    """What differs in one section; `left_off` lines are not shown."""

    name: str
    title: str
    lines: list[Shown]
    left_off: int = 0


@dataclass(frozen=True)
class Comparison:
    """All that differs, in the order of the brief."""

    parts: list[Part]
    count: int

    @property
    def says(self) -> str:
        """How much differs, as a sentence."""
        if not self.parts:
            return "Nothing differs in what you may read."
        differ = f"{count(self.count, 'thing')} {'differs' if self.count == 1 else 'differ'}"
        return sentence(f"{differ}, in {count(len(self.parts), 'section')}")


def readable(member: Member, document: Mapping[str, Any]) -> dict[str, Any]:
    """The sections that this member may read. What this portal does not know is left out: nobody declared who may."""
    may = {section.name for section in sections.sections() if access.may(member, section.read)}
    return {name: data for name, data in document.items() if name in may}


def compare(member: Member, old: Mapping[str, Any], new: Mapping[str, Any]) -> Comparison:
    """What differs between two documents in what this member may read, with addresses of pictures."""
    known = {section.name: section for section in sections.sections()}
    told = tell(readable(member, old), readable(member, new), {name: one.words for name, one in known.items()})
    parts = []
    for section in known.values():
        if lines := told.get(section.name):
            shown = _with_pictures(member.campaign, section, lines[:LISTED])
            parts.append(Part(section.name, section.title, shown, max(len(lines) - LISTED, 0)))
    return Comparison(parts, sum(len(lines) for lines in told.values()))


def unseen(old: Mapping[str, Any], new: Mapping[str, Any]) -> list[str]:
    """Sections of a version that this portal does not know and that differ: by name alone."""
    known = {section.name for section in sections.sections()}
    names = sorted((old.keys() | new.keys()) - known)
    return [name for name in names if not same(old.get(name), new.get(name))]


def _with_pictures(campaign: Campaign, section: sections.Section, lines: list[Line]) -> list[Shown]:
    wanted = {sha256 for line in lines for sha256 in line.files or () if sha256}
    found = section.pictures(campaign, wanted) if wanted else {}

    def picture(sha256: str) -> tuple[str, int, int] | None:
        copy = found.get(sha256)
        if copy is None:
            return None
        address = reverse("portal:version-picture", args=[campaign.key, section.name, sha256])
        return address, copy.width, copy.height

    return [
        Shown(line, picture(line.files[0]), picture(line.files[1])) if line.files else Shown(line) for line in lines
    ]
