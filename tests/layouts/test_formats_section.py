"""Protects the section "formats": data plain and in order, and the brief says what is not wanted."""

import pytest
from django.template.loader import render_to_string

from layouts.formats import actions
from layouts.formats.section import TEMPLATE
from portal.brief import documents, sections
from portal.talk import subjects

pytestmark = pytest.mark.django_db


def test_placements_are_in_order_and_name_their_shot_and_format(ordered, place):
    data = sections.assemble(ordered.campaign)["formats"]
    assert [row["name"] for row in data["formats"]] == ["48-sheet", "96-sheet", "6-sheet"]
    first = place(1, "48-sheet", "cy")
    assert data["placements"][0] == {
        "id": first.key,
        "shot": first.shot.key,
        "number": 1,
        "format": first.format.key,
        "name": "48-sheet",
        "language": "cy",
    }
    assert [row["number"] for row in data["placements"]] == [1] * 6 + [2] * 6


def test_the_brief_says_where_a_shot_is_not_wanted_everywhere(ordered, place):
    actions.set_wanted(ordered, placements=[place(2, "96-sheet", "cy").key], wanted=False)
    brief = documents.draft_of(ordered.campaign)
    page = render_to_string(TEMPLATE, {"data": brief.document["formats"], "brief": brief})
    assert "6096 × 3048 mm" in page
    assert "Shot 2 is wanted only in 48-sheet" in page
    assert "Shot 1 is wanted only" not in page


def test_a_campaign_without_formats_cannot_go_forward(producer):
    found = [finding for finding in sections.findings(producer.campaign) if finding.kind == "format"]
    assert [(finding.level, finding.says) for finding in found] == [("must-fix", "No formats have been ordered.")]


def test_a_placement_can_be_talked_about_in_its_own_campaign_only(ordered, producer, place):
    found = subjects.one(ordered.campaign, "placement", place().key)
    assert found.label.startswith("Shot 1")
    assert found.label.endswith("48-sheet, British English")
    assert found.url == f"/c/{ordered.campaign.key}/stage/{place().key}/"
    with pytest.raises(subjects.NoSuchSubject):
        subjects.one(producer.campaign, "placement", place().key)
