"""Protects the capture plan as a paper: drawn to scale from what was accepted, with its stamp, for who may read it."""

import re
from io import BytesIO

import pypdf
import pytest

from layouts.capture import actions, asking, papers
from layouts.models import CapturePlan
from portal.access import Role
from portal.brief import documents
from tests.factories import ShotFactory, member_of
from tests.layouts.capture_rows import example_1, needs

pytestmark = pytest.mark.django_db


def sheet_of(shot):
    return papers.sheet(shot.campaign, documents.draft_of(shot.campaign), shot.key)


def test_the_paper_has_the_worked_examples_figures(accepted):
    _, shot = accepted
    (part,) = sheet_of(shot).parts
    assert [row[1:4] for row in part.rows] == [
        ("4320 × 2160", "1380, 1460", "3000 × 1500"),
        ("1800 × 3600", "2100, 200", "1200 × 2400"),
    ]
    # 3000 mm at 1 : 1, so 4320 px is 36.6 ppi; one minute of arc from 5 m is 17.5 ppi.
    assert part.rows[0][4:8] == ("36.6", "17.5", "36.6", "25.4")
    assert part.rows[0][8] == "Enough, 44.0\u202f% to spare; 2.1 times what an eye sees from where it is seen."
    assert part.note.startswith("One capture serves two of two placements")
    assert "the hero is 1080 × 1080 px, 2460 from the left and 2000 from the top" in part.note


def test_the_drawing_is_to_scale_and_tells_crops_apart_without_colour(accepted):
    _, shot = accepted
    (part,) = sheet_of(shot).parts
    svg = part.figure.svg
    shapes = set(re.findall(r'<rect x="([\d.]+)%" y="([\d.]+)%" width="([\d.]+)%" height="([\d.]+)%"', svg))
    a, b = (1380, 1460, 4320, 2160), (2100, 200, 1800, 3600)
    sides = (6000, 4000, 6000, 4000)
    exact = [tuple(f"{100 * value / side:.3f}" for value, side in zip(one, sides, strict=True)) for one in (a, b)]
    assert shapes == set(exact)
    dashes = re.findall(r'stroke-width="2"( stroke-dasharray="[^"]+")?/>', svg)
    assert len(set(dashes[-2:])) == 2
    across, down = (float(side) for side in re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg).groups())
    assert across / down == pytest.approx(6000 / 4000, rel=1e-3)
    assert "1 A, 2 B" in part.figure.alt


def test_a_name_is_no_markup(accepted):
    _, shot = accepted
    row = CapturePlan.objects.get()
    row.accepted["crops"][0]["label"] = "A </text><script>"
    row.save()
    assert "<script>" not in sheet_of(shot).parts[0].figure.svg


def test_what_is_not_served_says_what_would_serve_it():
    photographer, shot = example_1()
    needs(shot, "A", 14400, 7200)
    actions.accept_capture(photographer, shot.key, seen=asking.asked(shot).digest)
    missing = sheet_of(shot).parts[-1]
    assert missing.title.endswith("served by no single capture")
    assert missing.rows[0][0] == "A"
    # Alone 0.9 x 6000 / 14400 = 37.5 %.
    assert "Alone it gets 37.5 % of its pixels." in missing.rows[0][1]
    assert "A smaller artwork: 5400 × 2700 px." in missing.rows[0][1]
    assert "A larger camera: 16000 × 10667 px." in missing.rows[0][1]


def test_focal_length_and_distance_stand_with_each_capture(accepted):
    _, shot = accepted
    assert "Focal length and distance are not given" in sheet_of(shot).parts[0].note
    CapturePlan.objects.update(sensor_mm=36, hero_mm=90, distance_mm=1500)
    # 1080 of 6000 px are 6.48 of 36 mm: magnification 0.072, f = 1500 x 0.072 / 1.072.
    assert "With 101 mm from 1.50 m the frame takes in 500 × 333 mm" in sheet_of(shot).parts[0].note


def test_it_comes_as_a_tagged_pdf_that_says_draft(accepted, sign_in):
    photographer, shot = accepted
    answer = sign_in(photographer).get(f"/c/{shot.campaign.key}/capture-plan.pdf?shot={shot.key}")
    assert answer["Content-Type"] == "application/pdf"
    assert "capture plan shot 1 draft.pdf" in answer["Content-Disposition"]
    read = pypdf.PdfReader(BytesIO(answer.content))
    text = "".join(one.extract_text() for one in read.pages)
    assert "DRAFT, not agreed" in text
    assert "4320 × 2160" in text
    assert read.trailer["/Root"]["/MarkInfo"]["/Marked"]
    assert b"pdfuaid" in read.trailer["/Root"]["/Metadata"].get_data()


def test_who_may_read_versions_only_gets_no_draft_of_it(accepted, sign_in):
    _, shot = accepted
    page = sign_in(member_of(shot.campaign, Role.ASSISTANT)).get(f"/c/{shot.campaign.key}/capture-plan.pdf")
    assert page.status_code == 403


def test_a_shot_without_an_accepted_plan_has_no_paper(accepted, sign_in):
    photographer, shot = accepted
    other = ShotFactory(campaign=shot.campaign, number=2)
    assert sign_in(photographer).get(f"/c/{shot.campaign.key}/capture-plan.pdf?shot={other.key}").status_code == 404


def test_the_plans_page_leads_to_it_once_it_is_accepted(sign_in):
    photographer, shot = example_1()
    browser, address = sign_in(photographer), f"/c/{shot.campaign.key}/shots/{shot.key}/capture/"
    assert "capture-plan.pdf" not in browser.get(address).text
    actions.accept_capture(photographer, shot.key, seen=asking.asked(shot).digest)
    assert f"capture-plan.pdf?shot={shot.key}" in browser.get(address).text


def test_languages_of_one_crop_are_one_row_and_of_another_size_two(accepted):
    _, shot = accepted
    row = CapturePlan.objects.get()
    first = row.accepted["crops"][0]
    row.accepted["crops"].append({**first, "id": "welsh", "language": "cy", "label": "A, Welsh"})
    row.save()
    (part,) = sheet_of(shot).parts
    assert [line[0] for line in part.rows] == ["1  A, British English and Welsh", "2  B"]
    assert "1 A, British English and Welsh, 2 B" in part.figure.alt
    row.accepted["crops"][-1]["asks"] = {**first["asks"], "need": [10, 5]}
    row.save()
    assert [line[0] for line in sheet_of(shot).parts[0].rows] == ["1  A", "2  B", "3  A, Welsh"]
