"""What pages say of the state of the rows that they show."""

from typing import Any

from django import template
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

from layouts.stand import stand

register = template.Library()


@register.simple_tag(takes_context=True)
def rows_stand(context: Any, shot: str = "", drafts_only: bool = False) -> SafeString:
    """Whether what stands here is locked or a draft, with a link to the locked version: `{% rows_stand shot.key %}`.

    With `drafts_only` nothing where it is as locked.
    """
    campaign = context["campaign"]
    found = stand(campaign, shot)
    if drafts_only and not found.draft:
        return SafeString("")
    link = SafeString("")
    if found.locked is not None:
        address = reverse("portal:version", args=[campaign.key, found.locked])
        link = format_html(' <a href="{}">See version {}</a>', address, found.locked)
    kind = "message" if found.draft and found.locked is not None else "small quiet"
    return format_html(
        '<p class="{}" data-stand="{}">{}{}</p>', kind, "draft" if found.draft else "locked", found.says, link
    )
