"""What pages say of placements' pictures, in sentences and captions."""

from collections.abc import Sequence
from typing import Any

from django.utils.html import format_html

from layouts.pictures.models import Mockup
from layouts.previews import verdict_words, verdicts
from layouts.previews.queries import Seen
from portal.people.languages import name_of
from portal.site.sentences import Clause, count, joined, told
from portal.templatetags.ui import measure

# A hero zone that is cut by less than this is whole: rounding of crops, in shares of its area.
WHOLE = 0.995
DETAIL_OPEN = "The full pixels are being made."
PROOF_OPEN = "The picture as it will print is being made."


def name(row: Seen) -> str:
    """The placement by its format and language."""
    return f"{row.placement.format}, {name_of(row.placement.language)}"


def alt(row: Seen) -> str:
    """What the picture is, for whoever cannot see it."""
    shot = row.placement.shot
    what = "layout over the mockup" if row.laid else "the mockup in this crop, without a layout"
    return f"Shot {shot.number}, {shot.title}, as {name(row)}: {what}"


def stands(row: Seen) -> str:
    """Where this placement's picture stands."""
    if row.state == "no-mockup":
        return "This shot has no mockup yet, so there is nothing to lay the layout over."
    if row.state == "making":
        return "The picture is being made. It appears here by itself."
    if row.state == "failed":
        says = [
            "The picture could not be made.",
            row.preview.work.says if row.preview else "",
            "What is seen is the picture as it was." if row.visible else "",
        ]
        return " ".join(part for part in says if part)
    if row.state == "redoing":
        return "This is the picture as it was: it is being made anew, and changes here by itself."
    return _layout(row)


def _layout(row: Seen) -> str:
    if row.layout is None:
        return "No layout has come for it yet, so the picture is bare. The designer owes it."
    if row.layout_state == "preparing":
        return f"Revision {row.layout.revision} of the layout has come and is being read."
    if row.layout_state == "failed":
        seen = "what is seen is the layout before it" if row.laid else "the picture is bare"
        return f"Revision {row.layout.revision} of the layout could not be read, so {seen}."
    return f"Revision {row.layout.revision} of the layout lies over revision {_mockup_revision(row)} of the mockup."


def _mockup_revision(row: Seen) -> int:
    return row.mockup.revision if row.mockup else 0


def verdict(row: Seen) -> str:
    """How its type reads over the picture that is shown, in plain sentences; empty without a layout over it."""
    return verdict_words.says(verdicts.of(row))


def hero(row: Seen) -> str:
    """How the crop treats the hero zone; empty before there is a mockup."""
    if row.mockup is None:
        return ""
    if row.hero is None:
        return "No hero zone is marked on the mockup."
    if row.hero[1] >= WHOLE:
        return "The hero zone lies whole inside this crop."
    if row.hero[1] <= 0:
        return "The hero zone lies outside this crop."
    return f"This crop cuts off {cut(row)}\u202f% of the hero zone."


def hero_mark(row: Seen, found: verdicts.Verdict | None = None) -> str:
    """The words beside the hero zone that is drawn on a picture: what the crop cuts off, what the layout covers."""
    parts = ["hero zone"]
    if per_cent := cut(row):
        parts.append(f"{per_cent}\u202f% cut off")
    if found and found.on_hero and found.overlap is not None:
        parts.append(f"{verdict_words.per_cent(found.overlap)}\u202f% covered")
    return ", ".join(parts)


def cut(row: Seen) -> int:
    """Per cent of the hero zone that the crop cuts off: 0 where it is whole."""
    if row.hero is None or row.hero[1] >= WHOLE:
        return 0
    return max(1, round(100 * (1 - row.hero[1])))


def street_note(row: Seen) -> str:
    """What the street adds to a placement's size: only what is not as it should be."""
    if row.state in ("making", "failed", "redoing"):
        return {"making": "being made", "failed": "preview failed", "redoing": "being made anew"}[row.state]
    if row.layout_state == "laid":
        return verdict_words.short(verdicts.of(row))
    return {
        "owed": "layout owed",
        "preparing": "layout being read",
        "failed": "layout could not be read",
    }.get(row.layout_state, "")


def progress(rows: Sequence[Seen], mockups: Sequence[Mockup] = ()) -> dict[str, Any]:
    """How far the pictures of these placements are, and these mockups that are being read, while anything is open."""
    waiting = [row for row in rows if row.open]
    return {
        "open": bool(waiting or mockups),
        "done": len(rows) - len(waiting),
        "total": len(rows),
        "sentence": told(
            [
                Clause(len(mockups), "mockup", "is being read", "are being read"),
                Clause(len(waiting), "picture", "is being made", "are being made"),
            ]
        ),
    }


def captions(rows: Sequence[Seen], order: Sequence[str]) -> list[tuple[str, str, str]]:
    """What is said of a shot's placements beside its picture: label, value, state. `order`: of the languages."""
    if not rows:
        return [("Placements", "No format is ordered for this shot.", "quiet")]
    used = {row.placement.language for row in rows}
    tags = [tag for tag in order if tag in used]
    formats = {row.placement.format_id for row in rows}
    came = sum(row.layout is not None for row in rows)
    state = "" if came == len(rows) else "quiet"
    ordered = f"{count(len(formats), 'format')} in {joined([name_of(tag) for tag in tags])}"
    found = [("Placements", f"{ordered[0].upper()}{ordered[1:]}", ""), ("Layouts", f"{came} of {len(rows)} in", state)]
    if crop := _crops(rows):
        found.append(crop)
    found += verdict_words.captions([verdicts.of(row) for row in rows])
    if failed := [row for row in rows if row.state == "failed"]:
        found.append(("Previews", f"{count(len(failed), 'preview')} failed".capitalize(), "wrong"))
    return found


def _crops(rows: Sequence[Seen]) -> tuple[str, str, str] | None:
    measured = [row for row in rows if row.hero]
    if not measured:
        return None
    cuts = {str(row.placement.format): cut(row) for row in measured if cut(row)}
    if not cuts:
        return ("Hero", "Whole in every crop", "agreed")
    worst = sorted(cuts.items(), key=lambda found: -found[1])
    says = "; ".join(f"{per_cent}\u202f% cut off in {format}" for format, per_cent in worst[:3])
    more = f"; less in {count(len(worst) - 3, 'other')}" if len(worst) > 3 else ""
    return ("Hero", f"{says}{more}", "wrong" if worst[0][1] > 25 else "")


def offer(shown: tuple[int, int], full: tuple[int, int]) -> str:
    """What the picture has besides the pixels that are shown, before they are made."""
    return format_html("The picture is seen here at {}. At its full pixels it has {}.", *_pair(shown, full))


def proof(share: float, condition: str) -> str:
    """What is seen of a picture as it will print: the condition, what is out of reach of ink, and what it is worth."""
    reach = (
        "All of its colours can be printed."
        if share < 0.0005
        else f"{100 * share:.1f}\u202f% of the picture has colours that ink cannot reach: they are hatched."
    )
    return (
        f"This is how it prints: {condition}. {reach} It is a guide, on a screen that nobody has calibrated: "
        "the printer's own proof decides."
    )


def _pair(*sizes: tuple[int, int]) -> list[str]:
    return [measure(size, "px") for size in sizes]


def figures(row: Seen) -> list[list[tuple[Any, ...]]]:
    """The rows under the picture, in three columns: the poster, the crop, the files."""
    format = row.placement.format
    poster: list[tuple[Any, ...]] = [
        ("Size", _size(row)),
        ("Artwork", _artwork(row)),
        ("Seen from", measure(format.distance_m, "m") if format.distance_m else measure(None)),
    ]
    return [poster, _crop_rows(row), _file_rows(row)]


def _size(row: Seen) -> str:
    format = row.placement.format
    return measure((format.width_mm, format.height_mm), "mm") if format.width_mm and format.height_mm else measure(None)


def _artwork(row: Seen) -> str:
    format = row.placement.format
    pixels = measure((format.width_px, format.height_px), "px")
    return pixels if format.kind == "screen" else format_html("{}, {}", pixels, measure(f"1 : {format.artwork_scale}"))


def _crop_rows(row: Seen) -> list[tuple[Any, ...]]:
    if row.crop_px is None:
        return [("Crop", "No mockup yet", "quiet")]
    crop = row.crop_px
    found: list[tuple[Any, ...]] = [("Crop keeps", measure((round(crop.width), round(crop.height)), "px"))]
    if row.ppi:
        found.append(("Poster", format_html("{} at full size", measure(row.ppi, "ppi", 1))))
    if row.hero:
        per_cent = cut(row)
        state = "wrong" if per_cent > 25 else ("" if per_cent else "agreed")
        found.append(("Hero inside", measure(100 - per_cent, "%"), state))
    found += verdict_words.covered(verdicts.of(row))
    found.append(("Framed", "By hand" if row.placement.crop else "Round the hero zone"))
    return found


def _file_rows(row: Seen) -> list[tuple[Any, ...]]:
    found: list[tuple[Any, ...]] = []
    if row.layout:
        found.append(("Layout", f"{row.layout.name}, revision {row.layout.revision}"))
    else:
        found.append(("Layout", "Owed by the designer", "quiet"))
    if row.mockup:
        found.append(("Mockup", f"{row.mockup.name}, revision {row.mockup.revision}"))
    return found
