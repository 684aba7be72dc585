"""Protects what the brief says of pictures and what readiness finds: by digest, in sentences, in few queries."""

import json

import pytest
from django.db import connection
from django.template.loader import render_to_string
from django.test.utils import CaptureQueriesContext

from layouts.formats import actions as formats
from layouts.pictures import actions, readiness, section
from layouts.previews import queries
from portal.brief import reading
from portal.models import Work
from portal.record.canonical import canonical
from tests.factories import ShotFactory
from tests.layouts.mockup_files import upload
from tests.work import run_work

pytestmark = pytest.mark.django_db


@pytest.fixture
def shot(ordered):
    shot = ordered.campaign.shots.get(number=1)
    actions.add_mockup(ordered, shot.key, file=upload())
    return shot


def found(campaign) -> list[tuple[str, str]]:
    return [(finding.level, finding.says) for finding in readiness.ready(campaign)]


def test_a_shot_without_a_mockup_and_one_without_a_hero_zone_must_be_mended(ordered, shot):
    assert found(ordered.campaign) == [
        ("must-fix", "Shot 1, Bowl by the window, has no hero zone marked on its mockup."),
        ("must-fix", "Shot 2, Tall stack, has no mockup."),
    ]
    first, second = readiness.ready(ordered.campaign)
    assert first.url.endswith(f"/shots/{shot.key}/hero-zone/")
    assert {str(role) for role in second.roles} == {"agency", "photographer"}


@pytest.mark.parametrize(
    ("share", "level"),
    [(0.015, None), (0.05, "worth-a-look"), (0.24, "worth-a-look"), (0.27, "must-fix"), (1.0, "must-fix")],
)
def test_a_crop_that_cuts_the_hero_is_found_by_how_much(ordered, shot, place, share, level):
    actions.mark_hero(ordered, shot.key, zone=(0.2, 0.3, 0.4, 0.5))
    left = 0.2 + 0.2 * share  # so much of the zone's width lies left of the crop
    formats.set_crop(ordered, place().key, crop=[left, 0.25, left + 0.5, 0.625])
    cuts = [finding for finding in readiness.ready(ordered.campaign) if finding.kind == "hero-cut"]
    assert [finding.level for finding in cuts] == ([level] if level else [])
    if level:
        assert f"48-sheet cuts off {round(100 * share)}\u202f% of the hero zone." in cuts[0].says


def test_languages_that_share_a_crop_are_one_finding(ordered, shot, place):
    actions.mark_hero(ordered, shot.key, zone=(0.1, 0.0, 0.9, 1.0))
    cuts = [finding for finding in readiness.ready(ordered.campaign) if finding.kind == "hero-cut"]
    assert [finding.what for finding in cuts] == ["48-sheet, shot 1", "96-sheet, shot 1", "6-sheet, shot 1"]


def test_failures_are_found_with_their_sentence(ordered, shot, place):
    actions.mark_hero(ordered, shot.key, zone=(0.45, 0.45, 0.5, 0.5))
    run_work()
    Work.objects.filter(pk=queries.seen_one(ordered.campaign, place().key).preview.work_id).update(
        state=Work.State.FAILED, says="This file ends early."
    )
    says = [sentence for level, sentence in found(ordered.campaign)]
    assert "The preview of shot 1, 48-sheet, en-GB failed: This file ends early." in says
    Work.objects.filter(kind="layouts.copies").update(state=Work.State.FAILED, says="This file ends early.")
    assert "The mockup of shot 1 could not be read: This file ends early." in [s for _, s in found(ordered.campaign)]


def test_a_placement_that_is_not_wanted_is_in_no_finding_and_not_in_the_brief(ordered, shot, place):
    actions.mark_hero(ordered, shot.key, zone=(0.1, 0.0, 0.9, 1.0))
    both = [place().key, place(language="cy").key]
    formats.set_wanted(ordered, placements=both, wanted=False)
    assert "48-sheet, shot 1" not in [finding.what for finding in readiness.ready(ordered.campaign)]
    assert not {crop["id"] for crop in section.assemble(ordered.campaign)["crops"]} & set(both)


def test_the_section_names_files_by_digest_and_crops_in_fractions(ordered, shot, place):
    actions.mark_hero(ordered, shot.key, zone=(0.4, 0.4, 0.6, 0.8))
    formats.set_crop(ordered, place().key, crop=[0.0, 0.0, 0.5, 0.375])
    document = section.assemble(ordered.campaign)
    (mockup,) = document["mockups"]
    file = shot.mockups.get().file
    assert (mockup["id"], mockup["sha256"], mockup["revision"]) == (shot.key, file.sha256, 1)
    assert mockup["hero"] == [0.4, 0.4, 0.6, 0.8]
    crops = {crop["id"]: crop for crop in document["crops"]}
    assert len(crops) == 6
    assert crops[place().key]["crop"] == [0.0, 0.0, 0.5, 0.375]
    assert crops[place().key]["set"] is True
    assert crops[place(format="96-sheet").key]["set"] is False
    assert canonical(document) == canonical(section.assemble(ordered.campaign))


def test_the_brief_and_readiness_ask_the_same_number_of_times_for_more_shots(ordered, shot):
    def asked() -> tuple[int, int]:
        counts = []
        for function in (section.assemble, readiness.ready):
            with CaptureQueriesContext(connection) as queries_asked:
                function(reading.begin(ordered.campaign))
            counts.append(len(queries_asked))
        return counts[0], counts[1]

    few = asked()
    for number in range(3, 8):
        more = ShotFactory(campaign=ordered.campaign, number=number)
        formats.fill_grid(ordered.campaign)
        actions.add_mockup(ordered, more.key, file=upload(seed=number))
    assert asked() == few
    assert max(few) <= 6


def test_the_section_can_be_read_as_it_was_put_forward(ordered, shot, place):
    actions.mark_hero(ordered, shot.key, zone=(0.4, 0.4, 0.6, 0.8))
    formats.set_crop(ordered, place().key, crop=[0.0, 0.0, 0.5, 0.375])
    document = json.loads(canonical(section.assemble(ordered.campaign)))
    text = render_to_string("layouts/pictures/section.html", {"data": document, "campaign": ordered.campaign})
    assert "The hero sits" in text
    assert "40.0 to 60.0\u202f%" in text
    assert "Five placements are the largest crop of the format&#x27;s shape, round the hero zone." in text
    assert "One placement has a crop set by hand." in text
    assert "Shot 1, 48-sheet, British English" in text
    assert shot.mockups.get().file.sha256 in text
