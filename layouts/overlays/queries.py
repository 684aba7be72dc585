"""Reads of layouts: what each placement has, what is asked about, what was refused."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Prefetch, QuerySet

from layouts.formats.models import Placement
from layouts.formats.queries import ordered, state, with_layout, words
from layouts.overlays import looking
from layouts.overlays.doubts import doubts
from layouts.overlays.models import Incoming, Layout
from portal.models import Campaign, Member, Work
from portal.people.languages import name_of
from portal.site.sentences import Clause, sentence, told

# Up to this many placements stand on one page; above it, the page shows one shot at a time.
ON_ONE_PAGE = 60
# A question offers this many placements to choose from; what leaves more open is asked by shot, format and language.
MOST_CHOICES = 8
# So many questions are asked at once; the others follow.
MOST_QUESTIONS = 20


def window_of(layout: Layout) -> dict[str, int] | None:
    """The poster's own area in pixels of the file, {x, y, width, height}: as corrected, else as found.

    None until the file has been inspected.
    """
    if layout.window:
        corrected: dict[str, int] = layout.window
        return corrected
    found = layout.work.result.get("window") if layout.work.state == Work.State.DONE else None
    return {side: found[side] for side in ("x", "y", "width", "height")} if found else None


@dataclass(frozen=True)
class Line:
    """A placement as the page of layouts shows it."""

    placement: Placement
    layout: Layout | None
    revisions: int
    # Whether the campaign has more than one language, so that this one's is to be named.
    several: bool = True
    # What is in doubt of it beside the campaign's other layouts, as faults are.
    doubts: Sequence[dict[str, str]] = ()

    @property
    def state(self) -> str:
        """ "owed", "working", "failed", "fix" or "in"."""
        if self.layout is None:
            return "owed"
        return state(self.layout.revision, self.layout.work.state, self.layout.work.result.get("must_fix"))

    @property
    def open(self) -> bool:
        return self.state == "working"

    @property
    def says(self) -> str:
        """Where this one placement stands, in a sentence."""
        if not self.placement.wanted:
            return "This placement is not wanted now. What has come for it stays here."
        if self.layout is None:
            return "Its layout is still owed."
        return {
            "working": f"Revision {self.layout.revision} is being checked.",
            "failed": f"Revision {self.layout.revision} could not be read.",
            "fix": f"Revision {self.layout.revision} has come, and must be mended.",
            "in": f"Revision {self.layout.revision} has come; nothing in it must be mended.",
        }[self.state]

    @property
    def language(self) -> str:
        return name_of(self.placement.language)

    @property
    def window(self) -> dict[str, int] | None:
        return window_of(self.layout) if self.layout else None

    @property
    def faults(self) -> list[dict[str, Any]]:
        """What inspection found, must-fix first: {code, level, says}."""
        if self.layout is None or self.layout.work.state != Work.State.DONE:
            return []
        found = [*self.layout.work.result.get("faults", []), *self.doubts]
        return sorted(found, key=lambda fault: fault["level"] != "must-fix")


def _current() -> Any:
    rows = Layout.objects.filter(current=True).select_related("work", "file", "sent_by__user")
    return Prefetch("layouts", rows, to_attr="now_layouts")


def lines(campaign: Campaign, *, shot: str = "", keys: Iterable[str] | None = None) -> list[Line]:
    """The wanted placements with their current layouts, in order, in three queries; of one shot, or of these keys."""
    found = ordered(campaign)
    if shot:
        found = found.filter(shot__key=shot)
    if keys is not None:
        keys = list(keys)
        found = found.filter(key__in=keys)
    rows: Any = found.annotate(revisions=Count("layouts")).prefetch_related(_current())
    several = len(campaign.languages) > 1
    found_doubts = doubts(campaign, shot=shot, keys=keys)
    order = {tag: place for place, tag in enumerate(campaign.languages)}
    # Languages stand as the campaign orders them; shots and formats are in order already.
    rows = sorted(
        rows,
        key=lambda row: (row.shot.number, row.format.position, row.format_id, order.get(row.language, len(order))),
    )
    return [Line(row, _now(row), row.revisions, several, found_doubts.get(row.key, ())) for row in rows]


def line(campaign: Campaign, placement: str) -> Line:
    """One placement's line, wanted or not. Raises Placement.DoesNotExist, also for another campaign's."""
    found = Placement.objects.filter(shot__campaign=campaign).select_related("shot", "format")
    row: Any = found.annotate(revisions=Count("layouts")).prefetch_related(_current()).get(key=placement)
    return Line(row, _now(row), row.revisions, doubts=doubts(campaign, keys=[placement]).get(placement, ()))


def _now(row: Any) -> Layout | None:
    return row.now_layouts[0] if row.now_layouts else None


@dataclass(frozen=True)
class Standing:
    """How many placements are in each state, over all and shot by shot; and how many files wait for an answer."""

    counts: Counter[str]
    by_shot: dict[int, Counter[str]]
    asked: int

    @property
    def total(self) -> int:
        return self.counts.total()

    def says(self, *, mine: bool) -> str:
        """Where the layouts stand; `mine` where the reader is one of those who answer and send."""
        if not self.total:
            return "No layouts are owed: there are no placements yet. They come from shots and formats."
        counts = self.counts
        waits = ("waits for your answer", "wait for your answer") if mine else ("is asked about", "are asked about")
        said = told(
            [
                Clause(counts["owed"], "layout", "is still owed", "are still owed"),
                Clause(counts["fix"], "layout", "must be mended", "must be mended"),
                Clause(counts["failed"], "layout", "could not be read", "could not be read"),
                Clause(counts["working"], "layout", "is being checked", "are being checked"),
                Clause(self.asked, "file", *waits),
            ]
        )
        return said or "Every layout is in, and nothing is wrong with any of them."


def standing(campaign: Campaign) -> Standing:
    """Counts of the wanted placements by state, in two queries."""
    rows = with_layout(Placement.objects.filter(shot__campaign=campaign, wanted=True).order_by())
    counts: Counter[str] = Counter()
    by_shot: dict[int, Counter[str]] = {}
    for shot, revision, work, must_fix in rows.values_list("shot_id", "now__revision", "now__work__state", "must_fix"):
        found = state(revision, work, must_fix)
        counts[found] += 1
        by_shot.setdefault(shot, Counter())[found] += 1
    return Standing(counts, by_shot, incoming(campaign, Incoming.State.ASKED).count())


def incoming(campaign: Campaign, *states: str) -> QuerySet[Incoming]:
    """Files that came, newest first, in these states, with who sent them."""
    return Incoming.objects.filter(campaign=campaign, state__in=states).select_related("sent_by__user", "file")


def came_since(member: Member, first: str) -> list[Incoming]:
    """The files that this member sent, from the one with this key on; none for a key that is not theirs."""
    mine = Incoming.objects.filter(campaign=member.campaign_id, sent_by=member)
    since = mine.filter(key=first).values_list("pk", flat=True).first() if first else None
    return list(mine.filter(pk__gte=since).order_by("pk")[:200]) if since else []


@dataclass(frozen=True)
class Question:
    """A file whose place is asked about, with the placements it may be for, likeliest first.

    `wrong`: why the answer that was just given was refused.
    """

    incoming: Incoming
    candidates: list[Placement]
    wrong: str = ""
    # The work on its small picture; None where that was never owed.
    look: Work | None = None

    @property
    def choices(self) -> list[tuple[Placement, str]]:
        return [(row, sentence(words(row)).rstrip(".")) for row in self.candidates]

    @property
    def wide_open(self) -> bool:
        """Whether it may be for any placement, not just for one of a few."""
        return not self.candidates or len(self.incoming.candidates) > MOST_CHOICES

    @property
    def size(self) -> tuple[int, int] | None:
        return (self.incoming.file.width, self.incoming.file.height) if self.incoming.file else None


def questions(campaign: Campaign, wrong: dict[str, str] | None = None) -> list[Question]:
    """The files that are asked about, oldest first, each with its likeliest candidates that are still wanted.

    `wrong`: an incoming file's key and why its answer was refused.
    """
    wrong = wrong or {}
    asked = list(incoming(campaign, Incoming.State.ASKED).order_by("sent_at", "pk")[:MOST_QUESTIONS])
    offered = {row.key: row.candidates[:MOST_CHOICES] for row in asked}
    keys = {key for some in offered.values() for key in some}
    found = {row.key: row for row in ordered(campaign).filter(key__in=keys)} if keys else {}
    looks = looking.looks(row.file for row in asked)
    return [
        Question(
            row,
            [found[key] for key in offered[row.key] if key in found],
            wrong.get(row.key, ""),
            looks.get(row.file.sha256) if row.file else None,
        )
        for row in asked
    ]


def choose(campaign: Campaign) -> dict[str, list[tuple[str, str]]]:
    """What a placement is chosen by: value and words of each shot, format and language."""
    return {
        "shot": [(row.key, str(row)) for row in campaign.shots.all()],
        "format": [(row.key, row.name) for row in campaign.formats.all()],
        "language": [(tag, name_of(tag)) for tag in campaign.languages],
    }


def chosen(campaign: Campaign, *, shot: str, format: str, language: str) -> str:
    """The key of the wanted placement so chosen; empty where there is none."""
    found = ordered(campaign).filter(shot__key=shot, format__key=format, language=language)
    return found.values_list("key", flat=True).first() or ""


def revisions(placement: Placement) -> QuerySet[Layout]:
    """All revisions of a placement's layout, newest first."""
    return placement.layouts.select_related("file", "work", "sent_by__user")


def campaigns_of(work: Work) -> list[int]:
    """Primary keys of the campaigns whose layouts this work belongs to."""
    return list(Layout.objects.filter(work=work).values_list("placement__shot__campaign", flat=True).distinct())


def current_of(work: Work) -> list[Placement]:
    """The placements whose current layout this work prepares."""
    return list(Placement.objects.filter(layouts__work=work, layouts__current=True))
