"""Protects the acts on capture plans: accepting only what was seen, once; settings in range; who may, when, and the
log."""

from types import SimpleNamespace

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from layouts.capture import actions, asking
from layouts.models import CapturePlan, Placement
from portal.access import May, Role, roles_that_may
from portal.brief.draft import BriefClosed
from portal.models import LogEntry
from shots.models import Camera, Shot
from tests.factories import ShotFactory, member_of
from tests.layouts.capture_rows import example_1, needs
from tests.test_queries import put_forward

pytestmark = pytest.mark.django_db


def acts():
    return list(LogEntry.objects.values_list("act", flat=True))


def test_accepting_keeps_the_plan_who_and_when_and_logs_it():
    photographer, shot = example_1()
    seen = asking.asked(shot).digest
    row = actions.accept_capture(photographer, shot.key, seen=seen, margin=0.05)
    kept = CapturePlan.objects.get(pk=row.pk)
    assert (kept.digest, kept.accepted_by, kept.margin) == (seen, photographer, 0.05)
    assert kept.accepted_at is not None
    assert [one["spare"] for one in kept.accepted["captures"]] == [1.44]
    a, b = kept.accepted["crops"]
    assert (a["format"], a["x"], a["y"], a["width"], a["height"]) == ("A", 1380, 1460, 4320, 2160)
    assert (b["format"], b["x"], b["y"], b["width"], b["height"]) == ("B", 2100, 200, 1800, 3600)
    entry = LogEntry.objects.last()
    assert (entry.act, entry.subject) == ("capture.accepted", f"shot/{shot.key}")
    assert (entry.payload["captures"], entry.payload["served"], entry.payload["not_served"]) == (1, 2, [])


def test_a_second_click_changes_nothing_and_writes_no_second_entry():
    photographer, shot = example_1()
    seen = asking.asked(shot).digest
    first = actions.accept_capture(photographer, shot.key, seen=seen)
    again = actions.accept_capture(photographer, shot.key, seen=seen)
    assert again.accepted_at == first.accepted_at
    assert acts().count("capture.accepted") == 1


def test_a_stale_page_is_refused_and_keeps_nothing():
    photographer, shot = example_1()
    seen = asking.asked(shot).digest
    needs(shot, "A", 3200, 1600)
    with pytest.raises(ValidationError, match="has changed since the page was opened"):
        actions.accept_capture(photographer, shot.key, seen=seen)
    assert CapturePlan.objects.get().accepted is None
    assert "capture.accepted" not in acts()


def test_what_is_accepted_is_the_plan_of_the_settings_sent_along():
    photographer, shot = example_1()
    only_a = (Placement.objects.get(format__name="B").key,)
    seen = asking.asked(shot, margin=0.0, dropped=only_a).digest
    row = actions.accept_capture(photographer, shot.key, seen=seen, margin=0.0, dropped=list(only_a))
    assert [one["format"] for one in row.accepted["crops"]] == ["A"]
    assert row.accepted["plan"]["left_out"] == ["B is left out of the plan by choice."]
    assert row.accepted["captures"][0]["spare"] == 2.0  # alone: 6000 px for 3000 (worked by hand)
    assert (row.margin, row.dropped) == (0.0, list(only_a))


def test_without_a_plan_there_is_nothing_to_accept():
    photographer, shot = example_1()
    seen = asking.asked(shot).digest
    Camera.objects.update(width_px=None)
    with pytest.raises(ValidationError, match="how many pixels"):
        actions.accept_capture(photographer, shot.key, seen=seen)


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"margin": 0.3}, "margin"),
        ({"enlargement": 0.5}, "enlargement"),
        ({"hero_aspect": 0.0}, "hero_aspect"),
        ({"sensor_mm": -1.0}, "sensor_mm"),
    ],
)
def test_settings_out_of_range_are_refused_by_name(fields, field):
    photographer, shot = example_1()
    with pytest.raises(ValidationError) as refused:
        actions.settle_capture(photographer, shot.key, **fields)
    assert field in refused.value.message_dict
    assert CapturePlan.objects.get().margin == 0.05


def test_settling_makes_the_row_logs_what_changed_and_nothing_where_nothing_did():
    photographer, _ = example_1()
    other = ShotFactory(campaign=photographer.campaign, number=2)
    actions.settle_capture(photographer, other.key, sensor_mm=53.4, hero_mm=110.0)
    actions.settle_capture(photographer, other.key, sensor_mm=53.4)
    assert CapturePlan.objects.get(shot=other).sensor_mm == 53.4
    assert acts().count("capture.settled") == 1
    assert LogEntry.objects.last().payload == {
        "was": {"sensor_mm": None, "hero_mm": None},
        "now": {"sensor_mm": 53.4, "hero_mm": 110.0},
    }


def test_the_designer_allows_a_smaller_hero_by_name_and_takes_it_back():
    photographer, shot = example_1()
    designer = member_of(photographer, Role.DESIGNER)
    key = Placement.objects.get(format__name="B").key
    actions.agree_tolerance(designer, shot.key, placements=[key], down_to=0.9)
    agreed = CapturePlan.objects.get().tolerances[key]
    assert (agreed["down_to"], agreed["by"], agreed["name"]) == (0.9, designer.key, str(designer))
    actions.agree_tolerance(designer, shot.key, placements=[key], down_to=0.9)
    actions.agree_tolerance(designer, shot.key, placements=[key], down_to=1)
    assert CapturePlan.objects.get().tolerances == {}
    assert acts().count("capture.tolerance") == 2


def test_a_tolerance_out_of_range_or_of_another_shot_is_refused():
    photographer, shot = example_1()
    designer = member_of(photographer, Role.DESIGNER)
    key = Placement.objects.get(format__name="B").key
    with pytest.raises(ValidationError, match="down to 50"):
        actions.agree_tolerance(designer, shot.key, placements=[key], down_to=0.4)
    other = ShotFactory(campaign=photographer.campaign, number=2)
    with pytest.raises(Placement.DoesNotExist):
        actions.agree_tolerance(designer, other.key, placements=[key], down_to=0.9)


@pytest.mark.parametrize("role", list(Role))
def test_who_may(role):
    photographer, shot = example_1()
    member = member_of(photographer, role)
    seen = asking.asked(shot).digest
    key = Placement.objects.get(format__name="B").key
    for act, do in (
        (May.EDIT_CAMERA, lambda: actions.settle_capture(member, shot.key, hero_mm=90.0)),
        (May.EDIT_CAMERA, lambda: actions.accept_capture(member, shot.key, seen=seen)),
        (May.UPLOAD_LAYOUTS, lambda: actions.agree_tolerance(member, shot.key, placements=[key], down_to=0.9)),
    ):
        if role in roles_that_may(act):
            do()
        else:
            with pytest.raises(PermissionDenied):
                do()


def test_another_campaigns_shot_is_none():
    photographer, _ = example_1()
    other = ShotFactory()
    with pytest.raises(Shot.DoesNotExist):
        actions.settle_capture(photographer, other.key, hero_mm=90.0)


def test_nothing_is_accepted_while_a_version_is_out():
    photographer, shot = example_1()
    seen = asking.asked(shot).digest
    _out(shot.campaign, photographer)
    with pytest.raises(BriefClosed):
        actions.accept_capture(photographer, shot.key, seen=seen)


def _out(campaign, by):
    """A version out for signature, whatever readiness says."""
    people = {Role.AGENCY: campaign.members.get(role=Role.AGENCY), Role.PHOTOGRAPHER: by}
    people[Role.CLIENT] = member_of(campaign, Role.CLIENT, may_sign=True)
    put_forward(SimpleNamespace(campaign=campaign, members=people))
