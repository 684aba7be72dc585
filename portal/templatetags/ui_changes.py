"""The way from a place that is locked to what opens it."""

from typing import Any
from urllib.parse import urlencode

from django import template
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

register = template.Library()


@register.simple_tag(takes_context=True)
def raise_change_link(context: Any, section: str = "", shot: str = "") -> SafeString:
    """Beside the sentence that a brief is locked: `{% raise_change_link "props" shot.key %}`; else nothing.

    With a section, its box is ticked in the form.
    """
    campaign, may = context.get("campaign"), context.get("may") or {}
    if campaign is None or not campaign.locked_version_id or not may.get("read_draft"):
        return SafeString("")
    every = format_html('<a href="{}">All changes</a>', reverse("portal:changes", args=[campaign.key]))
    if not may.get("raise_change"):
        return format_html('<p class="row">{}</p>', every)
    ticked = "?" + urlencode({"open": f"{section}/{shot}"}) if section else ""
    address = reverse("portal:raise-change", args=[campaign.key]) + ticked
    return format_html('<p class="row"><a href="{}">Raise a change</a> {}</p>', address, every)
