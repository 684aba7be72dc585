"""The section "props": what stands round the food, where it comes from and when."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from portal import access
from portal.access import May
from portal.brief import fields, sections
from portal.brief.fields import Parent, Thing, Words
from portal.brief.finding import Finding
from portal.brief.sections import Section
from portal.models import Campaign
from portal.site.addresses import of_each
from shots import cautions
from shots.props import queries
from shots.props.actions import FIELDS
from shots.props.models import Prop
from shots.rows import plainly

# Words for findings of a kind, as in Section.kinds.
KINDS = {"prop-open": ("prop", "has no source or date", "have no source or date"), **cautions.KINDS}
TELLS = Words(
    {
        "": Thing(
            "prop",
            lambda row, whole: f"{row['name']}, {whole.shot(row['shot'])}",
            {
                "shot": fields.Field("shot"),
                "name": fields.text("name"),
                "quantity": fields.number("quantity", least=1),
                "source": fields.text("from"),
                "basis": fields.choice("hire, buy or own", dict(Prop.Basis.choices)),
                "due": fields.day("due"),
                "returns_by": fields.day("goes back"),
                "breakable": fields.yes_no("breakable"),
                "caution": fields.text("caution"),
                "note": fields.text("note"),
            },
            parents=lambda row: [Parent("shots", "", row["shot"])],
            about=("quantity", "source", "due"),
        )
    }
)
_WHO = tuple(access.roles_that_may(May.EDIT_PROPS))


def assemble(campaign: Campaign) -> list[dict[str, Any]]:
    """Props in shot order; `shot` is the shot's id in the section "shots"."""
    return [as_data(prop) for prop in queries.read(campaign)]


def as_data(prop: Prop) -> dict[str, Any]:
    """One prop as it stands in the document; lists and pages show this."""
    return {"id": prop.key, "shot": prop.shot.key, **plainly(prop, FIELDS)}


def by_shot(campaign: Campaign) -> Iterator[tuple[str, Finding]]:
    """Findings, each with its shot's key: a prop without a source or a date is worth a look."""
    page, of_shot = of_each("shots:prop", campaign.key), of_each("shots:shot", campaign.key)
    for prop in queries.read(campaign):
        for finding in _of(prop, page(prop.key)):
            yield prop.shot.key, replace(finding, seen=f"{of_shot(prop.shot.key)}#props-{prop.key}")


def ready(campaign: Campaign) -> list[Finding]:
    """All that is to be said of the campaign's props."""
    return [finding for _, finding in by_shot(campaign)]


def _of(prop: Prop, url: str) -> Iterator[Finding]:
    # What is owned stands in the studio already and needs no date.
    missing = [] if prop.source else ["source"]
    if prop.due is None and prop.basis != Prop.Basis.OWN:
        missing.append("due date")
    if prop.basis == Prop.Basis.HIRE and prop.returns_by is None:
        missing.append("return date")
    what = f"{prop.name}, shot {prop.shot.number}"
    if missing:
        says = f"{prop.name} in shot {prop.shot.number} has no {_listed(missing)}."
        yield Finding("worth-a-look", says, what, f"no {missing[0]}", _WHO, url, "prop-open")
    # What is marked as breakable says so on every list, beside the caution about glass and pottery.
    said = {"glass"} if prop.breakable else set[str]()
    begins, texts = f"{prop.name} in shot {prop.shot.number} names", (prop.name, prop.note)
    yield from cautions.missing(begins, texts, prop.caution, what, _WHO, url, said=said)


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', no '.join(words[:-1])} and no {words[-1]}"


def register() -> None:
    template = "shots/sections/props.html"
    sections.register(Section("props", "Props", 50, assemble, template, ready, kinds=KINDS, words=TELLS))
