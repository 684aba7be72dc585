"""What a shot's frames are drawn from on set: the version that holds, else the draft.

A version gives its accepted capture plan and the layouts that it names by SHA-256. Where it has no plan of this shot,
the plan follows from the rows, and every page and index says so: they are the version's as long as no accepted change
has opened them, and else a draft, stamped as one.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

from layouts.capture import accepted, asking
from layouts.capture.asking import Asked
from layouts.imaging.framing.geometry import Framing
from layouts.imaging.framing.problem import TooLarge
from layouts.overlays.queries import window_of
from layouts.stand import stand
from portal import access
from portal.access import May
from portal.brief import documents
from portal.models import Campaign, Member, Version
from shots.models import Shot

Data = dict[str, Any]
NOT_ACCEPTED = "The plan is computed from the brief as it is: nobody has accepted it for version {number}."
NO_LONGER = (
    "DRAFT: a change is open in this shot, and version {number} has no accepted plan of it, so plan and layouts are as "
    "they stand now, not as they are locked."
)
DRAFT = "This is of the draft: layouts and plan may still change."
DRAFT_ACCEPTED = "This is of the draft, whose plan has been accepted; layouts may still change."


@dataclass(frozen=True)
class Source:
    """A shot's frames and layouts.

    version    None for the draft
    plan       as `accepted.as_data` has it; None where there is none, and `why` then says why
    layouts    placement's key to {sha256, window, revision}; those that have one
    says       what is to be known of where the plan comes from
    """

    shot: Shot
    version: Version | None
    plan: Data | None
    why: str = ""
    layouts: dict[str, Data] = field(default_factory=dict)
    says: str = ""

    @property
    def framings(self) -> list[Framing]:
        return accepted.framings(self.plan) if self.plan else []

    @property
    def stands(self) -> str:
        """What frames and layouts are taken from, where it is a version; else empty: the draft's state is said then."""
        if self.version is None:
            return ""
        held = stand(self.shot.campaign, self.shot.key)
        if held.locked != self.version.number:
            return f"Of version {self.version.number}, put forward and not signed by all yet."
        if not held.draft:
            return held.says
        return (
            f"The frames and layouts here are those of version {held.locked}, which is locked. "
            "What is edited for a change since is not in them."
        )

    @property
    def hero_aspect(self) -> float | None:
        """Width over height of the hero that the plan was made for."""
        if not self.plan or not self.plan["captures"]:
            return None
        _, _, wide, high = self.plan["captures"][0]["hero"]
        return float(wide / high)


def need_draft(member: Member) -> None:
    """Whoever may not read the draft sees this only once it is drawn from a version. Raises PermissionDenied."""
    if not (member.campaign.locked_version_id or member.campaign.open_version_id):
        access.need(member, May.READ_DRAFT)


def need_drawn(member: Member, found: Source) -> None:
    """The same of what was found: a change may have opened a shot that no version has a plan of."""
    if found.version is None:
        access.need(member, May.READ_DRAFT)


def source(campaign: Campaign, shot: Shot, asked: Asked | None = None) -> Source:
    """What holds of this shot. `asked`: what it asks as it stands, where the caller has it."""
    version = campaign.locked_version or campaign.open_version
    if version is None:
        return _of_rows(shot, None, asked or asking.asked(shot))
    document = documents.of_version(version, campaign).document
    layouts = {row["id"]: row for row in document.get("layouts", []) if row["sha256"]}
    kept = document.get("capture") or {}
    mine = {name: [row for row in kept.get(name, []) if row.get("shot") == shot.key] for name in _LISTS}
    plan = next((row for row in kept.get("plans", []) if row["id"] == shot.key), None)
    if plan and mine["captures"]:
        return Source(shot, version, {**mine, "plan": plan}, "", layouts)
    opened = version.pk == campaign.locked_version_id and stand(campaign, shot.key).draft
    if opened:
        found = _of_rows(shot, None, asked or asking.asked(shot))
        return replace(found, says=NO_LONGER.format(number=version.number))
    found = _of_rows(shot, version, asked or asking.asked(shot))
    return Source(shot, version, found.plan, found.why, layouts, NOT_ACCEPTED.format(number=version.number))


_LISTS = ("captures", "crops", "not_served")


def _of_rows(shot: Shot, version: Version | None, asked: Asked) -> Source:
    if asked.problem is None:
        return Source(shot, version, None, asked.why)
    try:
        plan = asking.plan_of(asked.problem)
    except TooLarge as wrong:
        return Source(shot, version, None, str(wrong))
    layouts = {
        key: {"sha256": row.layout.file.sha256, "window": window_of(row.layout), "revision": row.layout.revision}
        for key, row in asked.placements.items()
        if row.layout
    }
    kept = getattr(shot, "capture_plan", None)
    says = DRAFT_ACCEPTED if kept and kept.digest == asked.digest else DRAFT
    return Source(shot, version, accepted.as_data(asked, plan), "", layouts, says)
