"""What the page of a capture plan says, in sentences."""

from __future__ import annotations

from typing import Protocol

from django.utils.safestring import SafeString

from layouts.capture.asking import Asked, Row
from layouts.capture.levers import spare
from layouts.capture.models import CapturePlan
from layouts.formats.models import Format
from layouts.imaging.framing import levers, resolution
from layouts.imaging.framing.geometry import Box
from layouts.imaging.framing.lens import Setting, straightening_of_margin, tile_setting, turns
from layouts.imaging.framing.plan import Crop, NotServed, Plan
from layouts.imaging.framing.problem import Pair, Problem
from layouts.imaging.framing.stitch import Tiles, ground_plate, tiles
from portal.site.sentences import count, joined, number, sentence
from portal.templatetags.ui import THIN, measure


class Numbers(Protocol):
    """What was written down of the lens, in mm; read only."""

    @property
    def sensor_mm(self) -> float | None: ...
    @property
    def hero_mm(self) -> float | None: ...
    @property
    def distance_mm(self) -> float | None: ...


ASSUMED = (
    "Assumed: all captures of this shot are taken from one camera position, by another focal length or by turning the "
    "camera; from another distance the perspective would differ between crops. Pixels are not resolved detail: lens, "
    "focus, movement and diffraction are not reckoned with."
)


def lead(asked: Asked, plan: Plan | None) -> str:
    """Where the plan stands: how many captures serve how many placements, and how tight it is."""
    if plan is None:
        return asked.why
    total = len(plan.problem.placements)
    if not total:
        return "No placement is planned: all are left out."
    served = total - len(plan.not_served)
    if not served:
        return sentence(f"no single capture serves {'it' if total == 1 else f'any of the {number(total)} placements'}")
    takes = f"{count(len(plan.captures), 'capture')} {'serves' if len(plan.captures) == 1 else 'serve'}"
    if served == total:
        what = {1: "the one placement", 2: "both placements"}.get(total, f"all {number(total)} placements")
    else:
        what = f"{number(served)} of {number(total)} placements"
    return sentence(f"{takes} {what}; the tightest {_tightest(plan)}")


def _tightest(plan: Plan) -> str:
    worst = plan.worst_spare or 0.0
    return f"is {spare(worst)}" if worst < 1 - 1e-9 else f"has {spare(worst)}"


def spare_figure(value: float) -> SafeString:
    """The same for a column of figures."""
    if value < 1 - 1e-9:
        return measure(1 / value, "× enlarged", 2)
    return measure(100 * (value - 1), "%", 1)


def straightens(plan: Plan) -> str:
    """What the margin buys."""
    problem = plan.problem
    turn = straightening_of_margin(problem.long / problem.short, problem.margin)
    if not problem.margin:
        return "There is no margin, so nothing can be straightened."
    margin = f"{100 * problem.margin:g}{THIN}%"
    return f"The margin of {margin} on each side lets a picture be straightened by {turn:.1f}° either way."


def verdict(crop: Crop, row: Row, enlargement: float) -> str:
    """One crop in words: against what was ordered, then against the eye."""
    if crop.spare < 1 - 1e-9:
        says = f"enlarged {1 / crop.spare:.2f} times, of {enlargement:g} allowed"
    elif crop.spare < 1.05:
        says = "enough, with little to spare"
    else:
        says = "enough"
    eye = eye_words(crop, row)
    return sentence(f"{says}; {eye}" if eye else says)


def eye_words(crop: Crop, row: Row) -> str:
    if not (row.asks.mm and row.asks.distance_m):
        return ""
    share = resolution.ppi_at_full_size((crop.width, crop.height), row.asks.mm) / resolution.ppi_for_the_eye(
        row.asks.distance_m
    )
    where = f"from {row.asks.distance_m:g}{THIN}m"
    if share >= 1:
        return f"{share:.1f} times what an eye sees {where}"
    return f"{100 * share:.0f}{THIN}% of what an eye can see {where}"


def ordered_ppi(row: Row) -> float | None:
    """Ppi of the artwork as it was ordered; None for screens."""
    return levers.artwork_ppi(row.asks) if row.format.kind == Format.Kind.POSTER else None


def unserved(plan: Plan, one: NotServed, row: Row, name: str, lens: CapturePlan) -> list[str]:
    """What would serve a placement that no single capture serves, in numbers."""
    problem = plan.problem
    grid = tiles(problem, one.box, one.placement.need)
    plate = ground_plate(problem, one.box, one.placement.need)
    given = one.spare_alone * problem.enlargement
    need = one.placement.need
    ppi = ordered_ppi(row)
    less = f" ({ppi * given:.0f} ppi instead of {ppi:.0f})" if ppi else ""
    return [
        sentence(f"{name}: alone in a capture of its own it gets {100 * one.spare_alone:.1f}{THIN}% of its pixels"),
        _stitched(plan, one, grid, lens),
        f"A ground plate: the hero in a capture by itself has {spare(plate.hero_spare)}; laid over one capture of the "
        f"whole, whose ground is then enlarged {plate.ground_enlarged:.2f} times.",
        f"A smaller artwork, served by one capture: {need[0] * given:.0f} × {need[1] * given:.0f}{THIN}px{less}.",
        f"A larger camera: {problem.long / given:.0f} × {problem.short / given:.0f}{THIN}px.",
    ]


def _stitched(plan: Plan, one: NotServed, grid: Tiles, lens: CapturePlan) -> str:
    return stitched(plan.problem, one.box, one.placement.need, grid, lens)


def stitched(problem: Problem, box: Box, need: Pair, grid: Tiles, lens: Numbers) -> str:
    """The tiles of a stitched picture: how many, how they overlap, and lens and turn where the numbers are known."""
    way = "landscape" if grid.landscape else "portrait"
    sides = (problem.long, problem.short) if grid.landscape else (problem.short, problem.long)
    lap = [grid.overlap * side for side, n in zip(sides, (grid.columns, grid.rows), strict=True) if n > 1]
    says = (
        f"Stitched: {count(grid.count, f'{way} tile')}, {grid.columns} across and {grid.rows} down, each overlapping "
        f"the next by {100 * grid.overlap:.0f}{THIN}% ({joined([f'{px:.0f}{THIN}px' for px in lap])})"
    )
    more = _tile_lens(problem, box, need, grid, lens)
    return sentence(f"{says}{f'; {more}' if more else ''}")


def _tile_lens(problem: Problem, box: Box, need: Pair, grid: Tiles, lens: Numbers) -> str:
    """The lens and the turn between tiles; empty where the lens's numbers are not known."""
    if not (lens.sensor_mm and lens.hero_mm and lens.distance_mm):
        return ""
    sensor = sensor_of(lens, problem.long, problem.short)
    density = max(need[0] / box.width, need[1] / box.height) / problem.enlargement
    tile = tile_setting(density, problem.camera, grid.landscape, sensor, lens.hero_mm, lens.distance_mm)
    turn = turns(grid, problem.camera, sensor, tile.focal_mm, tile.magnification)
    across, down = turn.across_deg, turn.down_deg
    ways = [f"{across:.1f}° across" if across else "", f"{down:.1f}° down" if down else ""]
    return (
        f"with {tile.focal_mm:.0f}{THIN}mm from {_metres(lens.distance_mm)}, turn {joined(ways)} about the lens's "
        "entrance pupil between two tiles"
    )


def sensor_of(lens: Numbers, long: float, short: float) -> tuple[float, float]:
    """The sensor in mm, from its long side and the shape of the picture."""
    wide = float(lens.sensor_mm or 0)
    return wide, wide * short / long


def zoom(setting: Setting) -> str:
    """A capture's lens in a sentence."""
    wide, high = setting.framing_mm
    return sentence(
        f"With {setting.focal_mm:.0f}{THIN}mm from {_metres(setting.distance_mm)} the frame takes in {wide:.0f} × "
        f"{high:.0f}{THIN}mm at the hero"
    )


def lens_wants(lens: CapturePlan) -> str:
    """Which numbers are still missing for focal lengths; empty where none are."""
    missing = [
        words
        for words, value in (
            ("the width of the sensor", lens.sensor_mm),
            ("the hero's real height", lens.hero_mm),
            ("the distance, or a focal length", lens.distance_mm or lens.focal_mm),
        )
        if not value
    ]
    if not missing:
        return ""
    verb = "is" if len(missing) == 1 else "are"
    return sentence(f"for focal length and distance {joined(missing)} {verb} missing")


def moved(lens: CapturePlan, captures: int) -> str:
    """A fixed lens moves the camera from capture to capture: against what the plan assumes."""
    if captures > 1 and lens.focal_mm and not lens.distance_mm:
        return (
            "One focal length for all moves the camera from capture to capture, and the perspective changes with it: "
            "give the distance instead, and change the focal length."
        )
    return ""


def _metres(mm: float) -> str:
    return f"{mm / 1000:.2f}{THIN}m"
