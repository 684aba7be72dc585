"""The section "campaign": what the pictures are for, terms of use, who signs."""

from typing import Any

from django.urls import reverse

from portal import access
from portal.access import May, Role, Side
from portal.brief import fields, reading, sections
from portal.brief.fields import Field, Thing, Words
from portal.brief.finding import Finding
from portal.brief.models import Campaign
from portal.brief.sections import Section
from portal.people.languages import name_of
from portal.people.models import Member

KINDS = {
    "signer": ("side", "has nobody who signs", "have nobody who signs"),
    "term": ("term of use", "is empty", "are empty", "terms of use"),
}

# What each term of use says; without them nobody knows what was bought.
_USAGE = {
    "media": "in which media the pictures run",
    "territory": "in which territory the pictures run",
    "period": "for which period the pictures run",
}

TELLS = Words(
    {
        "signers": Thing(
            "signer",
            lambda row, _: str(row["name"]),
            {"name": fields.text("name"), "role": fields.text("role")},
            about=("role",),
        )
    },
    {
        "title": fields.text("title"),
        "code": fields.text("code"),
        "client": fields.text("client"),
        "agency": fields.text("agency"),
        "about": fields.text("what the pictures are for"),
        "invented": fields.yes_no("invented"),
        "languages": fields.several("languages", name_of),
        "usage.media": fields.text("media"),
        "usage.territory": fields.text("territory"),
        "usage.period": fields.text("period of use"),
        "rounds_included": fields.number("rounds of amends included"),
        "sign_in_order": fields.yes_no("the agency signs before the client"),
        "limits.contrast": Field(
            "least contrast of type",
            lambda value, _: f"{value:g}\u202f:\u202f1" if value else fields.EMPTY,
            {"type": "number", "minimum": 1, "maximum": 21},
        ),
        "limits.hero_overlap": Field(
            "most of the hero that a layout may cover",
            lambda value, _: fields.EMPTY if value is None else f"{value}\u202f%",
            {"type": "integer", "minimum": 0, "maximum": 100},
        ),
    },
)


def assemble(campaign: Campaign) -> dict[str, Any]:
    """Plain data of the campaign and its terms; signers by their key."""
    members = people(campaign)
    return {
        "title": campaign.title,
        "code": campaign.code,
        "client": campaign.client,
        "agency": campaign.agency,
        "about": campaign.about,
        "invented": campaign.invented,
        "languages": campaign.languages,
        "usage": {"media": campaign.media, "territory": campaign.territory, "period": campaign.period},
        "rounds_included": campaign.rounds_included,
        "sign_in_order": campaign.sign_in_order,
        "limits": {"contrast": campaign.least_contrast, "hero_overlap": campaign.hero_overlap},
        "signers": [
            {"id": member.key, "name": str(member.user), "role": member.get_role_display()}
            for member in access.those_who_may(members, May.SIGN_OFF)
        ],
    }


def people(campaign: Campaign) -> list[Member]:
    """Who is in the campaign now."""
    return reading.once(campaign, "people", lambda: list(campaign.members.active().select_related("user")))


def ready(campaign: Campaign) -> list[Finding]:
    """Each term of use must be there, and each side that pays or shoots must have someone who signs."""
    found = [_no_term(campaign, name) for name in _USAGE if not getattr(campaign, name).strip()]
    members = people(campaign)
    signing = {member.side for member in access.those_who_may(members, May.SIGN_OFF)}
    page = reverse("portal:people", args=[campaign.key])
    for side, who in ((Side.CLIENT, "client"), (Side.CREW, "photographer")):
        if side not in signing:
            found.append(
                Finding(
                    "must-fix",
                    f"Nobody is named who signs for the {who}.",
                    f"Signature of the {who}",
                    "nobody named",
                    (Role.AGENCY, Role.PRODUCER, Role.PHOTOGRAPHER),
                    page,
                    "signer",
                    waivable=False,
                )
            )
    return found


def _no_term(campaign: Campaign, name: str) -> Finding:
    word, roles = _USAGE[name], tuple(access.roles_that_may(May.EDIT_SHOTS))
    says = f"The terms of use do not say {word}."
    url = reverse("portal:terms", args=[campaign.key]) + f"#id_{name}"
    return Finding("must-fix", says, f"Terms of use, {name}", "empty", roles, url, "term")


def register() -> None:
    sections.register(
        Section(
            "campaign",
            "Campaign and usage",
            10,
            assemble,
            "portal/brief/sections/campaign.html",
            ready,
            kinds=KINDS,
            words=TELLS,
        )
    )
