"""The section "waivers": what signers have waived, as it then stood, by whom, when and why."""

from typing import Any

from portal.brief import fields, sections
from portal.brief.fields import Thing, Words
from portal.brief.models import Campaign
from portal.brief.sections import Section
from portal.sealing import words
from portal.waivers import queries

TELLS = Words(
    {
        "": Thing(
            "waiver",
            lambda row, _: f"waiver for {row['what']}",
            {
                "what": fields.text("of"),
                "says": fields.text("what was waived"),
                "reason": fields.text("why"),
                "by": fields.text("waived by"),
                "role": fields.text("role"),
                "at": fields.day("on"),
            },
            about=("says", "by", "reason"),
        )
    }
)


def assemble(campaign: Campaign) -> list[dict[str, Any]]:
    """The waivers that hold, oldest first. One that has lapsed says nothing about this brief."""
    return [
        {
            "id": waiver.key,
            "what": waiver.place,
            "says": waiver.sentence,
            "reason": waiver.reason,
            "by": waiver.typed_name,
            "role": waiver.given_role,
            "at": waiver.given_at.isoformat(timespec="seconds"),
        }
        for waiver in queries.given(campaign)
        if waiver.holds
    ]


def register() -> None:
    sections.register(Section("waivers", "Waived", 12, assemble, "portal/waivers/section.html", words=TELLS))
    words.register(
        {
            "waiver.given": "{who} waived, as {name}: {says} Because: {reason}",
            "waiver.withdrawn": "{who} took back the waiver of {given_by}: {says}",
        }
    )
