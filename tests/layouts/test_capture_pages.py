"""Protects the page of the capture plan: what it says and draws, that trying keeps nothing, that accepting keeps what
was seen, and who is offered what."""

import re
from urllib.parse import parse_qsl, urlsplit

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from layouts.capture import actions, asking
from layouts.imaging.framing.problem import TooLarge
from layouts.models import CapturePlan, Format, Placement
from portal.access import Role
from shots.models import Camera
from tests.factories import CampaignFactory, ShotFactory, member_of
from tests.layouts.capture_rows import example_1, needs

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


@pytest.fixture
def page(sign_in):
    """A function that opens the plan's page of a shot as someone, with what is tried."""

    def opened(member, shot, headers=None, **tries):
        return sign_in(member).get(address(shot), tries, headers=headers)

    return opened


def address(shot, name="capture"):
    return reverse(f"layouts:{name}", args=[shot.campaign.key, shot.key])


def text(answer):
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).replace("\u202f", " ").split())


def hidden(answer):
    """Names and values that the form which accepts sends."""
    form = re.search(r'<form[^>]*capture/accept/".*?</form>', answer.content.decode(), re.S).group()
    return re.findall(r'type="hidden" name="(?!csrf)(\w+)" value="([^"]*)"', form)


def send(client, shot, pairs):
    data = {}
    for name, value in pairs:
        data.setdefault(name, []).append(value)
    return client.post(address(shot, "accept-capture"), data)


def test_the_page_says_how_many_captures_serve_how_many(page):
    photographer, shot = example_1()
    said = text(page(photographer, shot))
    assert "One capture serves both placements; the tightest has 44.0 % to spare." in said
    # worked example 1: crops 4320 x 2160 at 1380, 1460 and 1800 x 3600 at 2100, 200
    assert "4320 × 2160 px at 1380, 1460" in said
    assert "1800 × 3600 px at 2100, 200" in said
    # 4320 px on 3000 mm: 4320 / (3000 / 25.4) = 36.576 ppi; an eye at 5 m: 17.464 (specification, section 1, 9)
    assert "36.6 ppi" in said
    assert "17.5 ppi" in said
    assert "one camera position" in said
    # 3:2 and 5 % a side: 4.36 degrees (specification, section 3)
    assert "straightened by 4.4°" in said


def test_the_frame_is_drawn_to_scale_with_each_crop_named(page):
    photographer, shot = example_1()
    drawn = page(photographer, shot).content.decode()
    assert 'viewBox="0 0 6000 4000"' in drawn
    # 1380, 1460, 4320, 2160 of 6000 x 4000; the hero 1080 x 1080 at 2460, 2000; the margin 5 %
    assert 'class="crop" x="23.000%" y="36.500%" width="72.000%" height="54.000%"' in drawn
    assert 'class="hero" x="41.000%" y="50.000%" width="18.000%" height="27.000%"' in drawn
    assert 'class="margin" x="5.000%" y="5.000%" width="90.000%" height="90.000%"' in drawn
    dashes = re.findall(r'class="crop" [^>]*stroke-dasharray="([^"]*)"', drawn)
    assert len(set(dashes)) == 2
    assert sorted(re.findall(r'crop-name"[^>]*>([^<]*)<', drawn)) == ["A", "B"]
    assert "style=" not in drawn


def test_the_mockup_lies_where_its_hero_meets_the_hero(page, monkeypatch):
    photographer, shot = example_1()
    monkeypatch.setattr("layouts.capture.drawing.copy_width", lambda _: 1200)
    drawn = page(photographer, shot).content.decode()
    # The mockup is the scene from -1.5, -13/6, 4 x 10/3 hero heights; the framing starts at -25/9, -127/54 (example 1)
    left, top = (-1.5 + 25 / 9) * 1080 / 6000, (-13 / 6 + 127 / 54) * 1080 / 4000
    found = re.search(r'<image href="([^"]*)" x="([\d.]+)%" y="([\d.]+)%" width="([\d.]+)%" height="([\d.]+)%"', drawn)
    assert f"/{shot.mockups.get().key}/1200/" in found[1]
    laid = [float(found[n]) / 100 for n in (2, 3, 4, 5)]
    assert laid == pytest.approx([left, top, 4 * 1080 / 6000, 10 / 3 * 1080 / 4000], abs=1e-5)


def test_trying_answers_at_once_and_keeps_nothing(page):
    photographer, shot = example_1()
    before = CapturePlan.objects.values().get()
    said = text(page(photographer, shot, set="1", margin="0", enlargement="1", hero=""))
    assert "As tried: One capture serves both placements; the tightest has 60.0 % to spare." in said
    assert CapturePlan.objects.values().get() == before


def test_htmx_gets_the_plan_alone(page):
    photographer, shot = example_1()
    part = page(photographer, shot, HTMX, set="1", margin="0").content.decode()
    assert part.lstrip().startswith('<div id="plan"')
    assert "<html" not in part
    assert "60.0" in part


def test_a_value_out_of_range_is_said_and_the_plan_stays(page):
    photographer, shot = example_1()
    answer = page(photographer, shot, set="1", margin="40", camera="large")
    assert answer.status_code == 422
    said = text(answer)
    assert "less than or equal to 25" in said
    assert "Write a capture's pixels as width × height" in said.replace("&#x27;", "'")
    assert "44.0 % to spare" in said


def test_every_change_links_to_what_it_says(page, sign_in):
    photographer, shot = example_1()
    body = page(photographer, shot).content.decode()
    rows = re.findall(r'<tr><th scope="row"><a href="([^"]*)">([^<]*)</a></th><td[^>]*>([^<]*)<', body)
    assert {what for _, what, _ in rows} >= {"Enlarged up to 1.5 times", "Without A", "Without B"}
    for url, what, captures in rows:
        parts = urlsplit(url.replace("&amp;", "&"))
        tried = sign_in(photographer).get(parts.path, parse_qsl(parts.query, keep_blank_values=True))
        assert tried.status_code == 200, what
        assert f"As tried: {captures.capitalize()} serve" in text(tried), what


def test_another_camera_is_tried_but_not_accepted(page, sign_in):
    photographer, shot = example_1()
    answer = page(photographer, shot, set="1", camera="8256 x 5504")
    assert "As tried" in text(answer)
    assert "capture/accept/" not in answer.content.decode()
    send(sign_in(photographer), shot, [("set", "1"), ("camera", "8256x5504"), ("seen", "x" * 64)])
    assert CapturePlan.objects.get().accepted is None


def test_what_is_tried_is_accepted_with_its_settings(page, client):
    photographer, shot = example_1()
    tried = page(photographer, shot, set="1", margin="2", enlargement="1.25", drop=Format.objects.get(name="B").key)
    answer = send(client, shot, hidden(tried))
    assert answer.status_code == 302
    row = CapturePlan.objects.get()
    assert (row.margin, row.enlargement) == (0.02, 1.25)
    assert row.dropped == [Placement.objects.get(format__name="B").key]
    assert [one["format"] for one in row.accepted["crops"]] == ["A"]
    said = text(client.get(address(shot)))
    assert f"Accepted by {photographer}" in said
    assert "as it stands here" in said
    assert "Accept this plan" not in said, "it is in the brief already"
    tried_on = text(client.get(address(shot), {"set": "1", "margin": "3", "enlargement": "1.25"}))
    assert "Accept this plan" in tried_on, "another one is not"


def test_a_stale_page_is_refused_with_the_plan_as_it_is_now(page, client):
    photographer, shot = example_1()
    seen = hidden(page(photographer, shot))
    needs(shot, "A", 3600, 1800)
    answer = send(client, shot, seen)
    assert answer.status_code == 422
    assert "has changed since the page was opened" in text(answer)
    assert CapturePlan.objects.get().accepted is None
    assert dict(hidden(answer))["seen"] != dict(seen)["seen"]
    assert send(client, shot, hidden(answer)).status_code == 302


def test_what_no_capture_serves_is_told_in_numbers(page):
    photographer, shot = example_1()
    CapturePlan.objects.update(sensor_mm=36.0, hero_mm=100.0, distance_mm=1000.0)
    needs(shot, "A", 14400, 7200)
    said = text(page(photographer, shot))
    assert "One capture serves one of two placements" in said
    # alone: 0.9 x 6000 / 14400 = 37.5 %, so a camera of 6000 / 0.375 = 16000 px, and artwork of 5400 x 2700 px
    assert "it gets 37.5 % of its pixels" in said
    assert "16000 × 10667 px" in said
    assert "5400 × 2700 px" in said
    # X = 14400 / 0.9 = 16000: 1 + ceil(10000 / 4200) = 4 across; Y = 8000: 1 + ceil(4000 / 2800) = 3 down
    assert "twelve landscape tiles, 4 across and 3 down, each overlapping the next by 30 %" in said
    assert "° across" in said
    assert "A ground plate" in said


def test_focal_length_and_distance_for_each_capture(page, client):
    photographer, shot = example_1()
    assert "the width of the sensor, the hero's real height" in text(page(photographer, shot)).replace("&#x27;", "'")
    sent = client.post(address(shot, "settle-capture"), {"sensor_mm": "36", "hero_mm": "90", "distance_mm": "1000"})
    assert sent.status_code == 302
    # framing 5.555556 x 90 = 500 mm on 36 mm: m = 0.072, f = 1000 x 0.072 / 1.072 = 67.16 mm
    assert "With 67 mm from 1.00 m the frame takes in 500 × 333 mm at the hero." in text(client.get(address(shot)))
    client.post(address(shot, "settle-capture"), {"sensor_mm": "36", "hero_mm": "90", "focal_mm": "80"})
    # u = 80 (1 + 1 / 0.072) = 1191 mm
    assert "With 80 mm from 1.19 m" in text(client.get(address(shot)))


def test_a_lens_number_out_of_range_is_refused_and_kept_in_the_form(page, client):
    photographer, shot = example_1()
    page(photographer, shot)
    answer = client.post(address(shot, "settle-capture"), {"sensor_mm": "0.1", "hero_mm": "90"})
    assert answer.status_code == 422
    assert 'value="0.1"' in answer.content.decode()
    assert CapturePlan.objects.get().hero_mm is None


def test_the_designer_agrees_to_a_smaller_hero(sign_in):
    photographer, shot = example_1()
    designer = member_of(photographer, Role.DESIGNER)
    client = sign_in(designer)
    b = Format.objects.get(name="B").key
    assert client.post(address(shot, "allow-capture"), {"down_to": "0.9", "formats": [b]}).status_code == 302
    said = text(client.get(address(shot)))
    assert f"{designer} agreed that the hero may be down to 90 % of its zone in B." in said
    refused = client.post(address(shot, "allow-capture"), {"down_to": "0.9"})
    assert refused.status_code == 422
    assert "Tick the formats" in text(refused)


@pytest.mark.parametrize(
    ("role", "accepts", "allows"),
    [
        (Role.PHOTOGRAPHER, True, False),
        (Role.OPERATOR, True, False),
        (Role.DESIGNER, False, True),
        (Role.CLIENT, False, False),
    ],
)
def test_each_is_offered_what_they_may(sign_in, role, accepts, allows):
    photographer, shot = example_1()
    member = photographer if role == Role.PHOTOGRAPHER else member_of(photographer, role)
    body = sign_in(member).get(address(shot)).content.decode()
    assert ("Accept this plan" in body) is accepts
    assert ("Agree to it" in body) is allows


def test_nothing_to_plan_says_what_is_missing(page):
    photographer, shot = example_1()
    Camera.objects.update(width_px=None)
    said = text(page(photographer, shot))
    assert "The camera does not say how many pixels a capture has." in said
    assert "Accept this plan" not in said
    assert "What would change it" not in said, "no lever gives a plan"
    assert "Assumed:" not in said
    assert "What would change it" in text(page(photographer, shot, set="1", camera="6000x4000"))


def test_what_a_plan_rests_on_stands_before_what_would_change_it(page):
    said = text(page(*example_1()))
    assert 0 < said.index("Assumed:") < said.index("What would change it")


def test_many_formats_get_their_changes_after_the_page(page, client, monkeypatch):
    photographer, shot = example_1()
    monkeypatch.setattr("layouts.capture.queries.AT_ONCE", 1)
    body = page(photographer, shot).content.decode()
    assert 'hx-trigger="load"' in body
    assert "Enlarged up to 1.5 times" not in body
    assert "Enlarged up to 1.5 times" in client.get(address(shot, "capture-changes")).content.decode()


def test_a_problem_too_large_is_a_plain_sentence(page, monkeypatch):
    photographer, shot = example_1()

    def refuses(_):
        raise TooLarge("161 of these 200 placements differ.")

    monkeypatch.setattr("layouts.capture.asking.planning.plan", refuses)
    answer = page(photographer, shot)
    assert answer.status_code == 200
    assert "161 of these 200 placements differ." in text(answer)


def test_the_page_of_all_shots_and_the_way_to_it(sign_in):
    photographer, shot = example_1()
    ShotFactory(campaign=shot.campaign, number=2, title="Tall stack")
    client = sign_in(photographer)
    said = text(client.get(reverse("layouts:captures", args=[shot.campaign.key])))
    assert "One capture serves both placements" in said
    assert "This shot has no placements that are wanted" in said
    paper = reverse("layouts:capture-file", args=[shot.campaign.key])
    address = reverse("layouts:captures", args=[shot.campaign.key])
    assert paper not in client.get(address).text
    actions.accept_capture(photographer, shot.key, seen=asking.asked(shot).digest)
    assert paper in client.get(address).text
    first = client.get(reverse("portal:campaign", args=[shot.campaign.key])).content.decode()
    assert reverse("layouts:captures", args=[shot.campaign.key]) in first


def test_a_campaign_without_shots_says_so(sign_in):
    photographer = member_of(CampaignFactory(), Role.PHOTOGRAPHER)
    assert "No shots yet" in text(
        sign_in(photographer).get(reverse("layouts:captures", args=[photographer.campaign.key]))
    )


def test_an_outsiders_shot_is_not_found(sign_in):
    _, shot = example_1()
    stranger = member_of(CampaignFactory(), Role.PHOTOGRAPHER)
    client = sign_in(stranger)
    assert client.get(address(shot)).status_code == 404
    other = reverse("layouts:capture", args=[stranger.campaign.key, shot.key])
    assert client.get(other).status_code == 404


def test_queries_are_few_and_do_not_grow(sign_in):
    asked = []
    for languages in (["en-GB"], ["en-GB", "cy", "fr", "de"]):
        photographer, shot = example_1(languages=languages)
        client = sign_in(photographer)
        client.get(address(shot))
        with CaptureQueriesContext(connection) as captured:
            client.get(address(shot))
        asked.append(len(captured))
    assert asked[0] == asked[1] <= 20
