"""Whether a layout is another one's file: last week's saved anew, another language's, or named for another language.

This is found when a page reads, not by the worker: its result must depend on its inputs alone, for it is shared by all
layouts of the same file and format, while what a layout is like changes with every file that comes beside it.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from django.db.models.fields.json import KeyTextTransform

from layouts.imaging.inspecting.fault import Fault, Order
from layouts.imaging.inspecting.identity import other_language, same_as, same_as_language
from layouts.overlays.models import Layout
from portal.models import Campaign, Work
from portal.people.languages import name_of

Doubts = dict[str, list[dict[str, str]]]


class _Row(NamedTuple):
    place: str
    shot: int
    format: int
    language: str
    wanted: bool
    revision: int
    current: bool
    file: int
    name: str
    pixels: str | None


def doubts(campaign: Campaign, *, shot: str = "", keys: Iterable[str] | None = None) -> Doubts:
    """By a placement's key, what of its current layout is worth a look beside the campaign's others, as faults are
    kept: {code, level, says}. One query, of all revisions of these shots or placements' shots."""
    rows = Layout.objects.filter(placement__shot__campaign=campaign, work__state=Work.State.DONE)
    if shot:
        rows = rows.filter(placement__shot__key=shot)
    if keys is not None:
        rows = rows.filter(placement__shot__placements__key__in=list(keys)).distinct()
    told = rows.annotate(pixels=KeyTextTransform("pixels", "work__result")).order_by("placement_id", "-revision")
    fields = ("key", "shot_id", "format_id", "language", "wanted")
    found = told.values_list(
        *(f"placement__{name}" for name in fields), "revision", "current", "file_id", "name", "pixels"
    )
    return _of([_Row(*row) for row in found], campaign.languages)


def _of(rows: Sequence[_Row], languages: Sequence[str]) -> Doubts:
    of_place, beside = defaultdict(list), defaultdict(list)
    for row in rows:
        of_place[row.place].append(row)
        if row.current and row.wanted:
            beside[row.shot, row.format].append(row)
    called = tuple((tag, name_of(tag)) for tag in languages)
    found: Doubts = {}
    for row in rows:
        if row.current:
            faults = [
                *_older(row, of_place[row.place]),
                *_other(row, beside[row.shot, row.format]),
                *other_language(row.name, Order(language=row.language, languages=called)),
            ]
            if faults:
                found[row.place] = [_kept(fault) for fault in faults]
    return found


def _older(row: _Row, revisions: Sequence[_Row]) -> list[Fault]:
    """The newest older revision with these pixels in other bytes; the same bytes are asked about when they come."""
    for other in revisions:
        if other.revision < row.revision and other.pixels and other.pixels == row.pixels and other.file != row.file:
            return [same_as(f"revision {other.revision}", "pixel for pixel, though saved anew")]
    return []


def _other(row: _Row, others: Sequence[_Row]) -> list[Fault]:
    """Another language's layout with these pixels; two regions of one language may well share theirs."""
    for other in others:
        if other.pixels and other.pixels == row.pixels and _main(other.language) != _main(row.language):
            return [same_as_language(name_of(other.language), name_of(row.language))]
    return []


def _main(tag: str) -> str:
    return tag.replace("_", "-").partition("-")[0].casefold()


def _kept(fault: Fault) -> dict[str, Any]:
    return {"code": fault.code, "level": fault.level, "says": fault.says}
