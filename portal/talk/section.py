"""What talk adds to the rest of the portal: the campaign as a subject, open comments as a finding."""

from collections.abc import Collection

from django.urls import reverse

from portal.access import Audience
from portal.brief import sections
from portal.brief.finding import Finding
from portal.brief.models import Campaign
from portal.site.sentences import Clause, count, told
from portal.talk import subjects
from portal.talk.models import Comment
from portal.talk.subjects import Subject


def the_campaign(campaign: Campaign, keys: Collection[str]) -> dict[str, Subject]:
    """The campaign as a subject of comments."""
    here = Subject("the campaign as a whole", reverse("portal:campaign", args=[campaign.key]))
    return {campaign.key: here} if campaign.key in keys else {}


def ready(campaign: Campaign) -> list[Finding]:
    """Open comments are worth a look before a version is put forward.

    Everyone reads what is found, so only what was written for everyone is counted.
    """
    many = Comment.objects.threads().filter(campaign=campaign, audience=Audience.EVERYONE, resolved_at=None).count()
    if not many:
        return []
    says = told([Clause(many, "comment", "is not resolved", "are not resolved")])
    url = reverse("portal:talk", args=[campaign.key])
    return [Finding("worth-a-look", says, "Talk", count(many, "open comment"), (), url, "comment")]


def register() -> None:
    subjects.register("campaign", the_campaign)
    sections.register_check("talk", ready)
