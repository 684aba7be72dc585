"""Where a campaign stands, kept on its row so that a list of campaigns costs one query."""

from collections import Counter
from collections.abc import Collection, Iterable

from django.utils import timezone

from portal.brief import sections
from portal.brief.finding import Finding
from portal.brief.models import Campaign
from portal.waivers import queries as waivers


def refresh(campaign_id: int) -> None:
    """Compute readiness anew and keep its counts: called once for each transaction of acts, after its commit.

    It takes no lock. Where another act has been committed meanwhile nothing is kept, for that act's own call follows.
    """
    campaign = Campaign.objects.select_related("open_version", "locked_version").get(pk=campaign_id)
    keep(campaign, sections.findings(campaign))


def keep(campaign: Campaign, found: Iterable[Finding]) -> None:
    """Keep the counts of `found` on the campaign's row, unless its log has grown since the campaign was read."""
    found = list(found)
    standing = counted(found)
    here = Campaign.objects.filter(pk=campaign.pk, log_length=campaign.log_length)
    if standing != campaign.standing or campaign.standing_at is None:
        here.update(standing=standing, standing_at=timezone.now())
    campaign.standing = standing
    waivers.keep_what_holds(campaign, found)


def outdated(campaign_id: int) -> None:
    """Say that readiness may have changed, in one cheap UPDATE; who reads it next computes it.

    For the worker: a campaign of 60 shots and 12 formats has 720 previews, and none should wait for readiness.
    """
    Campaign.objects.filter(pk=campaign_id).update(standing_at=None)


def brought_up_to_date(campaigns: Iterable[Campaign]) -> None:
    """Compute the standing of those campaigns whose is outdated; mostly none is."""
    for campaign in campaigns:
        if campaign.standing_at is None and campaign.log_length:
            keep(campaign, sections.findings(campaign))


def counted(found: Collection[Finding]) -> dict[str, object]:
    """{"must_fix", "waived", "worth_a_look", "by_role": {role: must-fix findings that it can mend}}."""
    levels = Counter(finding.level for finding in found)
    by_role: Counter[str] = Counter()
    for finding in found:
        if finding.level == "must-fix":
            by_role.update(str(role) for role in finding.roles)
    return {
        "must_fix": levels["must-fix"],
        "waived": levels["waived"],
        "worth_a_look": levels["worth-a-look"],
        "by_role": dict(by_role),
    }
