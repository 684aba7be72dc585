"""What is asked of a shot's captures, drawn from the brief, and the plan that answers it.

Each wanted placement asks for its format's ordered pixels. Its hero zone is the mockup's, seen through the placement's
crop, as on the stage. So a placement is planned before its layout has come: what cannot be served is known early.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from typing import Any

from django.core.cache import cache

from layouts.capture import rows as reading
from layouts.capture.models import CapturePlan
from layouts.capture.rows import Rows
from layouts.formats.models import Format
from layouts.imaging.framing import plan as planning
from layouts.imaging.framing import problem as framing
from layouts.imaging.framing.plan import Plan
from layouts.imaging.framing.problem import Pair, Problem, TooLarge, Unplannable
from layouts.overlays.models import Layout
from layouts.pictures.models import Mockup
from layouts.previews.queries import Seen
from portal.people.languages import name_of
from portal.record.canonical import canonical, digest
from portal.site.sentences import count, sentence
from shots.models import Shot

# Goes up when the computation answers otherwise: plans kept in the cache are then made anew.
RECIPE = 1
KEPT_FOR = 7 * 24 * 3600  # seconds
# Up to this share of the hero's area a crop's cut is rounding, and not worth a word.
WHOLE = 0.005


@dataclass(frozen=True)
class Settings:
    """What the photographer sets. `hero_aspect` None: the mockup's. `tolerances`: placement's key to 0.5 to 1."""

    margin: float = framing.DEFAULT_MARGIN
    enlargement: float = 1.0
    hero_aspect: float | None = None
    dropped: tuple[str, ...] = ()
    tolerances: Mapping[str, float] = field(default_factory=dict)
    camera: Pair | None = None  # another than the shot's


@dataclass(frozen=True)
class Row:
    """A placement that is planned: its row, its current layout, its name for people, and what it asks."""

    seen: Seen
    label: str
    asks: framing.Placement

    @property
    def placement(self) -> Any:
        return self.seen.placement

    @property
    def format(self) -> Format:
        found: Format = self.seen.placement.format
        return found

    @property
    def layout(self) -> Layout | None:
        return self.seen.layout


@dataclass(frozen=True)
class Asked:
    """What a shot's captures are asked.

    problem      None where nothing can be planned; `why` then says why, in a sentence
    placements   by framing id, which is the placement's key, in the problem's order; some may have no layout yet
    left_out     wanted placements that are not planned, each with a sentence
    off          placements that might come: dropped from the plan, or switched off in the grid
    cautions     sentences on what was planned, but should be looked at
    """

    shot: Shot
    settings: Settings
    problem: Problem | None
    why: str
    placements: dict[str, Row]
    left_out: list[tuple[Seen, str]]
    off: list[Row]
    cautions: list[str]
    mockup: Mockup | None
    hero_aspect: float | None  # as planned with
    mockup_aspect: float | None  # as the hero zone on the mockup has it

    @property
    def digest(self) -> str:
        """Of all that the plan depends on; empty where there is no problem."""
        return digest_of(self.problem) if self.problem else ""


def asked(shot: Shot, **levers: Any) -> Asked:
    """What this shot asks as it stands, or with some of Settings changed; six queries.

    `shot.campaign` is used; no work on pixels.
    """
    return of_rows(reading.of_shot(shot), **levers)


def planned(shot: Shot, **levers: Any) -> Plan | None:
    """The plan that answers `asked`, from the cache where it was made before; None where there is no problem.

    Raises TooLarge past the size that can be settled exactly.
    """
    problem = asked(shot, **levers).problem
    return plan_of(problem) if problem else None


def settings_of(plan: CapturePlan) -> Settings:
    """The settings that are kept."""
    return Settings(
        plan.margin,
        plan.enlargement,
        plan.hero_aspect,
        tuple(plan.dropped),
        {key: agreed["down_to"] for key, agreed in plan.tolerances.items()},
    )


def of_rows(rows: Rows, **levers: Any) -> Asked:
    """What these rows ask."""
    settings = replace(settings_of(rows.plan), **levers)
    camera = settings.camera or _pixels(rows)
    hero = rows.mockup.hero if rows.mockup else None
    mockup_aspect = _hero_aspect(rows.mockup) if rows.mockup and hero else None
    aspect = settings.hero_aspect or mockup_aspect
    placements: dict[str, Row] = {}
    left_out: list[tuple[Seen, str]] = []
    off: list[Row] = []
    cautions: list[str] = []
    if rows.mockup and hero:
        _sort(rows, settings, placements, left_out, off)
        cautions += _cautions(rows, placements)
    why = _why_not(rows, camera, hero)
    problem = None
    if not why and camera and aspect:
        try:
            problem = Problem(
                camera, aspect, tuple(row.asks for row in placements.values()), settings.margin, settings.enlargement
            )
        except Unplannable as wrong:
            why = str(wrong)
    return Asked(
        rows.shot,
        settings,
        problem,
        why,
        placements,
        left_out,
        off,
        cautions,
        rows.mockup,
        aspect,
        mockup_aspect,
    )


def plan_of(problem: Problem) -> Plan:
    """The exact plan, from the cache where it was made before. Raises TooLarge, which is kept as well."""
    key = f"capture-plan-{RECIPE}-{digest_of(problem)}"
    kept = cache.get(key)
    if kept is None:
        try:
            kept = planning.plan(problem)
        except TooLarge as wrong:
            kept = str(wrong)
        cache.set(key, kept, KEPT_FOR)
    if isinstance(kept, str):
        raise TooLarge(kept)
    found: Plan = kept
    return found


def digest_of(problem: Problem) -> str:
    """SHA-256 of a problem's canonical form; equal for equal plans, whichever way up the camera is given."""
    data = asdict(problem)
    return digest(canonical({**data, "camera": [problem.long, problem.short]}))


def label_of(seen: Seen, several: bool) -> str:
    """A placement as it is named among its shot's: "6-sheet", or with its language where there are several."""
    name = str(seen.placement.format)
    return f"{name}, {name_of(seen.placement.language)}" if several else name


def need_of(format: Format) -> Pair:
    """Pixels of the window that the ordered artwork needs."""
    return float(format.width_px), float(format.height_px)


def _sort(
    rows: Rows, settings: Settings, placements: dict[str, Row], left_out: list[tuple[Seen, str]], off: list[Row]
) -> None:
    """Who is planned, who is not and why, and who might come."""
    several = len(rows.campaign.languages) > 1
    for seen in [*rows.seen, *rows.off]:
        key, label = seen.placement.key, label_of(seen, several)
        made = _asks(seen, label, settings.tolerances.get(key))
        if not seen.placement.wanted:
            off += [made] if isinstance(made, Row) else []
        elif key in settings.dropped:
            left_out.append((seen, f"{label} is left out of the plan by choice."))
            off += [made] if isinstance(made, Row) else []
        elif isinstance(made, Row):
            placements[key] = made
        else:
            left_out.append((seen, made))


def _asks(seen: Seen, label: str, down_to: float | None) -> Row | str:
    """What a placement asks, or why it cannot be planned."""
    zone, inside = seen.hero or ((0.0, 0.0, 0.0, 0.0), 0.0)
    x0, y0, x1, y1 = (min(1.0, max(0.0, edge)) for edge in zone)
    if not inside or min(x1 - x0, y1 - y0) < framing.SMALLEST_ZONE:
        return f"The crop of {label} shows nothing of the hero, so it cannot be planned. Set its crop on its stage."
    format = seen.placement.format
    asks = framing.Placement(
        id=seen.placement.key,
        aspect=format.aspect,
        zone=(x0, y0, x1, y1),
        need=need_of(format),
        mm=(float(format.width_mm), float(format.height_mm)) if format.width_mm and format.height_mm else None,
        artwork_scale=float(format.artwork_scale) if format.kind == Format.Kind.POSTER else None,
        distance_m=format.distance_m,
        hero_down_to=down_to if down_to and down_to < 1 else None,
    )
    try:
        Problem((1000.0, 1000.0), 1.0, (asks,))
    except Unplannable as wrong:
        return str(wrong).replace(f"“{seen.placement.key}”", f"“{label}”")
    return Row(seen, label, asks)


def _cautions(rows: Rows, placements: dict[str, Row]) -> list[str]:
    """What stands in the plan on a doubtful footing."""
    cuts: dict[tuple[str, int], list[str]] = {}
    for row in placements.values():
        inside = row.seen.hero[1] if row.seen.hero else 0.0
        if 1 - inside > WHOLE:
            cuts.setdefault((row.format.name, max(1, round(100 * (1 - inside)))), []).append(row.label)
    says = [
        f"The crop of {labels[0] if len(labels) == 1 else name} cuts off {share}\u202f% of the hero zone; the plan "
        "fits the whole hero into what is left of it."
        for (name, share), labels in cuts.items()
    ]
    without = [row for row in placements.values() if row.layout is None] if _has_layouts(rows) else []
    if without:
        what = "has no layout yet; it is" if len(without) == 1 else "have no layout yet; they are"
        says.append(sentence(f"{count(len(without), 'placement')} {what} planned by the crop of the mockup"))
    return says


def _has_layouts(rows: Rows) -> bool:
    """Whether any layout was read: readiness asks without them."""
    return any(seen.layout for seen in rows.seen)


def _why_not(rows: Rows, camera: Pair | None, hero: Any) -> str:
    if not rows.seen:
        return "This shot has no placements that are wanted, so there is nothing to plan."
    if rows.mockup is None:
        return "This shot has no mockup yet: it shows where the hero stands in every format."
    if not hero:
        return "No hero zone is marked on this shot's mockup, so it is not known where the hero stands."
    if camera is None:
        return "The camera does not say how many pixels a capture has."
    return ""


def _pixels(rows: Rows) -> Pair | None:
    camera = rows.camera
    if camera is None or not camera.width_px or not camera.height_px:
        return None
    return float(camera.width_px), float(camera.height_px)


def _hero_aspect(mockup: Mockup) -> float | None:
    if mockup.hero is None or not mockup.file.width or not mockup.file.height:
        return None
    x0, y0, x1, y1 = mockup.hero
    return float((x1 - x0) * mockup.file.width / ((y1 - y0) * mockup.file.height))
