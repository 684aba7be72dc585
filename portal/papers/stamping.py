"""The stamp of a brief's document, as every paper drawn from it carries it."""

from django.conf import settings
from django.urls import reverse

from portal.brief.documents import Brief
from portal.models import Campaign
from portal.papers.sheet import Stamp


def stamp(campaign: Campaign, brief: Brief) -> Stamp:
    """The document's stamp with the address where it is kept: the version's own page, or the draft's."""
    if brief.number is None:
        path = reverse("portal:brief", args=[campaign.key])
    else:
        path = reverse("portal:version", args=[campaign.key, brief.number])
    words = "DRAFT" if brief.number is None else f"version {brief.number}, {brief.state}"
    return Stamp(words, brief.digest, brief.is_draft, settings.ADDRESS + path)
