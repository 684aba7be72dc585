"""Protects two people at one capture plan: whoever comes second is told what the first did, and nothing is lost."""

from html import unescape

import pytest
from django.urls import reverse

from layouts.capture import actions
from layouts.models import CapturePlan, Placement
from portal.access import Role
from portal.models import LogEntry
from tests.factories import member_of
from tests.filled import filled
from tests.layouts.capture_rows import example_1

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    """The photographer, the shot, and somebody of each of the other two sides that settle a plan."""
    photographer, shot = example_1()
    return photographer, shot, named(shot, Role.PRODUCER, "Ida Moss"), named(shot, Role.DESIGNER, "Oren Vale")


def named(shot, role, name):
    member = member_of(shot.campaign, role)
    member.user.name = name
    member.user.save()
    return member


def address(shot, name="capture"):
    return reverse(f"layouts:{name}", args=[shot.campaign.key, shot.key])


def says(page, what):
    return what in unescape(page.text)


def row(shot):
    return CapturePlan.objects.get(shot=shot)


def test_numbers_of_the_lens_that_two_keep_at_once(sign_in, scene):
    photographer, shot, ida, _ = scene
    client, at = sign_in(photographer), address(shot, "settle-capture")
    form = filled(client.get(address(shot)), "lens/")
    actions.settle_capture(ida, shot.key, sensor_mm=53.4)
    assert client.post(at, form | {"hero_mm": "260"}).status_code == 302  # different fields disturb nobody
    assert (row(shot).sensor_mm, row(shot).hero_mm) == (53.4, 260)
    form = filled(client.get(address(shot)), "lens/")
    actions.settle_capture(ida, shot.key, hero_mm=300)
    refused = client.post(at, form | {"hero_mm": "250"})
    assert refused.status_code == 422
    assert says(refused, "Ida Moss (Shoot producer) wrote this at")
    assert filled(refused, "lens/")["hero_mm"] == ["250"]
    assert row(shot).hero_mm == 300
    taken = client.post(at, filled(refused, "lens/") | {"keep-hero_mm": "theirs"})
    assert (taken.status_code, row(shot).hero_mm) == (302, 300)
    assert client.post(at, filled(refused, "lens/")).status_code == 302
    assert row(shot).hero_mm == 250


def test_a_distance_and_a_focal_length_are_one_thing(sign_in, scene):
    photographer, shot, ida, _ = scene
    client, at = sign_in(photographer), address(shot, "settle-capture")
    form = filled(client.get(address(shot)), "lens/")
    actions.settle_capture(ida, shot.key, distance_mm=1200)
    refused = client.post(at, form | {"focal_mm": "80"})
    assert refused.status_code == 422
    assert (row(shot).distance_mm, row(shot).focal_mm) == (1200, None)


def test_another_plan_that_was_accepted_meanwhile_is_told_first(sign_in, scene):
    photographer, shot, ida, _ = scene
    client = sign_in(photographer)
    # What is tried replaces a part of the page; the whole of it was read before Ida accepted hers.
    first = filled(client.get(address(shot)), "capture/")
    form = filled(client.get(address(shot)), "accept/")
    kept = actions.accept_capture(ida, shot.key, seen=form["seen"][0])
    tried = client.get(address(shot), first | {"margin": "4"}, headers={"HX-Request": "true"})
    asked = client.post(address(shot, "accept-capture"), filled(tried, "accept/"))
    assert asked.status_code == 422
    assert says(asked, "Somebody accepted another plan while you had this open.")
    assert says(asked, "Ida Moss")
    assert row(shot).digest == kept.digest
    again = filled(asked, "accept/")
    assert again["margin"] == ["4"]
    assert [client.post(address(shot, "accept-capture"), again).status_code for _ in range(2)] == [302, 302]
    assert row(shot).margin == 0.04
    assert LogEntry.objects.filter(act="capture.accepted").count() == 2


def test_the_same_plan_that_both_accept_is_no_quarrel(sign_in, scene):
    photographer, shot, ida, _ = scene
    client = sign_in(photographer)
    form = filled(client.get(address(shot)), "accept/")
    actions.accept_capture(ida, shot.key, seen=form["seen"][0])
    assert client.post(address(shot, "accept-capture"), form).status_code == 302
    assert row(shot).accepted_by == ida


def test_a_smaller_hero_that_two_agree_to_otherwise(sign_in, scene):
    _, shot, _, oren = scene
    mia = named(shot, Role.AGENCY, "Mia Thorne")
    client, at = sign_in(oren), address(shot, "allow-capture")
    one, other = Placement.objects.filter(shot=shot).order_by("pk")
    form = filled(client.get(address(shot)), "allow/")
    actions.agree_tolerance(mia, shot.key, placements=[one.key], down_to=0.8)
    mine = form | {"down_to": "0.9", "formats": [other.format.key]}
    assert client.post(at, mine).status_code == 302  # another format disturbs nobody
    asked = client.post(at, form | {"down_to": "0.95", "formats": [one.format.key]})
    assert asked.status_code == 422
    assert says(asked, "Mia Thorne")
    assert row(shot).tolerances[one.key]["down_to"] == 0.8
    again = filled(asked, "allow/")
    assert (again["down_to"], again["formats"]) == (["0.95"], [one.format.key])
    assert [client.post(at, again).status_code for _ in range(2)] == [302, 302]
    assert row(shot).tolerances[one.key]["down_to"] == 0.95
    assert LogEntry.objects.filter(act="capture.tolerance").count() == 3
