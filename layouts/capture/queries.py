"""What pages show of a shot's capture plan: captures drawn and in tables, what is not served, what would change it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page
from django.urls import reverse
from django.utils.html import format_html

from layouts.capture import accepted, asking, drawing, words
from layouts.capture import rows as reading
from layouts.capture.asking import Asked, Row, plan_of
from layouts.capture.levers import answers, grouped, name_of
from layouts.capture.models import CapturePlan
from layouts.capture.rows import Rows
from layouts.imaging.framing import resolution
from layouts.imaging.framing.lens import distance_for, focal_for
from layouts.imaging.framing.plan import Capture, Crop, Plan
from layouts.imaging.framing.problem import TooLarge
from layouts.pictures.models import Mockup
from portal.models import Campaign
from portal.site.sentences import joined
from portal.templatetags.ui import measure
from shots.models import Shot

COLUMNS = (
    "Placement",
    ("Crop", "num"),
    ("Ordered", "num"),
    ("At full size", "num"),
    ("The eye needs", "num"),
    ("In the artwork", "num"),
    ("Artwork ordered at", "num"),
    ("To spare", "num"),
    "Verdict",
)
# Past so many formats the changes are worked out after the page has come, not before.
AT_ONCE = 12


@dataclass(frozen=True)
class Drawn:
    """A plan as it is shown. `plan` None: `asked.why` says why there is none, or `refused` that it is too large."""

    asked: Asked
    plan: Plan | None
    refused: str
    lens: CapturePlan
    rows: Rows

    @property
    def lead(self) -> str:
        return self.refused or words.lead(self.asked, self.plan)

    @property
    def digest(self) -> str:
        return self.asked.digest if self.plan else ""


def of_shot(shot: Shot, **levers: Any) -> Drawn:
    """The plan of a shot as its settings are, or with these levers."""
    return of_rows(reading.of_shot(shot), **levers)


def of_rows(rows: Rows, **levers: Any) -> Drawn:
    """The same from rows that are there already."""
    asked = asking.of_rows(rows, **levers)
    plan, refused = None, ""
    if asked.problem:
        try:
            plan = plan_of(asked.problem)
        except TooLarge as wrong:
            refused = str(wrong)
    return Drawn(asked, plan, refused, rows.plan, rows)


def shot_of(campaign: Campaign, shot: str) -> Shot:
    """The campaign's shot by its key, with the campaign at hand. Raises Shot.DoesNotExist."""
    found = Shot.objects.get(key=shot, campaign=campaign)
    found.campaign = campaign
    return found


def shown(drawn: Drawn) -> dict[str, Any]:
    """All that the template shows of a plan."""
    asked, plan = drawn.asked, drawn.plan
    return {
        "lead": drawn.lead,
        "digest": drawn.digest,
        "captures": [_capture(drawn, plan, n, one) for n, one in enumerate(plan.captures)] if plan else [],
        "columns": COLUMNS,
        "unserved": _unserved(drawn, plan) if plan else [],
        "left_out": [says for _, says in asked.left_out],
        "cautions": [*asked.cautions, *(plan.problem.cautions() if plan else [])],
        "straightens": words.straightens(plan) if plan and plan.captures else "",
        "settled": _settled(plan) if plan else "",
        "assumed": words.ASSUMED,
        "lens_wants": words.lens_wants(drawn.lens),
        "lens_moves": words.moved(drawn.lens, len(plan.captures)) if plan else "",
    }


def _settled(plan: Plan) -> str:
    if plan.settled >= len(plan.captures):
        return ""
    return (
        "The number of captures and the tightest placement are proven the best possible; how the others share out "
        "could not be settled within the steps allowed."
    )


def _capture(drawn: Drawn, plan: Plan, index: int, capture: Capture) -> dict[str, Any]:
    framing = capture.framing
    groups = _groups(drawn.asked, capture)
    mockup = drawn.asked.mockup
    outlined = [drawing.outlined(n, name, one, framing) for n, (name, one, _) in enumerate(groups, start=1)]
    way = "landscape" if framing.landscape else "portrait"
    several = len(plan.captures) > 1
    drawing_of = drawing.drawn(plan, capture, outlined, mockup, _picture(drawn, mockup))
    return {
        "number": index + 1,
        "title": f"Capture {index + 1} of {len(plan.captures)}" if several else "The capture",
        "way": way,
        "size": measure((round(framing.width), round(framing.height)), "px"),
        "hero": measure((round(plan.problem.hero_aspect * framing.density), round(framing.density)), "px"),
        "drawing": drawing_of,
        "alt": f"The {way} frame of capture {index + 1}: the hero, and {len(groups)} crops numbered as in the table",
        "rows": [_line(n, name, one, row, plan) for n, (name, one, row) in enumerate(groups, start=1)],
        "keys": [{"number": one.number, "name": one.name, "dash": drawing.dash_of(one.number)} for one in outlined],
        "lens": _lens(drawn.lens, capture, plan),
    }


def _groups(asked: Asked, capture: Capture) -> list[tuple[str, Crop, Row]]:
    """Crops that are one and the same, languages of one format, under one name."""
    by_id = {crop.placement.id: crop for crop in capture.crops}
    found = grouped(asked.placements[str(key)] for key in by_id)
    return [(_name(asked, rows), by_id[rows[0].placement.key], rows[0]) for rows in found]


def _name(asked: Asked, rows: list[Row]) -> str:
    """The format alone where all its languages stand together, else each by its name."""
    of_format = [row for row in asked.placements.values() if row.format.pk == rows[0].format.pk]
    if len(of_format) == len(rows):
        return rows[0].format.name
    return name_of(rows) if len(rows) == 1 else f"{rows[0].format.name}, {len(rows)} languages"


def _picture(drawn: Drawn, mockup: Mockup | None) -> str:
    wide = drawing.copy_width(mockup)
    if not mockup or not wide:
        return ""
    return reverse("layouts:mockup-image", args=[drawn.rows.campaign.key, mockup.key, wide])


def _line(number: int, name: str, crop: Crop, row: Row, plan: Plan) -> list[Any]:
    size = (crop.width, crop.height)
    x, y, wide, high = crop.pixels
    full = resolution.ppi_at_full_size(size, row.asks.mm) if row.asks.mm else None
    eye = resolution.ppi_for_the_eye(row.asks.distance_m) if row.asks.distance_m else None
    ordered = words.ordered_ppi(row)
    artwork = full * row.asks.artwork_scale if full and row.asks.artwork_scale else None
    return [
        format_html('<span class="mono">{}</span> {}', number, name),
        format_html("<span>{} <span class='quiet'>at {}, {}</span></span>", measure((wide, high), "px"), x, y),
        measure((round(row.asks.need[0]), round(row.asks.need[1])), "px"),
        _ppi(full),
        _ppi(eye),
        _ppi(artwork),
        _ppi(ordered),
        words.spare_figure(crop.spare),
        words.verdict(crop, row, plan.problem.enlargement),
    ]


def _ppi(value: float | None) -> Any:
    return "" if value is None else measure(value, "ppi", 1 if value < 100 else 0)


def _lens(lens: CapturePlan, capture: Capture, plan: Plan) -> str:
    if words.lens_wants(lens):
        return ""
    sensor = words.sensor_of(lens, plan.problem.long, plan.problem.short)
    hero = lens.hero_mm or 1.0
    if lens.distance_mm:
        return words.zoom(focal_for(capture.framing, sensor, hero, lens.distance_mm))
    return words.zoom(distance_for(capture.framing, sensor, hero, lens.focal_mm or 1.0))


def _unserved(drawn: Drawn, plan: Plan) -> list[list[str]]:
    by_id = {str(one.placement.id): one for one in plan.not_served}
    groups = grouped(drawn.asked.placements[key] for key in by_id)
    return [
        words.unserved(plan, by_id[rows[0].placement.key], rows[0], _name(drawn.asked, rows), drawn.lens)
        for rows in groups
    ]


def changes(drawn: Drawn) -> list[Any]:
    """What would change the plan, each with its answer; none where there is no plan."""
    return answers(drawn.asked) if drawn.plan else []


def allowed(drawn: Drawn) -> list[str]:
    """What the designer has allowed, in sentences."""
    names: dict[tuple[str, float], list[str]] = {}
    for key, agreed in drawn.lens.tolerances.items():
        row = drawn.asked.placements.get(key)
        if row:
            names.setdefault((agreed["name"], agreed["down_to"]), []).append(row.label)
    return [
        f"{who} agreed that the hero may be down to {100 * share:g}\u202f% of its zone in {joined(labels)}."
        for (who, share), labels in names.items()
    ]


def at_once(drawn: Drawn) -> bool:
    """Whether there are few enough formats to work the changes out with the page."""
    return len(grouped(drawn.asked.placements.values())) <= AT_ONCE


def formats(rows: Rows) -> list[tuple[str, str]]:
    """The wanted formats of a shot, key and name, in their order."""
    return list({seen.placement.format.key: seen.placement.format.name for seen in rows.seen}.items())


def dropped_formats(rows: Rows, dropped: Iterable[str]) -> list[str]:
    """Keys of the formats of which every wanted placement is left out."""
    out = set(dropped)
    kept = {seen.placement.format.key for seen in rows.seen if seen.placement.key not in out}
    return [key for key, _ in formats(rows) if key not in kept]


def placements_of(rows: Rows, formats: Sequence[str]) -> tuple[str, ...]:
    """Keys of the wanted placements in these formats."""
    return tuple(seen.placement.key for seen in rows.seen if seen.placement.format.key in formats)


@dataclass(frozen=True)
class Line:
    """A shot on the page of all: what its plan says, and whether that was accepted."""

    shot: Shot
    says: str
    stands: str


def any_accepted(campaign: Campaign) -> bool:
    """Whether there is a plan to take to set."""
    return CapturePlan.objects.filter(shot__campaign=campaign, accepted_at__isnull=False).exists()


def lines(campaign: Campaign, shots: Page) -> list[Line]:
    """The shots of a page, each with its plan; planned from the cache where nothing has changed."""
    found = reading.of_shots(campaign, list(shots))
    answer = []
    for shot in shots:
        drawn = of_rows(found[shot.pk])
        answer.append(Line(shot, drawn.lead, stands(drawn)))
    return answer


def stands(drawn: Drawn) -> str:
    """Whether this plan is what was accepted, and by whom; empty where there is nothing to accept."""
    row = drawn.lens
    if not row.accepted or not row.accepted_at:
        return "Not accepted yet." if drawn.plan else ""
    who = f"{row.accepted_by}, {row.accepted_at.day} {row.accepted_at:%b %Y}"
    if drawn.plan is None:
        return f"A plan was accepted by {who}, but now there is none."
    if not is_accepted(drawn):
        return f"Accepted by {who}; what it rests on has changed since, so it is to be looked at and accepted anew."
    return f"Accepted by {who}, as it stands here."


def is_accepted(drawn: Drawn) -> bool:
    """Whether this very plan has been accepted, so that nothing is left to accept."""
    row = drawn.lens
    if not row.accepted or not row.accepted_at or drawn.plan is None:
        return False
    return drawn.digest == row.digest or accepted.as_data(drawn.asked, drawn.plan) == row.accepted
