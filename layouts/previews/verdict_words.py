"""What pages say of how type reads over a picture: sentences, captions, the table of zones, the marks."""

from collections.abc import Sequence
from typing import Any

from django.utils.html import format_html
from django.utils.safestring import SafeString

from layouts.imaging.measures.verdict import HARD, HERO_TOLERANCE, NEEDS_LARGE, NEEDS_SMALL, PLACES, UNKNOWN
from layouts.previews.verdicts import NOTHING, Verdict, ZoneRead
from portal.site.sentences import count, joined, sentence
from portal.templatetags.ui import measure

# Where the words for a ground change, of 1: our own, by eye on photographs of food.
_BUSY = ((0.02, "flat"), (0.07, "calm"), (0.16, "uneven"), (1.01, "busy"))
_STATES = {HARD: "hard to read", PLACES: "hard to read in places", UNKNOWN: "not measured"}
# Of one table: beyond, the layout is a texture, and the worst are enough.
MOST_ROWS = 24


def says(found: Verdict | None) -> str:
    """The verdict in plain sentences; empty where there is none."""
    if found is None:
        return ""
    if found.hides:
        return "This layout hides the picture: nothing in it is clear."
    if not found.zones:
        type_says = "No type was found in this layout."
    elif not (found.hard or found.places or found.unknown):
        type_says = "The type reads well over this picture."
    else:
        type_says = " ".join(_zones_say(found))
    return " ".join(part for part in (type_says, below_says(found), hero_says(found)) if part)


def below_says(found: Verdict) -> str:
    """Which zones have less contrast than was agreed; empty where none has."""
    if not found.below:
        return ""
    least = min(zone.p5 or 1.0 for zone in found.below)
    do = "does" if len(found.below) == 1 else "do"
    return sentence(
        f"{_named(found.below)} {do} not reach the {shown(found.limits.contrast)} agreed in the terms, "
        f"with {shown(least)} in {'its' if len(found.below) == 1 else 'their'} weakest letters"
    )


def _zones_say(found: Verdict) -> list[str]:
    parts = hard_parts(found)
    told = [sentence(joined(parts))] if parts else []
    if found.unknown:
        told.append(sentence(f"{_named(found.unknown)} could not be measured"))
    others = len(found.zones) - len(found.hard) - len(found.places) - len(found.unknown)
    if others:
        told.append("The rest of the type reads well." if parts else "All else reads well.")
    return told


def hard_parts(found: Verdict) -> list[str]:
    """ "zone 1 is hard to read", "zones 2 and 3 are hard to read in places": as many as there are of these."""
    parts = []
    for zones, how in ((found.hard, "hard to read"), (found.places, "hard to read in places")):
        if zones:
            parts.append(f"{_named(zones)} {_is(zones)} {how}")
    if len(found.hard) + len(found.places) == 1:
        (zone,) = (*found.hard, *found.places)
        parts[0] += f", {shown(_short(zone))} where {shown(zone.needs)} is needed"
    return parts


def _named(zones: Sequence[ZoneRead]) -> str:
    numbers = [str(zone.number) for zone in zones]
    return f"zone {numbers[0]}" if len(numbers) == 1 else f"zones {joined(numbers)}"


def _is(zones: Sequence[ZoneRead]) -> str:
    return "is" if len(zones) == 1 else "are"


def hero_says(found: Verdict) -> str:
    """How much of the hero is covered; empty where no hero zone is marked, or the picture shows another crop."""
    if found.overlap is None:
        return ""
    if found.past_hero:
        most = round(100 * found.limits.overlap)
        covers = f"Type or graphics cover {per_cent(found.overlap)}\u202f% of the hero zone"
        return f"{covers}, and {most}\u202f% at most was agreed in the terms."
    if found.on_hero:
        return f"Type or graphics cover {per_cent(found.overlap)}\u202f% of the hero zone."
    if found.overlap < NOTHING:
        return "Nothing lies on the hero."
    return f"Less than {100 * HERO_TOLERANCE:.0f}\u202f% of the hero zone is covered."


def per_cent(share: float) -> int:
    """A share in whole per cent: at least 1 of what is there at all, and 100 only of all but a hair's breadth."""
    if share <= 0 or share >= 0.999:
        return round(100 * share)
    return min(99, max(1, round(100 * share)))


def short(found: Verdict | None) -> str:
    """What the street adds: only what is not as it should be; "hard to read, type on the hero 12 %"."""
    if found is None:
        return ""
    if found.hides:
        return "hides the picture"
    parts = []
    if found.hard or found.places:
        parts.append("hard to read" if found.hard else "hard to read in places")
    elif found.below:
        parts.append("less contrast than agreed")
    if (found.on_hero or found.past_hero) and found.overlap is not None:
        parts.append(f"type on the hero {per_cent(found.overlap)}\u202f%")
    return ", ".join(parts)


def captions(verdicts: Sequence[Verdict | None]) -> list[tuple[str, str, str]]:
    """What a shot's captions add: label, value, state; nothing where all is as it should be."""
    judged = [found for found in verdicts if found and not found.hides]
    hard = [found for found in judged if found.hard or found.places]
    below = [found for found in judged if found.below and not (found.hard or found.places)]
    over = [found for found in judged if found.on_hero or found.past_hero]
    covered = [found.overlap for found in over if found.overlap is not None]
    rows = []
    if hard:
        rows.append(("Type", f"Hard to read, if only in places, in {len(hard)} of {len(judged)}", "wrong"))
    if below:
        rows.append(("Type", f"Less contrast than agreed, in {len(below)} of {len(judged)}", "wrong"))
    if covered:
        most = per_cent(max(covered))
        value = f"Type in {len(covered)} of {len(judged)}, up to {most}\u202f%"
        rows.append(("On the hero", value, "wrong"))
    return rows


def covered(found: Verdict | None) -> list[tuple[str, SafeString, str]]:
    """The row under the picture that has the overlap on the hero; none where it is not known."""
    if found is None or found.overlap is None:
        return []
    return [
        (
            "On the hero",
            measure(per_cent(found.overlap), "%"),
            "wrong" if found.on_hero or found.past_hero else "agreed",
        )
    ]


def ground(busy: float | None) -> str:
    """How busy a ground is, in a word."""
    return "" if busy is None else next(word for least, word in _BUSY if busy < least)


COLUMNS = ["Type", "Reads", ("Lines", "num"), ("Reads to", "num"), ("Worst letter", "num"), ("5th in 100", "num"),
           ("Middle one", "num"), ("Needs", "num"), ("Ground", "num")]  # fmt: skip


def table(found: Verdict) -> list[list[Any]]:
    """The rows of the table of zones, under `COLUMNS`."""
    return [
        [
            f"Zone {zone.number}",
            _state(zone),
            _lines(zone.lines_mm),
            measure(round(zone.reads_to_m), "m") if zone.reads_to_m else measure(None),
            *[_ratio(value) for value in (zone.worst, zone.p5, zone.median)],
            _ratio(zone.needs),
            _busy(zone),
        ]
        for zone in found.zones[:MOST_ROWS]
    ]


def _state(zone: ZoneRead) -> str | SafeString:
    word = _STATES.get(zone.state, "well")
    return format_html('<span class="wrong">{}</span>', word) if zone.state in (HARD, PLACES) else word


def _lines(heights: Sequence[float]) -> SafeString:
    if not heights:
        return measure(None)
    if len(heights) == 1 or round(heights[0]) == round(heights[-1]):
        return measure(round(heights[0]), "mm")
    return measure(f"{heights[-1]:.0f} to {heights[0]:.0f}", "mm")


def _ratio(value: float | None) -> SafeString:
    return measure(None if value is None else shown(value))


def _busy(zone: ZoneRead) -> str | SafeString:
    if zone.busy is None:
        return measure(None)
    return format_html("<span>{} {}</span>", ground(zone.busy), measure(zone.busy, places=2))


def notes(found: Verdict) -> str:
    """What the numbers of the table are, and what they are not."""
    more = len(found.zones) - MOST_ROWS
    rest = f" {count(more, 'more zone').capitalize()} {'is' if more == 1 else 'are'} not listed." if more > 0 else ""
    return (
        "Contrast is the ratio of WCAG 2.2, from 1 : 1 (none) to 21 : 1 (black on white), of each letter against the "
        f"picture right beside it. Large type needs {NEEDS_LARGE:.0f} : 1, small type {NEEDS_SMALL} : 1; type counts "
        "as large unless the format's viewing distance makes it small. How far a line reads is common practice for "
        f"outdoor signs, 25 mm for each 10 m: a guide. Ground runs from 0, flat, to 1.{rest}"
    )


def zone_marks(found: Verdict | None) -> list[dict[str, Any]]:
    """The zones as the stage draws them, each with its number: {x0, y0, x1, y1, number}."""
    return [] if found is None else [{**_edges(zone), "number": zone.number} for zone in found.zones]


def faults(found: Verdict | None) -> list[dict[str, Any]]:
    """The zones that are hard to read, as the stage rings them, with the ratio that falls short."""
    if found is None:
        return []
    short = (*found.hard, *found.places)
    return [
        {**_edges(zone), "words": f"{shown(_short(zone))}", "says": f"zone {zone.number}, {_STATES[zone.state]}"}
        for zone in short
    ] + [
        {**_edges(zone), "words": f"{shown(zone.p5 or 1.0)}", "says": f"zone {zone.number}, less contrast than agreed"}
        for zone in found.below
        if zone not in short
    ]


def _edges(zone: ZoneRead) -> dict[str, float]:
    return dict(zip(("x0", "y0", "x1", "y1"), zone.box, strict=True))


def _short(zone: ZoneRead) -> float:
    """The ratio by which a zone was judged hard to read."""
    return (zone.median if zone.state == HARD else zone.p5) or 1.0


def shown(ratio: float) -> str:
    """A ratio, cut and not rounded: 4.48 is not shown as the 4.5 that it does not reach."""
    return f"{int(10 * ratio) / 10:.1f}\u202f:\u202f1"
