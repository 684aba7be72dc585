"""Reads of waivers, and which of them hold for what readiness found."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from portal.brief import reading
from portal.brief.finding import Finding
from portal.brief.models import Campaign
from portal.waivers.models import Waiver


def given(campaign: Campaign) -> list[Waiver]:
    """Those that have not been taken back, oldest first: read once while readiness or a document is drawn up."""
    return reading.once(campaign, "waivers", lambda: list(campaign.waivers.filter(withdrawn_at=None)))


def taken_back(campaign: Campaign) -> list[Waiver]:
    """Those that were given and taken back, the last first, each with who took it back."""
    rows = campaign.waivers.exclude(withdrawn_at=None).select_related("withdrawn_by__user")
    return list(rows.order_by("-withdrawn_at", "-pk"))


def marked(campaign: Campaign, found: Sequence[Finding]) -> list[Finding]:
    """The findings, with those that a signer has waived at the level "waived"; one query."""
    by_finding = {waiver.finding: waiver for waiver in given(campaign)}
    if not by_finding:
        return list(found)
    return [_marked(finding, by_finding) for finding in found]


def _marked(finding: Finding, by_finding: dict[str, Waiver]) -> Finding:
    if finding.level != "must-fix" or not finding.waivable:
        return finding
    waiver = by_finding.get(finding.key) or by_finding.get(finding.key_with_number)
    return replace(finding, level="waived", waiver=waiver) if waiver else finding


def keep_what_holds(campaign: Campaign, found: Iterable[Finding]) -> None:
    """Keep on each waiver's row whether it holds, and how its shot is numbered: mostly nothing is written.

    Where another act was committed since the campaign was read nothing is kept, for that act's own call follows.
    """
    holding = {finding.waiver.pk: finding for finding in found if finding.waiver}
    for waiver in given(campaign):
        kept = _kept(waiver, holding.get(waiver.pk))
        if any(getattr(waiver, name) != value for name, value in kept.items()):
            for name, value in kept.items():
                setattr(waiver, name, value)
            Waiver.objects.filter(pk=waiver.pk, campaign__log_length=campaign.log_length).update(**kept)


def _kept(waiver: Waiver, finding: Finding | None) -> dict[str, Any]:
    """What a waiver's row keeps of the finding that it holds for; None where it has lapsed."""
    if finding is None:
        return {"holds": False}
    what_now = finding.what if finding.what != waiver.what else ""
    return {"holds": True, "what_now": what_now, "says_now": finding.says if finding.says != waiver.says else ""}


def lapsed(campaign: Campaign) -> list[Waiver]:
    """Those given that hold no longer, as readiness was last kept."""
    return [waiver for waiver in given(campaign) if not waiver.holds]
