"""Protects the section "capture" of the brief and what readiness finds: silence while the accepted plan holds, a
must-fix that says which placement and by how much where it no longer does."""

import pytest
from django.template.loader import render_to_string

from layouts.capture import actions, asking, section
from layouts.capture.readiness import ready
from layouts.models import CapturePlan, Mockup, Placement
from portal.access import Role
from portal.brief import reading, sections, telling
from portal.record.canonical import canonical
from shots.models import Camera
from tests.factories import member_of
from tests.layouts.capture_rows import CROPS, example_1, needs

pytestmark = pytest.mark.django_db


def found(shot):
    return [(one.level, one.kind) for one in ready(shot.campaign)]


def says(shot):
    return " ".join(one.says for one in ready(shot.campaign))


def test_a_plan_that_could_be_accepted_is_worth_a_look():
    _, shot = example_1()
    assert found(shot) == [("worth-a-look", "capture-open")]
    assert "/capture/" in ready(shot.campaign)[0].url


def test_a_shot_whose_camera_is_unknown_is_left_to_the_cameras_own_finding():
    _, shot = example_1()
    Camera.objects.update(width_px=None)
    assert found(shot) == []


def test_an_accepted_plan_that_holds_is_silent(accepted):
    _, shot = accepted
    assert found(shot) == []


def test_a_greater_order_must_be_fixed_and_says_by_how_much(accepted):
    _, shot = accepted
    needs(shot, "A", 6000, 3000)  # the accepted crop is 4320 px across: 72 %
    assert found(shot) == [("must-fix", "capture-unserved")]
    assert "serves A: capture 1 gives it 72.0\u202f% of its 6000\u202f×\u202f3000\u202fpx" in says(shot)


def test_an_order_that_the_accepted_capture_still_serves_is_no_fault(accepted):
    _, shot = accepted
    needs(shot, "A", 4000, 2000)  # less than the 4320 px across that the crop has
    assert found(shot) == []


def test_a_crop_that_leaves_the_frame_must_be_fixed_and_says_how_far(accepted):
    _, shot = accepted
    # A's window as wide as it was, but the hero further right in it: it reaches left of the accepted frame.
    # Its left edge moves from -1.5 to -3.5 hero heights, 0.722222 past the frame's at -2.777778: 780 px of 1080 each.
    Mockup.objects.update(hero=[0.75, 0.5, 1.0, 0.8])
    Placement.objects.filter(format__name="B").update(crop=[2 / 3, 0, 13 / 12, 1])
    assert ("must-fix", "capture-unserved") in found(shot)
    assert "780\u202fpx past the frame of capture 1" in says(shot)


def test_another_camera_is_said_once(accepted):
    _, shot = accepted
    Camera.objects.update(width_px=8000, height_px=6000)
    assert found(shot) == [("must-fix", "capture-camera")]
    assert "6000\u202f×\u202f4000\u202fpx" in says(shot)
    assert "8000\u202f×\u202f6000\u202fpx" in says(shot)


def test_a_camera_turned_is_the_same_camera(accepted):
    _, shot = accepted
    Camera.objects.update(width_px=4000, height_px=6000)
    assert found(shot) == []


def test_what_no_capture_serves_stays_worth_a_look_and_becomes_no_must_fix():
    photographer, shot = example_1()
    needs(shot, "A", 14400, 7200)  # alone 0.9 x 6000 / 14400 = 37.5 %, 4 x 2 tiles... of 0.9 x 6000 and 0.9 x 4000
    actions.accept_capture(photographer, shot.key, seen=asking.asked(shot).digest)
    assert found(shot) == [("worth-a-look", "capture-stitched")]
    assert "37.5\u202f%" in says(shot)


def test_a_placement_that_came_after_it_is_checked():
    photographer, shot = example_1()
    b = Placement.objects.get(format__name="B")
    Placement.objects.filter(pk=b.pk).update(wanted=False)
    actions.accept_capture(photographer, shot.key, seen=asking.asked(shot).digest)
    assert found(shot) == []
    Placement.objects.filter(pk=b.pk).update(wanted=True)
    # A alone is framed 2.2 hero heights high with its margin; B is 3.3 high
    assert found(shot) == [("must-fix", "capture-unserved")]
    Placement.objects.filter(pk=b.pk).update(wanted=False)
    assert found(shot) == []


def test_a_placement_that_went_and_changed_settings_are_worth_a_look(accepted):
    photographer, shot = accepted
    Placement.objects.filter(format__name="B").update(wanted=False)
    assert found(shot) == [("worth-a-look", "capture-stale")]
    assert "still holds B" in says(shot)
    Placement.objects.update(wanted=True)
    actions.settle_capture(photographer, shot.key, margin=0.02)
    assert "the margin was set anew" in says(shot)


def test_languages_of_one_format_are_one_finding():
    photographer, shot = example_1(languages=("en-GB", "cy"))
    actions.accept_capture(photographer, shot.key, seen=asking.asked(shot).digest)
    needs(shot, "A", 6000, 3000)
    assert found(shot) == [("must-fix", "capture-unserved")]
    assert "A, British English and A, Welsh" in says(shot)


def test_an_agreed_tolerance_keeps_what_was_accepted_with_it():
    photographer, shot = example_1()
    designer = member_of(photographer, Role.DESIGNER)
    keys = list(Placement.objects.values_list("key", flat=True))
    actions.agree_tolerance(designer, shot.key, placements=keys, down_to=0.8)
    actions.accept_capture(photographer, shot.key, seen=asking.asked(shot).digest)
    assert found(shot) == []


def test_readiness_adds_one_query(accepted, django_assert_num_queries):
    _, shot = accepted
    campaign = reading.begin(shot.campaign)
    for one in sections.sections():
        if one.name in ("pictures", "shots", "camera"):
            one.ready(campaign)
    with django_assert_num_queries(1):
        ready(campaign)


def test_the_document_holds_plan_captures_crops_and_what_was_agreed(accepted):
    photographer, shot = accepted
    designer = member_of(photographer, Role.DESIGNER)
    b = Placement.objects.get(format__name="B")
    actions.agree_tolerance(designer, shot.key, placements=[b.key], down_to=0.9)
    data = section.assemble(shot.campaign)
    [plan] = data["plans"]
    assert (plan["id"], plan["camera"], plan["margin"], plan["hero_aspect"]) == (shot.key, [6000, 4000], 0.05, 1.0)
    assert plan["accepted_by"] == str(photographer)
    assert [(one["label"], one["down_to"], one["name"]) for one in plan["tolerances"]] == [("B", 0.9, str(designer))]
    assert [one["framing"] for one in data["captures"]] == [
        pytest.approx([-2.777778, -2.351852, 5.555556, 3.703704], abs=1e-6)
    ]
    assert data["captures"][0]["hero"] == pytest.approx([2460, 2000, 1080, 1080])
    assert [(one["id"], one["capture"]) for one in data["crops"]][1] == (b.key, 1)
    canonical(data)  # it has a canonical form


def test_without_an_accepted_plan_the_document_holds_none():
    _, shot = example_1()
    assert section.assemble(shot.campaign) == {"plans": [], "captures": [], "crops": [], "not_served": []}


def test_differences_are_told_in_words(accepted):
    photographer, shot = accepted
    campaign = shot.campaign
    old = sections.assemble(campaign)
    needs(shot, "A", 4500, 2250)
    Placement.objects.filter(format__name="B").update(crop=CROPS["B"])
    actions.accept_capture(photographer, shot.key, seen=asking.asked(shot, margin=0.01).digest, margin=0.01)
    new = sections.assemble(type(campaign).objects.get(pk=campaign.pk))
    told = [
        line.says for line in telling.tell(old, new, {one.name: one.words for one in sections.sections()})["capture"]
    ]
    # by hand: the usable share goes from 0.9 to 0.98, so B is 1800 x 0.98 / 0.9 = 1960 px across
    assert any("crop: 1960 × 3920 px in capture 1" in one and "was 1800 × 3600 px" in one for one in told), told
    assert any("margin: 1 %, was 5 %" in one for one in told), told
    assert not any("asks" in one or "accepted by" in one for one in told), told


def test_the_section_reads_in_the_brief_without_other_data(accepted):
    _, shot = accepted
    page = render_to_string(section.TEMPLATE, {"data": section.assemble(shot.campaign)})
    assert "One capture serves two of two placements; the tightest: 44.0" in page
    assert "4320" in page
    assert "Camera 6000 × 4000" in page


def test_a_plan_of_a_shot_that_is_taken_out_goes_with_it(accepted):
    _, shot = accepted
    shot.delete()
    assert not CapturePlan.objects.exists()
