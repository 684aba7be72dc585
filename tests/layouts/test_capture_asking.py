"""Protects what a shot's captures are asked: drawn from rows, a worked example gives its very numbers; what cannot be
planned is named with a reason, and nothing is left out unseen."""

import pytest

from layouts.capture import asking
from layouts.formats import actions as formats
from layouts.imaging.framing.problem import TooLarge
from layouts.models import CapturePlan, Mockup, Placement
from portal.access import Role
from shots.models import Camera, Shot
from tests.factories import member_of
from tests.layouts.capture_rows import NEEDS, example_1, needs

pytestmark = pytest.mark.django_db


def names(found, captures):
    return [[found.placements[crop.placement.id].label for crop in one.crops] for one in captures]


def test_worked_example_1_from_rows():
    # shared specification of the capture plan, section 6, example 1: also worked by hand there
    _, shot = example_1()
    found = asking.asked(shot)
    assert (found.why, found.left_out) == ("", [])
    assert found.hero_aspect == pytest.approx(1.0)
    plan = asking.planned(shot)
    assert plan.spares == pytest.approx([1.44])
    assert not plan.not_served
    [capture] = plan.captures
    assert (capture.framing.width, capture.framing.height) == (6000, 4000)
    assert capture.framing.density == pytest.approx(1080)
    assert capture.framing.box.left == pytest.approx(-2.777778, abs=1e-6)
    assert capture.framing.box.top == pytest.approx(-2.351852, abs=1e-6)
    a, b = capture.crops
    assert (a.x, a.y, a.width, a.height) == pytest.approx((1380, 1460, 4320, 2160))
    assert (b.x, b.y, b.width, b.height) == pytest.approx((2100, 200, 1800, 3600))
    assert (a.spare, b.spare) == pytest.approx((1.44, 1.5))


def test_languages_are_copies_and_each_is_named():
    _, shot = example_1(languages=("en-GB", "cy"))
    found = asking.asked(shot)
    assert [row.label for row in found.placements.values()] == [
        "A, British English",
        "A, Welsh",
        "B, British English",
        "B, Welsh",
    ]
    plan = asking.planned(shot)
    assert [len(one.crops) for one in plan.captures] == [4]
    assert plan.spares == pytest.approx([1.44])


def test_a_lever_changes_one_thing_and_keeps_nothing():
    _, shot = example_1()
    before = CapturePlan.objects.values().get()
    assert asking.planned(shot, margin=0.0).spares == pytest.approx([1.44 / 0.9])
    smaller = asking.planned(shot, camera=(3000.0, 2000.0))  # within the margin 2700 x 1800: A needs 3000 px across
    assert smaller.spares == pytest.approx([2700 / 2400])
    assert [one.spare_alone for one in smaller.not_served] == pytest.approx([0.9])
    assert CapturePlan.objects.values().get() == before


def test_a_dropped_placement_is_named_and_may_come_back():
    _, shot = example_1()
    key = Placement.objects.get(format__name="B").key
    found = asking.asked(shot, dropped=(key,))
    assert [row.label for row in found.placements.values()] == ["A"]
    assert [says for _, says in found.left_out] == ["B is left out of the plan by choice."]
    assert [row.label for row in found.off] == ["B"]


def test_a_placement_that_is_switched_off_is_not_planned_but_might_come():
    _, shot = example_1()
    agency = member_of(shot.campaign, Role.AGENCY)
    formats.set_wanted(agency, placements=[Placement.objects.get(format__name="B").key], wanted=False)
    found = asking.asked(shot)
    assert [row.label for row in found.placements.values()] == ["A"]
    assert not found.left_out
    assert [row.label for row in found.off] == ["B"]


def test_a_crop_without_the_hero_is_left_out_and_one_that_cuts_it_is_cautioned():
    _, shot = example_1()
    Placement.objects.filter(format__name="A").update(crop=[0.6, 0.0, 1.0, 0.24])  # right of the hero
    found = asking.asked(shot)
    assert [says for _, says in found.left_out] == [
        "The crop of A shows nothing of the hero, so it cannot be planned. Set its crop on its stage."
    ]
    Placement.objects.filter(format__name="A").update(crop=[0.35, 0.35, 0.95, 0.71])  # cuts 40 % of 0.25 to 0.5
    found = asking.asked(shot)
    assert not found.left_out
    # 0.1 of 0.25 across and 0.09 of 0.3 down are cut: 1 - 0.6 x 0.7 of its area
    assert [says for says in found.cautions if "cuts off 58" in says]


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda: Camera.objects.update(width_px=None), "how many pixels"),
        (lambda: Mockup.objects.update(hero=None), "No hero zone"),
        (lambda: Mockup.objects.all().delete(), "no mockup yet"),
        (lambda: Placement.objects.update(wanted=False), "no placements"),
        (lambda: Camera.objects.update(width_px=10), "camera's width must be"),
    ],
)
def test_what_is_missing_is_said(spoil, says):
    _, shot = example_1()
    spoil()
    found = asking.asked(Shot.objects.get(pk=shot.pk))
    assert (found.problem, found.digest) == (None, "")
    assert says in found.why
    assert asking.planned(shot) is None


def test_the_digest_is_of_what_the_plan_depends_on():
    _, shot = example_1()
    first = asking.asked(shot).digest
    assert len(first) == 64
    Camera.objects.update(width_px=4000, height_px=6000)  # the camera turned is the same camera
    assert asking.asked(shot).digest == first
    needs(shot, "A", 3002, 1501)
    assert asking.asked(shot).digest != first


def test_the_plan_is_kept_and_made_anew_when_an_input_changes(monkeypatch):
    _, shot = example_1()
    first = asking.planned(shot)
    monkeypatch.setattr(asking.planning, "plan", lambda _: pytest.fail("computed again"))
    assert asking.planned(shot) == first
    needs(shot, "A", *(2 * side for side in NEEDS["A"]))
    with pytest.raises(pytest.fail.Exception):
        asking.planned(shot)


def test_too_large_is_kept_as_well(monkeypatch):
    _, shot = example_1()
    calls = []

    def refuses(_):
        calls.append(1)
        raise TooLarge("161 of these placements differ.")

    monkeypatch.setattr(asking.planning, "plan", refuses)
    for _ in range(2):
        with pytest.raises(TooLarge, match="161"):
            asking.planned(shot)
    assert len(calls) == 1


def test_an_agreed_tolerance_reaches_the_problem():
    _, shot = example_1()
    key = Placement.objects.get(format__name="B").key
    agreed = {"down_to": 0.9, "by": "somebody", "name": "Somebody", "at": "2027-01-01T00:00:00+00:00"}
    CapturePlan.objects.update(tolerances={key: agreed})
    asks = {row.label: row.asks.hero_down_to for row in asking.asked(shot).placements.values()}
    assert asks == {"A": None, "B": 0.9}


def test_queries_do_not_grow_with_placements(django_assert_max_num_queries):
    _, shot = example_1(languages=("en-GB", "cy", "fr", "de", "it"))
    with django_assert_max_num_queries(6):
        asking.asked(shot)
