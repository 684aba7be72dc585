"""The section "campaign": what the pictures are for, terms of use, who signs."""

from typing import Any

from django.urls import reverse

from portal import access
from portal.access import May, Role, Side
from portal.brief import fields, reading, sections
from portal.brief.fields import Thing, Words
from portal.brief.models import Campaign
from portal.brief.sections import Finding, Section
from portal.people.languages import name_of
from portal.people.models import Member
from portal.site.sentences import joined

KINDS = {"signer": ("side", "has nobody who signs", "have nobody who signs")}

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
        "signers": [
            {"id": member.key, "name": str(member.user), "role": member.get_role_display()}
            for member in access.those_who_may(members, May.SIGN_OFF)
        ],
    }


def people(campaign: Campaign) -> list[Member]:
    """Who is in the campaign now."""
    return reading.once(campaign, "people", lambda: list(campaign.members.active().select_related("user")))


def ready(campaign: Campaign) -> list[Finding]:
    """Usage terms must be there, and each side that pays or shoots must have someone who signs."""
    found = []
    terms = reverse("portal:terms", args=[campaign.key])
    missing = [
        word
        for word, value in (("media", campaign.media), ("territory", campaign.territory), ("period", campaign.period))
        if not value.strip()
    ]
    if missing:
        found.append(
            Finding(
                "must-fix",
                f"The usage terms do not say {joined([f'the {word}' for word in missing])}.",
                "Usage terms",
                f"no {', no '.join(missing)}",
                tuple(access.roles_that_may(May.EDIT_SHOTS)),
                terms,
                "term",
            )
        )
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
                )
            )
    return found


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
