"""Where a campaign stands, kept on its row so that a list of campaigns costs one query."""

from collections import Counter

from portal.brief import sections
from portal.brief.models import Campaign


def refresh(campaign_id: int) -> None:
    """Compute readiness anew and keep its counts: called when an act or a piece of work has been committed."""
    campaign = Campaign.objects.select_related("open_version", "locked_version").get(pk=campaign_id)
    found = sections.findings(campaign)
    by_role: Counter[str] = Counter()
    for finding in found:
        if finding.level == "must-fix":
            by_role.update(str(role) for role in finding.roles)
    standing = {
        "must_fix": sum(finding.level == "must-fix" for finding in found),
        "worth_a_look": sum(finding.level != "must-fix" for finding in found),
        "by_role": dict(by_role),
    }
    if standing != campaign.standing:
        Campaign.objects.filter(pk=campaign_id).update(standing=standing)
