"""Whether a frame of a shot serves a format that came on the day; with how many pixels, what room; else what would."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from layouts.capture import accepted, day_layouts, overlay_source
from layouts.capture.day_layouts import Dropped
from layouts.capture.overlay_source import Source
from layouts.formats.models import Format, Placement
from layouts.imaging.framing import problem as framing
from layouts.imaging.framing.added import Fit, fits_in
from layouts.imaging.framing.geometry import Box, window_of
from layouts.imaging.framing.problem import Problem, Unplannable
from layouts.imaging.framing.reshoot import Otherwise, Retake, Taken, otherwise, retakes
from layouts.pictures.models import Mockup
from layouts.previews.queries import Seen
from portal.models import Campaign
from shots.models import Shot

Zone = tuple[float, float, float, float]
# Where nothing is known of the hero, it stands in the middle half of the window.
ANYWHERE: Zone = (0.25, 0.25, 0.75, 0.75)


@dataclass(frozen=True)
class Answer:
    """What the frames give a format.

    fits        each frame's answer, the best first
    anew        frames that could be taken anew for it; empty where one serves, or none could
    otherwise   what serves it where no single frame does
    zone        in fractions of the window; `drawn` by hand, else the mockup's
    covered     share of the zone that the dropped layout's type takes; None without one
    """

    source: Source
    format: Format
    placement: framing.Placement
    problem: Problem
    zone: Zone
    drawn: bool
    fits: tuple[Fit, ...]
    anew: tuple[Retake, ...]
    otherwise: Otherwise | None
    box: Box
    dropped: Dropped | None
    covered: float | None

    @property
    def best(self) -> Fit | None:
        return self.fits[0] if self.fits else None

    @property
    def serves(self) -> bool:
        return bool(self.best and self.best.serves)


def answer(
    source: Source, format: Format, zone: Zone | None, mockup: Mockup | None, dropped: Dropped | None
) -> Answer | str:
    """The answer, or why there is none, in a sentence. `zone` None: where the mockup has the hero. No query."""
    aspect = source.hero_aspect
    if source.plan is None or aspect is None:
        return source.why or "No frame of this shot serves anything yet, so there is none to ask."
    used = zone or usual_zone(source.shot, format, mockup)
    try:
        asks = _asks(format, used, dropped)
        problem = accepted.problem_for(source.plan, asks, aspect)
    except Unplannable as wrong:
        return str(wrong).replace(f"Placement “{NAME}”: its", "The format's").replace("its", "the format's", 0)
    fits = fits_in(problem, source.framings, asks)
    serves = bool(fits) and fits[0].serves
    anew = () if serves else retakes(problem, _taken(source), asks)
    return Answer(
        source=source,
        format=format,
        placement=asks,
        problem=problem,
        zone=used,
        drawn=zone is not None,
        fits=fits,
        anew=anew,
        otherwise=None if serves or anew else otherwise(problem, asks),
        box=window_of(asks, aspect),
        dropped=dropped,
        covered=day_layouts.covered(dropped, used) if dropped and dropped.done and dropped.fits else None,
    )


NAME = "this format"


def _asks(format: Format, zone: Zone, dropped: Dropped | None) -> framing.Placement:
    window = dropped.window if dropped and dropped.fits else None
    return framing.Placement(
        id=NAME,
        aspect=window["width"] / window["height"] if window else format.aspect,
        zone=zone,
        need=(float(format.width_px), float(format.height_px)),
        mm=(float(format.width_mm), float(format.height_mm)) if format.width_mm and format.height_mm else None,
        artwork_scale=float(format.artwork_scale) if format.kind == Format.Kind.POSTER else None,
        distance_m=format.distance_m,
    )


def usual_zone(shot: Shot, format: Format, mockup: Mockup | None) -> Zone:
    """Where the mockup has the hero in a window of this format, cropped as a placement's would be."""
    if mockup is None:
        return ANYWHERE
    found = Seen(Placement(shot=shot, format=format, language=""), mockup, None, None).hero
    if found is None:
        return ANYWHERE
    x0, y0, x1, y1 = (min(1.0, max(0.0, edge)) for edge in found[0])
    if min(x1 - x0, y1 - y0) < framing.SMALLEST_ZONE:
        return ANYWHERE
    return x0, y0, x1, y1


def _taken(source: Source) -> list[Taken]:
    """The frames with the windows that they serve, and what each needs."""
    assert source.plan is not None  # noqa: S101  for the type checker
    frames = []
    for one, framing_of in zip(source.plan["captures"], source.framings, strict=True):
        crops = [row for row in source.plan["crops"] if row["capture"] == one["number"]]
        boxes = tuple(_box(row, framing_of) for row in crops)
        needs = tuple(framing_of.density / row["spare"] for row in crops)
        frames.append(Taken(framing_of, boxes, needs))
    return frames


def _box(row: dict[str, Any], of: Any) -> Box:
    x, y, wide, high = row["exact"]
    left, top = of.box.left + x / of.density, of.box.top + y / of.density
    return Box(left, top, left + wide / of.density, top + high / of.density)


def source_of(campaign: Campaign, shot: Shot) -> Source:
    """The frames that hold now; see overlay_source."""
    return overlay_source.source(campaign, shot)


def mockup_of(shot: Shot) -> Mockup | None:
    """The shot's current mockup; one query."""
    return Mockup.objects.select_related("file").filter(shot=shot, current=True).first()
