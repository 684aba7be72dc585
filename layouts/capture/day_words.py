"""What the page for a format that came on the day says, in sentences and figures."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from django.utils.html import format_html

from layouts.capture import words
from layouts.capture.day_answers import Answer
from layouts.capture.models import CapturePlan
from layouts.imaging.framing import resolution
from layouts.imaging.framing.added import Fit
from layouts.imaging.framing.geometry import Framing
from layouts.imaging.framing.overlay import hero_box
from layouts.imaging.framing.reshoot import Retake
from portal.site.sentences import joined, sentence
from portal.templatetags.ui import THIN, measure

# Below this the crop just fits, and says so.
_TIGHT = 1.02
# A zone is free of type up to this share; the finding of type is no finer.
_FREE = 0.01
SHAPE = (
    "This is answered from the format’s shape and the hero as the mockup has it. Draw where the hero sits in this "
    "layout, and it is answered anew."
)
DRAWN = "This is answered from the format’s shape and the hero zone as it is drawn below."
WAITS = "The layout is being looked into; the answer becomes exact when its window is found."
COLUMNS = ["Frame", "Whether it serves", ("Crop", "num"), ("Pixels", "num"), ("Full size", "num"), "Room that is left"]


def lead(answer: Answer) -> str:
    """The answer in a sentence."""
    best = answer.best
    if best and best.serves and best.pixels:
        wide, high = best.pixels[2:]
        tight = " It just fits." if best.spare < _TIGHT else ""
        more = (
            f"enlarged {1 / best.spare:.2f} times, as agreed" if best.spare < 1 else f"{best.spare:.2f} times its need"
        )
        return f"Yes: capture {best.frame + 1} serves it as it is, with {wide} × {high}{THIN}px, {more}.{tight}"
    if answer.anew:
        first = answer.anew[0]
        way = "one more frame does" if first.frame is None else f"capture {first.frame + 1} does, taken anew"
        return f"No frame serves it as it is; {way}."
    return "No single frame of this camera serves it."


def why_not(answer: Answer) -> str:
    """Of the frame that comes nearest, what it lacks; empty where one serves."""
    best = answer.best
    if answer.serves or best is None:
        return ""
    if best.inside:
        return (
            f"Capture {best.frame + 1} holds all of it, but gives {100 * best.spare:.0f}{THIN}% of the pixels that it "
            "needs."
        )
    return f"It reaches out of {'the frame' if len(answer.fits) == 1 else 'every frame'}: {_beyond(answer, best)}."


def ways(answer: Answer) -> list[str]:
    """What to take anew, or what else would serve it."""
    says = [_retake(answer, one, number) for number, one in enumerate(answer.anew)]
    other = answer.otherwise
    if other:
        grid, plate = other.stitched, other.plate
        wide, high = (side * other.gives for side in answer.placement.need)
        says += [
            f"In a frame of its own it gets {100 * other.gives:.0f}{THIN}% of its pixels. An artwork with "
            f"{wide:.0f} × {high:.0f}{THIN}px would be served.",
            words.stitched(answer.problem, answer.box, answer.placement.need, grid, _numbers(answer)),
            f"Or the hero from a capture of its own, with {plate.hero_spare:.2f} times its pixels, over a picture of "
            f"the whole whose ground is enlarged {plate.ground_enlarged:.2f} times.",
        ]
    return says


def _numbers(answer: Answer) -> words.Numbers:
    """The lens as the plan that holds has it: a version's own numbers, else those that are written down now."""
    kept = (answer.source.plan or {}).get("plan", {})
    if "sensor_mm" in kept:
        return SimpleNamespace(**{name: kept[name] for name in ("sensor_mm", "hero_mm", "distance_mm")})
    return getattr(answer.source.shot, "capture_plan", None) or CapturePlan()


def _retake(answer: Answer, one: Retake, number: int) -> str:
    placed = f"{_way(one.framing)}, the hero {_hero(answer, one.framing)}"
    if one.frame is None:
        begins = "Or take one more frame, for this alone" if number else "Take one more frame, for this alone"
        return f"{begins}: {placed}. It then has {one.gives:.2f} times its pixels, and what is taken already stays."
    was = answer.source.framings[one.frame]
    smaller = 1 - one.framing.density / was.density
    turned = " and turned" if one.framing.landscape != was.landscape else ""
    framed = "wider" if smaller > 0.005 else "tighter" if smaller < -0.005 else "moved aside"
    begins = f"{'Or take' if number else 'Take'} capture {one.frame + 1} anew, {framed}{turned}"
    served = joined(_served(answer, one.frame))
    size = f", {100 * abs(smaller):.0f}{THIN}% {'smaller' if smaller > 0 else 'larger'} than before"
    return (
        f"{begins}: {placed}{size if framed != 'moved aside' else ''}. It serves {served} as before, and this; the "
        f"tightest then has {one.spare:.2f} times its pixels."
    )


def _served(answer: Answer, frame: int) -> list[str]:
    plan = answer.source.plan or {}
    return list(dict.fromkeys(row["format"] for row in plan["crops"] if row["capture"] == frame + 1))


def _way(framing: Framing) -> str:
    return "landscape" if framing.landscape else "portrait"


def _hero(answer: Answer, framing: Framing) -> str:
    x, y, wide, high = framing.pixels(hero_box(answer.problem.hero_aspect))
    return f"{wide:.0f} × {high:.0f}{THIN}px, {x:.0f} from the left and {y:.0f} from the top of the frame"


def rests_on(answer: Answer) -> list[str]:
    """What the answer rests on, and what to look at."""
    found = answer.dropped
    if found is None or not found.fits:
        return [DRAWN if answer.drawn else SHAPE]
    if found.work.open:
        return [DRAWN if answer.drawn else SHAPE, WAITS]
    if not found.done:
        return [f"{found.name} could not be looked into: {found.work.says}", DRAWN if answer.drawn else SHAPE]
    window = found.window or {}
    where = "the hero zone as it is drawn" if answer.drawn else "the hero as the mockup has it"
    says = [
        f"This is exact for {found.name}: its window was found, {window['width']} × {window['height']}{THIN}px, and "
        f"{where}."
    ]
    if answer.covered is not None and answer.covered > _FREE:
        says.append(
            f"Its type lies over {100 * answer.covered:.0f}{THIN}% of the hero zone: move the zone, or the type."
        )
    elif answer.covered is not None:
        says.append("No type of it lies over the hero zone.")
    return says + [fault["says"] for fault in found.work.result["faults"] if fault["level"] == "must-fix"]


def figures(answer: Answer) -> list[tuple[str, Any]]:
    """The format's own figures: what it needs."""
    need, mm = answer.placement.need, answer.placement.mm
    rows: list[tuple[str, Any]] = [("Needs", measure((round(need[0]), round(need[1])), "px"))]
    if mm:
        full = resolution.ppi_at_full_size(need, mm)
        scale = answer.placement.artwork_scale
        made = (
            format_html(" ({} in the artwork at 1 : {})", measure(full * scale, "ppi", 0), f"{scale:g}")
            if scale
            else ""
        )
        rows.append(("Ordered", format_html("{} at full size{}", measure(full, "ppi", 1), made)))
    if answer.placement.distance_m:
        eye = resolution.ppi_for_the_eye(answer.placement.distance_m)
        seen = measure(answer.placement.distance_m, "m")
        rows.append(("The eye", format_html("tells apart {} from {}", measure(eye, "ppi", 1), seen)))
    return rows


def table(answer: Answer) -> list[list[Any]]:
    """Each frame's answer."""
    return [_line(answer, fit) for fit in answer.fits]


def _line(answer: Answer, fit: Fit) -> list[Any]:
    framing = answer.source.framings[fit.frame]
    _, _, wide, high = framing.pixels(answer.box)
    mm = answer.placement.mm
    ppi = measure(resolution.ppi_at_full_size((wide, high), mm), "ppi", 1) if mm else "a screen"
    return [
        f"Capture {fit.frame + 1}, {_way(framing)}",
        _verdict(answer, fit),
        measure(fit.pixels[2:], "px") if fit.pixels else measure((round(wide), round(high)), "px"),
        measure(fit.spare, "× need", 2),
        ppi,
        _room(answer, fit),
    ]


def _verdict(answer: Answer, fit: Fit) -> str:
    if fit.serves:
        return "serves it" if fit.margin else f"serves it, within the margin of {100 * answer.problem.margin:g}{THIN}%"
    if fit.inside:
        return "holds it, too few pixels"
    return "reaches out of it" if fit.spare >= 1 else "reaches out of it, too few pixels"


def _sides(answer: Answer, fit: Fit) -> list[tuple[str, float]]:
    """Pixels of the frame that are left on each side; negative where the window reaches out."""
    framing = answer.source.framings[fit.frame]
    x, y, wide, high = framing.pixels(answer.box)
    return [("left", x), ("top", y), ("right", framing.width - x - wide), ("bottom", framing.height - y - high)]


def _room(answer: Answer, fit: Fit) -> str:
    if not fit.inside:
        return f"lacks {_beyond(answer, fit)}"
    return ", ".join(f"{side} {max(0, round(room))}" for side, room in _sides(answer, fit)) + f"{THIN}px"


def _beyond(answer: Answer, fit: Fit) -> str:
    lacking = [f"{max(1, round(-room))}{THIN}px at the {side}" for side, room in _sides(answer, fit) if room < 0]
    return joined(lacking)


def change(answer: Answer) -> dict[str, str]:
    """The words of a change that orders this format: what shall be different, and why."""
    format, shot = answer.format, answer.source.shot
    size = f", {format.size}" if format.size not in format.name else ""
    effect = lead(answer) if answer.serves else f"{lead(answer)} {' '.join(ways(answer)[:1])}"
    plain = effect.replace(THIN, " ")
    return {
        "what": sentence(f"Shot {shot.number} is wanted in one more format: {format.name}{size}"),
        "why": f"Asked for on the day. {plain}",
    }
