"""The section "roles": who does each job on the shoot, or why nobody is needed for it."""

from typing import Any

from django.urls import reverse

from portal import access
from portal.access import May
from portal.brief import fields, sections
from portal.brief.fields import Field, Parent, Row, Thing, Words
from portal.brief.finding import Finding
from portal.brief.sections import Section
from portal.models import Campaign
from portal.sealing import words
from shots.roles import queries
from shots.roles.models import RoleAnswer
from shots.roles.queries import Seat

# Words for findings of a kind, as in Section.kinds.
KINDS = {"role-unanswered": ("role", "has no answer", "have no answer")}
_ANSWERS = dict(RoleAnswer.Answer.choices)
_WHO = tuple(access.roles_that_may(May.EDIT_DAYS))


def _covering(value: Any, row: Row) -> str:
    return str(row.get("covered_by_title") or "") or fields.plain(value)


TELLS = Words(
    {
        "": Thing(
            "role",
            lambda row, _: str(row["role"]).lower(),
            {
                "role": fields.text("role"),
                "answer": fields.choice("answer", _ANSWERS),
                "people": fields.several("who"),
                "covered_by": Field("covered by", _covering, {"type": "string"}, covers=("covered_by_title",)),
                "covered_by_title": fields.text("covered by"),
                "agreed_by": fields.text("agreed by"),
                "reason": fields.text("why"),
            },
            parents=lambda row: [Parent("roles", "", row["covered_by"])] if row.get("covered_by") else [],
            about=("answer", "people", "covered_by", "agreed_by"),
        )
    }
)


def assemble(campaign: Campaign) -> list[dict[str, Any]]:
    """Every role of the job with its answer: names, and never how somebody is reached."""
    return [as_data(seat) for seat in queries.read(campaign)]


def as_data(seat: Seat) -> dict[str, Any]:
    """One role as it stands in the document."""
    agreed = seat.row if seat.answer == RoleAnswer.Answer.NOT_NEEDED else None
    return {
        "id": seat.id,
        "role": seat.title,
        "answer": str(RoleAnswer.Answer.OPEN if seat.wants else seat.answer),
        "people": seat.who,
        "covered_by": seat.covered_by.id if seat.covered_by else "",
        "covered_by_title": seat.covered_by.title if seat.covered_by else "",
        "agreed_by": agreed.agreed_by if agreed else "",
        "reason": agreed.reason if agreed else "",
    }


def ready(campaign: Campaign) -> list[Finding]:
    """Every role must be named, covered by another, or agreed as not needed."""
    url = reverse("shots:roles", args=[campaign.key])
    return [
        Finding("must-fix", seat.wants, seat.title, "no answer", _WHO, f"{url}#role-{seat.id}", "role-unanswered")
        for seat in queries.read(campaign)
        if seat.wants
    ]


def register() -> None:
    words.register(
        {
            "role.added": "{who} added the role of {title}.",
            "role.answered": "{who} answered for the role of {title}: {changes}.",
            "role.removed": "{who} took the role of {title} out.",
        }
    )
    template = "shots/sections/roles.html"
    sections.register(Section("roles", "Roles", 75, assemble, template, ready, kinds=KINDS, words=TELLS))
