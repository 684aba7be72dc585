"""Acts on a shot's capture plan: its lens, what the designer allows, and accepting it."""

from collections.abc import Iterable
from typing import Any

from django.db import transaction
from django.utils import timezone

from layouts.capture import accepted, asking
from layouts.capture import rows as reading
from layouts.capture.models import CapturePlan
from layouts.formats.models import Placement
from portal.access import May
from portal.brief.both import Read, Telling, refuse_if, settle, since
from portal.brief.draft import open_draft, refuse
from portal.models import LogEntry, Member
from portal.sealing import log
from shots.models import Shot

PLANNING = ("margin", "enlargement", "hero_aspect", "dropped")
LENS = ("sensor_mm", "hero_mm", "distance_mm", "focal_mm")
SECTION = "capture"
SETTLED = Telling(("capture.settled",))
# A distance and a focal length give each other: of two people's numbers neither is put beside the other's.
TOGETHER = (("distance_mm", "focal_mm"),)
# How small the designer may let the hero be, as a share of its zone; 1 takes the agreement back.
LEAST_SHARE = 0.5
_PLANS = ("capture.accepted", "capture.settled")
STALE = (
    "What this plan rests on has changed since the page was opened: a layout, a crop, the camera or a setting. "
    "Below is the plan as it is now; look at it and accept it again."
)


@transaction.atomic
def settle_capture(by: Member, shot: str, *, read: Read = None, **fields: Any) -> CapturePlan:
    """Keep settings of a shot's plan, any of PLANNING and LENS; what was accepted stays as it is.

    `read`: the settings as their editor had them. Raises PermissionDenied, BriefClosed, Shot.DoesNotExist,
    ValidationError, and of these ChangedMeanwhile where somebody else changed the same ones.
    """
    campaign = open_draft(by, May.EDIT_CAMERA, SECTION, shot)
    row = _row(campaign.shots.get(key=shot))
    _need_known(fields)
    stands = {name: getattr(row, name) for name in fields}
    mine = settle(by, read, stands, fields, subject=f"shot/{shot}", telling=SETTLED, together=TOGETHER)
    was, now = _set(row, mine)
    if now:
        row.save()
        log.append(by, "capture.settled", f"shot/{shot}", was=was, now=now)
    return row


@transaction.atomic
def agree_tolerance(
    by: Member, shot: str, *, placements: Iterable[str], down_to: float, read: int | None = None
) -> CapturePlan:
    """Let the hero be down to this share of its zone, 0.5 to 1, in these placements; 1 takes that back.

    It changes the composition, so the layouts' own people say it. `read`: how long the log was when it was decided.
    Raises PermissionDenied, BriefClosed, Shot.DoesNotExist, Placement.DoesNotExist, ValidationError, and of these
    TouchedMeanwhile where somebody else agreed otherwise about one of the placements since.
    """
    campaign = open_draft(by, May.UPLOAD_LAYOUTS, SECTION, shot)
    of = campaign.shots.get(key=shot)
    if not LEAST_SHARE <= down_to <= 1:
        raise refuse("down_to", "The hero may be down to 50 % of its zone, and at most all of it.")
    keys = sorted(set(placements))
    if Placement.objects.filter(key__in=keys, shot=of).count() != len(keys):
        raise Placement.DoesNotExist
    row = _row(of)
    changed = [key for key in keys if row.tolerances.get(key, {}).get("down_to", 1.0) != down_to]
    if not changed:
        return row
    if read is not None:
        others = since(by, read, ("capture.tolerance",), (f"shot/{shot}",))
        refuse_if(by, [entry for entry in others if set(changed) & set(entry.payload["placements"])])
    agreed = {"down_to": down_to, "by": by.key, "name": str(by), "at": timezone.now().isoformat()}
    for key in changed:
        row.tolerances.pop(key, None)
        if down_to < 1:
            row.tolerances[key] = agreed
    row.save()
    log.append(by, "capture.tolerance", f"shot/{shot}", placements=changed, down_to=down_to)
    return row


@transaction.atomic
def accept_capture(by: Member, shot: str, *, seen: str, read: int | None = None, **settings: Any) -> CapturePlan:
    """Accept the plan that these settings (PLANNING) give, and keep both; `seen` is the digest that the page showed.

    `read`: how long the log was when the page was read. Raises PermissionDenied, BriefClosed, Shot.DoesNotExist;
    ValidationError where there is no plan to accept, where it is not the one that was seen, or a setting is out of
    range; of these TouchedMeanwhile where somebody else accepted another plan, or other settings, since.
    """
    campaign = open_draft(by, May.EDIT_CAMERA, SECTION, shot)
    of = campaign.shots.get(key=shot)
    of.campaign = campaign
    row = _row(of)
    was, now = _set(row, settings)
    rows = reading.of_shot(of)
    found = asking.of_rows(rows, **_levers(row))
    if found.problem is None:
        raise refuse("__all__", found.why)
    if found.digest != seen:
        raise refuse("__all__", STALE)
    try:
        plan = asking.plan_of(found.problem)
    except asking.TooLarge as wrong:
        raise refuse("__all__", str(wrong)) from wrong
    data = accepted.as_data(found, plan)
    if row.digest == seen and row.accepted == data and not now:
        return row  # a second click
    if read is not None:
        refuse_if(by, [entry for entry in since(by, read, _PLANS, (f"shot/{shot}",)) if _plans(entry)])
    row.accepted, row.digest, row.accepted_by, row.accepted_at = data, seen, by, timezone.now()
    row.save()
    log.append(
        by,
        "capture.accepted",
        f"shot/{shot}",
        number=of.number,
        captures=len(data["captures"]),
        served=len(data["crops"]),
        not_served=[one["label"] for one in data["not_served"]],
        digest=seen,
        was=was,
        now=now,
    )
    return row


def _row(shot: Shot) -> CapturePlan:
    return CapturePlan.objects.filter(shot=shot).first() or CapturePlan(shot=shot)


def _levers(row: CapturePlan) -> dict[str, Any]:
    return {
        "margin": row.margin,
        "enlargement": row.enlargement,
        "hero_aspect": row.hero_aspect,
        "dropped": tuple(row.dropped),
    }


def _plans(entry: LogEntry) -> bool:
    """Whether an entry says of another plan: one that was accepted, or a setting that plans are made with."""
    return entry.act == "capture.accepted" or bool(set(entry.payload["now"]) & set(PLANNING))


def _need_known(fields: Iterable[str]) -> None:
    if unknown := set(fields) - {*PLANNING, *LENS}:
        raise TypeError(f"not to be changed here: {sorted(unknown)}")


def _set(row: CapturePlan, fields: dict[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """Set and check fields; what was and what is now, of those that differ. Does not save."""
    _need_known(fields)
    was = {name: getattr(row, name) for name in fields}
    for name, value in fields.items():
        setattr(row, name, sorted(set(value)) if name == "dropped" else value)
    row.full_clean(exclude=["shot"])
    changed = [name for name in fields if was[name] != getattr(row, name)]
    return {name: was[name] for name in changed}, {name: getattr(row, name) for name in changed}
