"""What readiness finds about capture plans: not accepted, or accepted and no longer true to what is asked now."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from layouts.capture import accepted, asking
from layouts.capture import rows as reading
from layouts.capture.asking import Asked, Row
from layouts.imaging.framing.added import Fit, fits_in
from layouts.imaging.framing.geometry import Framing, window_of
from portal import access
from portal.access import May
from portal.brief.finding import Finding
from portal.models import Campaign
from portal.site.addresses import of_each
from portal.site.sentences import count, joined, sentence

# Words for the sentence that counts findings: noun, said of one, said of many.
KINDS = {
    "capture-open": ("capture plan", "is not accepted yet", "are not accepted yet"),
    "capture-unserved": ("placement", "is not served by the accepted capture plan", "are not served by accepted plans"),
    "capture-stitched": ("placement", "needs more than one capture", "need more than one capture"),
    "capture-stale": ("capture plan", "has changed since it was accepted", "have changed since they were accepted"),
    "capture-camera": ("capture plan", "was accepted for another camera", "were accepted for another camera"),
}
_SETTLES = tuple(access.roles_that_may(May.EDIT_CAMERA))


def ready(campaign: Campaign) -> list[Finding]:
    """Findings shot by shot; one query beside what readiness reads anyhow. Nothing is planned anew."""
    found, page = [], of_each("layouts:capture", campaign.key)
    for rows in reading.accepted(campaign):
        asked, url = asking.of_rows(rows), page(rows.shot.key)
        if rows.plan.accepted:
            found += _of_accepted(asked, url, rows.plan.accepted)
        elif asked.problem and asked.placements:
            says = f"The capture plan of shot {rows.shot.number} has not been accepted."
            found.append(_finding(asked, url, "worth-a-look", says, "not accepted", "capture-open"))
        # What else is missing (camera, mockup, hero zone) is found by its own section.
    return found


def _of_accepted(asked: Asked, url: str, data: Mapping[str, Any]) -> list[Finding]:
    number = asked.shot.number
    if asked.problem is None:
        return []  # what is missing now has findings of its own
    camera = [round(asked.problem.long), round(asked.problem.short)]
    if camera != data["plan"]["camera"]:
        says = (
            f"The capture plan of shot {number} was accepted for {_px(data['plan']['camera'])}; the camera now gives "
            f"{_px(camera)}. Accept the plan anew."
        )
        return [_finding(asked, url, "must-fix", says, "another camera", "capture-camera")]
    found = list(_unserved(asked, url, data))
    was = {one["id"] for one in (*data["crops"], *data["not_served"])}
    new = [row.label for row in asked.placements.values() if row.placement.key not in was]
    gone = [one["label"] for one in data["crops"] if one["id"] not in asked.placements]
    changed = _changed(asked, data)
    if not found and (new or gone or changed):
        parts = [
            f"{joined(new)} came after it" if new else "",
            f"it still holds {joined(gone)}" if gone else "",
            f"{joined(changed)} {'was' if len(changed) == 1 else 'were'} set anew" if changed else "",
        ]
        says = sentence(f"The capture plan of shot {number} holds, but should be accepted anew: {joined(parts)}")
        found.append(_finding(asked, url, "worth-a-look", says, "accept it anew", "capture-stale"))
    return found


def _unserved(asked: Asked, url: str, data: Mapping[str, Any]) -> Iterable[Finding]:
    """Placements that the accepted captures do not serve; languages of one format and crop are one finding."""
    frames = accepted.framings(data)
    was = {one["id"]: one for one in data["crops"]}
    stitched = {one["id"]: one for one in data["not_served"]}
    aspect = asked.hero_aspect or 1.0
    moved = abs(aspect - data["plan"]["hero_aspect"]) > 1e-5 * aspect
    grouped: dict[tuple[Any, ...], list[Row]] = {}
    for row in asked.placements.values():
        grouped.setdefault((row.format.pk, row.asks.zone, row.asks.hero_down_to), []).append(row)
    for rows in grouped.values():
        row = rows[0]
        asks = accepted.asks_of(row.asks)
        kept = was.get(row.placement.key)
        if kept and not moved and accepted.same(kept["asks"], asks):
            continue
        label = joined([one.label for one in rows])
        known = stitched.get(row.placement.key)
        if known and accepted.same(known["asks"], asks):
            says, wants = _stitch(asked, label, known), _tiles(known)
            yield _finding(asked, url, "worth-a-look", says, wants, "capture-stitched", label)
            continue
        fit = _best(data, row, aspect, frames)
        if fit is None or not fit.serves:
            says = f"No capture of the plan that was accepted for shot {asked.shot.number} serves {label}: "
            says += _by_how_much(row, aspect, frames, fit)
            yield _finding(asked, url, "must-fix", sentence(says), "not served", "capture-unserved", label)


def _best(data: Mapping[str, Any], row: Row, aspect: float, frames: list[Framing]) -> Fit | None:
    problem = accepted.problem_for(data, row.asks, aspect)
    return next(iter(fits_in(problem, frames, row.asks)), None)


def _by_how_much(row: Row, aspect: float, frames: list[Framing], fit: Fit | None) -> str:
    if fit is None:
        return "the plan has no capture at all"
    frame = frames[fit.frame]
    if fit.inside:
        width, height = row.asks.need
        return f"capture {fit.frame + 1} gives it {100 * fit.spare:.1f}\u202f% of its {_px((width, height))}"
    x, y, wide, high = frame.pixels(window_of(row.asks, aspect))
    over = max(-x, -y, x + wide - frame.width, y + high - frame.height)
    return f"its crop would reach {max(1, round(over))}\u202fpx past the frame of capture {fit.frame + 1}"


def _stitch(asked: Asked, label: str, known: Mapping[str, Any]) -> str:
    return sentence(
        f"No single capture of shot {asked.shot.number} serves {label}: alone it would get "
        f"{100 * known['spare']:.1f}\u202f% of its pixels. {_tiles(known)[0].upper()}{_tiles(known)[1:]} would serve it"
    )


def _tiles(known: Mapping[str, Any]) -> str:
    columns, rows = known["tiles"]
    return f"{count(columns * rows, 'stitched tile')}"


def _changed(asked: Asked, data: Mapping[str, Any]) -> list[str]:
    """Settings that were changed after the plan was accepted."""
    plan = data["plan"]
    return [
        words
        for words, now, was in (
            ("the margin", asked.settings.margin, plan["margin"]),
            ("the enlargement", asked.settings.enlargement, plan["enlargement"]),
        )
        if now != was
    ]


def _px(sides: Iterable[float]) -> str:
    return "\u202f×\u202f".join(f"{side:.0f}" for side in sides) + "\u202fpx"


def _finding(asked: Asked, url: str, level: str, says: str, wants: str, kind: str, label: str = "") -> Finding:
    what = f"{label}, shot {asked.shot.number}" if label else f"Capture plan, shot {asked.shot.number}"
    return Finding(level, says, what, wants, _SETTLES, url, kind, shot=asked.shot.number)
