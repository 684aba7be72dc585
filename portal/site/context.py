"""What every template of a campaign's page finds: the campaign, the member, the sections, where it stands."""

from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from portal import access
from portal.access import May
from portal.brief.queries import standing_words

# The running head's links: label, URL name, capability. A link shows only to those whom its page will let in.
SECTIONS = [
    ("Where it stands", "portal:campaign", May.READ_VERSIONS),
    ("Shots", "shots:shots", May.READ_DRAFT),
    ("Formats", "layouts:formats", May.READ_DRAFT),
    ("Layouts", "layouts:layouts", May.READ_DRAFT),
    ("Food and props", "shots:lists", May.READ_VERSIONS),
    ("Talk", "portal:talk", May.COMMENT),
    ("Brief", "portal:brief", May.READ_VERSIONS),
    ("People", "portal:people", May.READ_VERSIONS),
]


def campaign(request: HttpRequest) -> dict[str, Any]:
    """`may` asks the same table as the pages: `{% if may.edit_props %}`."""
    ground = request.COOKIES.get("ground", "")
    context: dict[str, Any] = {"ground": ground if ground in ("light", "dark") else ""}
    member = getattr(request, "member", None)
    if member is None:
        return context
    here = request.path
    links: list[dict[str, Any]] = []
    for label, name, act in SECTIONS:
        if access.may(member, act):
            url = reverse(name, args=[member.campaign.key])
            links.append({"label": label, "url": url, "current": here == url})
    # A page below a section (a shot, a form) marks the section it hangs from.
    if not any(link["current"] for link in links):
        stage = f"/c/{member.campaign.key}/stage/"
        hangs = reverse("shots:shots", args=[member.campaign.key]) if here.startswith(stage) else here
        below = [link for link in links[1:] if hangs.startswith(link["url"])]
        for link in below[:1]:
            link["current"] = True
    return context | {
        "campaign": member.campaign,
        "member": member,
        "may": {act.name.lower(): access.may(member, act) for act in May},
        "sections": links,
        "standing": standing_words(member.campaign),
    }
