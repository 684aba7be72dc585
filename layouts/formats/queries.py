"""Reads of formats and of the grid of placements."""

from dataclasses import dataclass
from typing import Any

from django.db.models import Count, FilteredRelation, Q, QuerySet
from django.db.models.fields.json import KeyTransform

from layouts.formats.models import Format, Placement
from portal.brief import reading
from portal.models import Campaign, Comment, Work
from portal.people.languages import name_of
from portal.site.sentences import Clause, count, joined, sentence, told
from shots.models import Shot
from shots.shot.queries import read as read_shots


def ordered(campaign: Campaign) -> QuerySet[Placement]:
    """The placements that are wanted, in order of shot, format and language tag."""
    return Placement.objects.filter(shot__campaign=campaign, wanted=True).select_related("shot", "format")


_STATES = "placement states"
_IN_ORDER = ("shot__number", "format__position", "format_id", "language")


def read(campaign: Campaign) -> list[Format]:
    """The campaign's formats in order, read once while a document or readiness is drawn up."""
    return reading.once(campaign, "formats", lambda: list(campaign.formats.all()))


def read_wanted(campaign: Campaign) -> list[Placement]:
    """The wanted placements in order, each with its shot and format; the same. Readiness has read them already."""
    return reading.once(campaign, "placements", lambda: _wanted(campaign))


def _wanted(campaign: Campaign) -> list[Placement]:
    formats, shots = {row.pk: row for row in read(campaign)}, {row.pk: row for row in read_shots(campaign)}
    if reading.has(campaign, _STATES):
        told = ("key", "language", "shot_id", "format_id", "crop")
        rows = [Placement(pk=row["pk"], **{name: row[name] for name in told}) for row in read_states(campaign)]
    else:
        found = Placement.objects.filter(shot__campaign=campaign, wanted=True)
        rows = list(found.order_by(*_IN_ORDER))
    for row in rows:
        row.shot, row.format = shots[row.shot_id], formats[row.format_id]
    return rows


def read_states(campaign: Campaign) -> list[dict[str, Any]]:
    """What came of each wanted placement's layout and preview, in order: rows for readiness, read once.

    Plain values of one query: a large campaign has 1,440 placements, and readiness is asked after every act.
    """
    return reading.once(campaign, _STATES, lambda: list(_states(campaign)))


def _states(campaign: Campaign) -> Any:
    rows = with_layout(Placement.objects.filter(shot__campaign=campaign, wanted=True)).annotate(
        worth_a_look=KeyTransform("worth_a_look", "now__work__result"),
        measured=KeyTransform("measured", "preview__work__result"),
    )
    return rows.order_by(*_IN_ORDER).values(
        "pk",
        "key",
        "language",
        "format_id",
        "crop",
        "shot_id",
        "shot__key",
        "shot__number",
        "format__name",
        "now__revision",
        "now__sent_at",
        "now__work__state",
        "now__work__says",
        "must_fix",
        "worth_a_look",
        "preview__work__state",
        "preview__work__says",
        "measured",
    )


def words(placement: Placement) -> str:
    """A placement as people say it: "shot 2, 6-sheet, Welsh"."""
    return f"shot {placement.shot.number}, {placement.format}, {name_of(placement.language)}"


def with_layout(placements: QuerySet[Placement]) -> Any:
    """Join each placement's current layout and its work, as `now`, for `values_list`."""
    return placements.annotate(
        now=FilteredRelation("layouts", condition=Q(layouts__current=True)),
    ).annotate(must_fix=KeyTransform("must_fix", "now__work__result"))


def state(revision: int | None, work: str | None, must_fix: int | None) -> str:
    """A placement's state in a word: "owed", "working", "failed", "fix" or "in"."""
    if revision is None:
        return "owed"
    if work == Work.State.FAILED:
        return "failed"
    if work != Work.State.DONE:
        return "working"
    return "fix" if must_fix else "in"


# slots: a grid can have thousands.
@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of the grid. `state` is "none" where no placement is, "off" where it is not wanted, else of `state`."""

    key: str
    state: str
    revision: int | None

    @property
    def word(self) -> str:
        """What stands in the cell."""
        if self.state in ("off", "none", "owed"):
            return {"off": "no", "none": "", "owed": "owed"}[self.state]
        more = {"fix": " fix", "failed": " fix", "working": " …", "in": ""}[self.state]
        return f"r{self.revision}{more}"


@dataclass(frozen=True)
class Column:
    """A format in a language: `first` where the format's group of columns starts."""

    format: Format
    tag: str
    language: str
    first: bool
    all_wanted: bool


@dataclass(frozen=True)
class Row:
    """A shot: each of its cells with the column it stands in."""

    shot: Shot
    paired: list[tuple[Cell, Column]]

    @property
    def all_wanted(self) -> bool:
        return all(cell.state != "off" for cell, _ in self.paired)


@dataclass(frozen=True)
class Grid:
    """Shot by format by language."""

    formats: list[Format]
    columns: list[Column]
    rows: list[Row]
    languages: int
    counts: dict[str, int]

    @property
    def wanted(self) -> int:
        return sum(number for state, number in self.counts.items() if state not in ("off", "none"))

    @property
    def says(self) -> str:
        """Where the grid stands, in a sentence."""
        if not self.formats:
            return "No formats have been ordered yet."
        ordered = joined(
            [count(len(self.formats), "format"), count(self.languages, "language") if self.languages > 1 else ""]
        )
        if not self.rows:
            return sentence(
                f"{ordered} {'is' if ordered == 'one format' else 'are'} ordered, and no shots to put in them yet"
            )
        counts = self.counts
        owed = told(
            [
                Clause(counts["owed"], "layout", "is still owed", "are still owed"),
                Clause(counts["fix"] + counts["failed"], "layout", "must be mended", "must be mended"),
                Clause(counts["working"], "layout", "is being checked", "are being checked"),
            ]
        )
        verb = "makes" if len(self.rows) == 1 else "make"
        makes = f"{count(len(self.rows), 'shot')} in {ordered} {verb} {count(self.wanted + counts['off'], 'placement')}"
        if counts["off"]:
            makes += f", and {count(self.wanted, 'of them', 'of them')} {'is' if self.wanted == 1 else 'are'} wanted"
        return f"{sentence(makes)} {owed or 'Every one has its layout.'}"


def grid(campaign: Campaign, *, shot: str = "") -> Grid:
    """The whole grid in three queries, or of one shot."""
    formats = list(campaign.formats.all())
    shots = campaign.shots.filter(key=shot) if shot else campaign.shots.all()
    tags = campaign.languages
    columns = [(format, tag) for format in formats for tag in tags]
    found = _cells(campaign, shot)
    counts = dict.fromkeys(("off", "none", "owed", "working", "failed", "fix", "in"), 0)
    off = [False] * len(columns)
    lines = []
    for row_of in shots:
        cells = [Cell(*found.get((row_of.pk, format.pk, tag), ("", "none", None))) for format, tag in columns]
        for number, cell in enumerate(cells):
            counts[cell.state] += 1
            off[number] = off[number] or cell.state == "off"
        lines.append((row_of, cells))
    heads = [
        Column(format, tag, name_of(tag), tag == tags[0], not off[number])
        for number, (format, tag) in enumerate(columns)
    ]
    rows = [Row(row_of, list(zip(cells, heads, strict=True))) for row_of, cells in lines]
    return Grid(formats, heads, rows, len(tags), counts)


def _cells(campaign: Campaign, shot: str) -> dict[tuple[int, int, str], tuple[str, str, int | None]]:
    placements = Placement.objects.filter(shot__campaign=campaign).order_by()
    if shot:
        placements = placements.filter(shot__key=shot)
    rows = with_layout(placements).values_list(
        "shot_id", "format_id", "language", "key", "wanted", "now__revision", "now__work__state", "must_fix"
    )
    return {
        (shot_id, format_id, tag): (key, state(revision, work, must_fix) if wanted else "off", revision)
        for shot_id, format_id, tag, key, wanted, revision, work, must_fix in rows
    }


def of_row(campaign: Campaign, shot: str) -> list[str]:
    """Keys of a shot's placements in the campaign's languages."""
    found = Placement.objects.filter(shot__key=shot, shot__campaign=campaign, language__in=campaign.languages)
    return list(found.values_list("key", flat=True))


def of_column(campaign: Campaign, format: str, tag: str) -> list[str]:
    """Keys of a format's placements in one language."""
    found = Placement.objects.filter(format__key=format, shot__campaign=campaign, language=tag)
    return list(found.values_list("key", flat=True))


@dataclass(frozen=True)
class Goes:
    """What goes when a format is removed."""

    name: str
    placements: int
    layouts: int
    revisions: int
    comments: int

    @property
    def sentence(self) -> str:
        parts = [count(self.placements, "placement")]
        if self.layouts:
            more = "" if self.revisions == self.layouts else f" in {count(self.revisions, 'revision')}"
            parts.append(f"{count(self.layouts, 'layout')}{more}")
        if self.comments:
            parts.append(count(self.comments, "comment"))
        return f"With {self.name} go {joined(parts)}."


def what_goes(format: Format) -> Goes:
    """Counts of what hangs on a format."""
    keys = [f"placement/{key}" for key in format.placements.values_list("key", flat=True)]
    found: dict[str, Any] = format.placements.aggregate(
        revisions=Count("layouts"), layouts=Count("layouts", filter=Q(layouts__current=True))
    )
    comments = Comment.objects.filter(subject__in=keys).count()
    return Goes(format.name, len(keys), found["layouts"], found["revisions"], comments)
