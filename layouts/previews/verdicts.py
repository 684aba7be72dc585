"""How each placement's type reads over its picture, from what the worker measured and the format it is for.

The worker keeps numbers that depend on pixels alone. What a line needs depends on the format's size and distance, and
the overlap on the hero zone, which moves without a new picture: both are told when a page reads.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from layouts.formats.models import Format
from layouts.imaging.geometry import Zone
from layouts.imaging.inspecting.inspect import LEGIBLE_M_PER_MM
from layouts.imaging.measures.measure import Coverage
from layouts.imaging.measures.verdict import HARD, HERO_TOLERANCE, NEEDS_LARGE, PLACES, UNKNOWN, needs, reads
from layouts.previews.queries import Seen
from portal.models import Campaign


@dataclass(frozen=True)
class Limits:
    """What a campaign agrees for every placement: least contrast (WCAG's ratio), most of the hero zone (a share)."""

    contrast: float = NEEDS_LARGE
    overlap: float = HERO_TOLERANCE


def limits_of(campaign: Campaign) -> Limits:
    """The campaign's limits, from its terms."""
    return Limits(campaign.least_contrast, campaign.hero_overlap / 100)


# Share of the window from which on a layout is said to hide its picture: a frame of graphics leaves more than that.
_HIDES = 0.97
# Share of the hero zone that is nothing: the last of a soft edge.
NOTHING = 0.001


@dataclass(frozen=True)
class ZoneRead:
    """One type zone over its picture.

    box : x0, y0, x1, y1 in fractions of the window
    lines_mm : height of each line on the poster, largest first; empty where the poster's size is not known
    reads_to_m : how far the lowest line reads (common practice, no source); None where that is not known
    worst, p5, median : WCAG ratios of its letters, None where they could not be measured
    busy : 0 to 1
    needs : the ratio that it is judged against
    state : "well", "places", "hard", "unknown"
    """

    number: int
    box: Zone
    lines_mm: tuple[float, ...]
    reads_to_m: float | None
    worst: float | None
    p5: float | None
    median: float | None
    busy: float | None
    needs: float
    state: str


@dataclass(frozen=True)
class Verdict:
    """All zones of a placement, and the share of the hero zone that is covered (0 to 1); None where it is not known."""

    zones: tuple[ZoneRead, ...]
    overlap: float | None
    # Whether the layout covers all of the picture, as one does that was saved on white.
    hides: bool = False
    limits: Limits = Limits()

    @property
    def hard(self) -> list[ZoneRead]:
        return [zone for zone in self.zones if zone.state == HARD]

    @property
    def places(self) -> list[ZoneRead]:
        return [zone for zone in self.zones if zone.state == PLACES]

    @property
    def unknown(self) -> list[ZoneRead]:
        return [zone for zone in self.zones if zone.state == UNKNOWN]

    @property
    def on_hero(self) -> bool:
        return self.overlap is not None and self.overlap > HERO_TOLERANCE

    @property
    def below(self) -> list[ZoneRead]:
        """Zones of which more than one letter in twenty has less contrast than was agreed."""
        return [zone for zone in self.zones if zone.p5 is not None and zone.p5 < self.limits.contrast]

    @property
    def past_hero(self) -> bool:
        """Whether more of the hero zone is covered than was agreed."""
        return self.overlap is not None and self.overlap > max(self.limits.overlap, NOTHING)

    @property
    def well(self) -> bool:
        return not (self.hard or self.places or self.below or self.on_hero or self.past_hero or self.hides)


def of(row: Seen) -> Verdict | None:
    """The verdict on the picture that is shown of a placement; None where there is none, or no layout over it."""
    measured = row.visible.result.get("measured") if row.visible else None
    if not measured:
        return None
    hero = row.hero[0] if row.framed_now and row.hero else None
    return judge(measured, row.placement.format, hero)


def judge(measured: Mapping[str, Any], format: Format, hero: Zone | None) -> Verdict:
    """The verdict on what was measured (`rendering.Rendered`), for a format, with its hero zone in the window."""
    zones = tuple(_zone(at, zone, format) for at, zone in enumerate(measured["zones"], start=1))
    covered = Coverage.unpacked(measured["coverage"])
    overlap = None if hero is None else covered.overlap(hero)
    return Verdict(zones, overlap, covered.share > _HIDES, limits_of(format.campaign))


def _zone(number: int, kept: Mapping[str, Any], format: Format) -> ZoneRead:
    lines = _lines_mm(kept["lines"], format)
    found = kept["contrast"]
    wanted = needs(lines, format.distance_m)
    x, y = kept["x"], kept["y"]
    return ZoneRead(
        number=number,
        box=(x, y, x + kept["width"], y + kept["height"]),
        lines_mm=lines,
        reads_to_m=min(lines) * LEGIBLE_M_PER_MM if lines else None,
        **found,
        busy=kept["busy"],
        needs=wanted,
        state=reads(found["p5"], found["median"], wanted),
    )


def _lines_mm(heights: Sequence[float], format: Format) -> tuple[float, ...]:
    if not format.height_mm:
        return ()
    return tuple(sorted((height * format.height_mm for height in heights), reverse=True))
