"""The stamp of a brief's document, as every paper drawn from it carries it."""

from django.conf import settings
from django.urls import reverse

from portal.brief.documents import Brief
from portal.models import Campaign
from portal.papers.sheet import Stamp


def stamp(campaign: Campaign, brief: Brief) -> Stamp:
    """The document's stamp with the address that says whether it still holds: the check of this very stamp."""
    number = "draft" if brief.number is None else f"v{brief.number}"
    # Sixteen characters keep the code small enough to be scanned from a list that has been folded.
    path = reverse("portal:check-stamp", args=[campaign.key, f"{number}-{brief.digest[:16]}"])
    words = "DRAFT" if brief.number is None else f"version {brief.number}, {brief.state}"
    return Stamp(words, brief.digest, brief.is_draft, settings.ADDRESS + path)
