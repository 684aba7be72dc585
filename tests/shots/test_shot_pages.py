"""Protects the pages of shots: who gets in, what they offer to whom, forms that lose nothing, and constant queries."""

import pytest
from django.urls import reverse

from portal.access import Role
from portal.models import Campaign
from shots.models import Light, Shot
from tests.factories import MemberFactory, ShotFactory, member_of

HX = {"HX-Request": "true"}


def shut(campaign, member):
    """Put a version out, so that the brief is closed to editing."""
    from portal.models import Version

    version = Version.objects.create(
        campaign=campaign, number=1, document="{}", sections={}, digest="0" * 64, put_forward_by=member,
        put_forward_at="2027-01-01T00:00Z",
    )  # fmt: skip
    Campaign.objects.filter(pk=campaign.pk).update(open_version=version)


def test_shots_page_tells_each_shot_and_where_it_stands(sign_in, producer, campaign):
    ShotFactory(campaign=campaign, number=1, title="The tall stack")
    ShotFactory(title="Another campaign's")
    page = sign_in(producer).get(reverse("shots:shots", args=[campaign.key])).text
    assert "One shot, and it still misses something." in page
    assert "To be fixed: no story, no composition, no hero food and no key light." in page
    assert "Another campaign" not in page


def test_shots_page_without_shots_says_what_belongs_there(sign_in, producer, campaign):
    page = sign_in(producer).get(reverse("shots:shots", args=[campaign.key])).text
    assert "No pictures are ordered yet." in page
    assert "Add the first shot" in page


@pytest.mark.parametrize("role", [Role.CLIENT, Role.DESIGNER, Role.STYLIST])
def test_shots_page_offers_no_change_to_those_who_may_not(sign_in, campaign, shot, role):
    page = sign_in(member_of(campaign, role)).get(reverse("shots:shots", args=[campaign.key])).text
    assert shot.title in page
    assert "Remove" not in page
    assert "Add a shot" not in page


def test_a_closed_brief_says_why_and_offers_no_change(sign_in, producer, campaign, shot, food):
    shut(campaign, producer)
    client = sign_in(producer)
    for name, args in (("shots:shots", []), ("shots:shot", [shot.key])):
        page = client.get(reverse(name, args=[campaign.key, *args])).text
        assert "Version 1 is out for signature" in page
        assert ">Change<" not in page
        assert ">Edit<" not in page
        assert "Remove" not in page


@pytest.mark.parametrize("name", ["shots:edit", "shots:light", "shots:camera", "shots:add-food", "shots:add-prop"])
@pytest.mark.parametrize("method", ["get", "post"])
def test_forms_of_a_closed_brief_answer_409_with_the_reason(sign_in, producer, campaign, shot, name, method):
    shut(campaign, producer)
    answer = getattr(sign_in(producer), method)(reverse(name, args=[campaign.key, shot.key]), {"name": "x"})
    assert answer.status_code == 409
    assert "Version 1 is out for signature" in answer.text


def pages_of(campaign, shot, food, prop):
    """Every address of the room, with what it asks for: roles that get in."""
    drafters = set(Role) - {Role.ASSISTANT}
    editors = {Role.AGENCY, Role.PRODUCER, Role.PHOTOGRAPHER}
    cooks = {Role.PRODUCER, Role.PHOTOGRAPHER, Role.STYLIST}
    return {
        ("get", "shots", ()): drafters,
        ("get", "shot", (shot.key,)): drafters,
        ("get", "add", ()): editors,
        ("get", "edit", (shot.key,)): editors,
        ("get", "remove", (shot.key,)): editors,
        ("post", "move", (shot.key,)): editors,
        ("get", "light", (shot.key,)): {Role.PRODUCER, Role.PHOTOGRAPHER, Role.LIGHTING},
        ("get", "camera", (shot.key,)): {Role.PRODUCER, Role.PHOTOGRAPHER, Role.OPERATOR},
        ("get", "add-food", (shot.key,)): cooks,
        ("get", "food", (food.key,)): cooks,
        ("get", "remove-food", (food.key,)): cooks,
        ("post", "ask-recipe", (food.key,)): cooks,
        ("post", "confirm-recipe", (food.key,)): {Role.CLIENT},
        ("get", "add-prop", (shot.key,)): cooks | {Role.PROPS},
        ("get", "prop", (prop.key,)): cooks | {Role.PROPS},
        ("get", "remove-prop", (prop.key,)): cooks | {Role.PROPS},
        ("get", "lists", ()): set(Role),
        ("get", "list-file", ("props", "csv")): drafters,
    }


@pytest.mark.parametrize("role", Role)
def test_every_address_lets_in_whom_it_should(sign_in, campaign, shot, food, prop, role):
    client = sign_in(member_of(campaign, role, may_sign=True))
    for (method, name, args), roles in pages_of(campaign, shot, food, prop).items():
        answer = getattr(client, method)(reverse(f"shots:{name}", args=[campaign.key, *args]))
        refused = answer.status_code == 403
        assert refused == (role not in roles), f"{role} {method} {name}: {answer.status_code}"
        assert answer.status_code in (200, 303, 403)


def test_every_address_is_404_to_an_outsider_and_asks_the_signed_out_to_sign_in(client, campaign, shot, food, prop):
    outsider = MemberFactory()
    for method, name, args in pages_of(campaign, shot, food, prop):
        url = reverse(f"shots:{name}", args=[campaign.key, *args])
        client.logout()
        answer = getattr(client, method)(url)
        assert (answer.status_code, "/account/login/" in answer["Location"]) == (302, True)
        client.force_login(outsider.user)
        assert getattr(client, method)(url).status_code == 404


def test_rows_of_another_campaign_are_not_there(sign_in, producer, campaign):
    from tests.factories import HeroFoodFactory, PropFactory

    other = ShotFactory()
    food, prop = HeroFoodFactory(shot=other), PropFactory(shot=other)
    client = sign_in(producer)
    for (_, name, args), _ in pages_of(campaign, other, food, prop).items():
        if args and name != "list-file":
            url = reverse(f"shots:{name}", args=[campaign.key, *args])
            if name not in ("move", "ask-recipe", "confirm-recipe"):
                assert client.get(url).status_code == 404, name
            if name not in ("shot", "confirm-recipe"):
                assert client.post(url, {"name": "x", "to": "up"}).status_code == 404, name
    assert Shot.objects.filter(key=other.key).exists()


def test_add_asks_then_leads_to_the_new_shot(sign_in, producer, campaign):
    client, url = sign_in(producer), reverse("shots:add", args=[campaign.key])
    refused = client.post(url, {"title": "", "story": "Kept as typed"})
    assert (refused.status_code, "Kept as typed" in refused.text) == (422, True)
    done = client.post(url, {"title": "The tall stack"})
    assert (done.status_code, done["Location"]) == (
        303, reverse("shots:shot", args=[campaign.key, Shot.objects.get().key])
    )  # fmt: skip


def test_move_and_remove_from_the_page(sign_in, producer, campaign):
    first, second = ShotFactory(campaign=campaign, number=1), ShotFactory(campaign=campaign, number=2)
    client = sign_in(producer)
    assert client.post(reverse("shots:move", args=[campaign.key, second.key]), {"to": "up"}).status_code == 303
    asked = client.get(reverse("shots:remove", args=[campaign.key, first.key]))
    assert "Remove this shot, with no foods and no props?" in asked.text
    client.post(reverse("shots:remove", args=[campaign.key, first.key]))
    assert list(campaign.shots.values_list("key", "number")) == [(second.key, 1)]


def test_light_is_edited_in_place_by_htmx_and_on_a_page_without(sign_in, producer, campaign, shot):
    client, url = sign_in(producer), reverse("shots:light", args=[campaign.key, shot.key])
    whole, part = client.get(url).text, client.get(url, headers=HX).text
    assert "<h1" in whole
    assert part.strip().startswith('<section class="section" id="light">')
    saved = client.post(url, {"key_light": "Soft, left"}, headers=HX)
    assert "Soft, left" in saved.text
    assert "<form" not in saved.text
    plain = client.post(url, {"key_light": "Soft, right"})
    assert (plain.status_code, plain["Location"]) == (
        303, reverse("shots:shot", args=[campaign.key, shot.key]) + "#light"
    )  # fmt: skip
    assert Light.objects.get().key_light == "Soft, right"


def test_camera_form_says_what_is_wrong_and_keeps_what_was_typed(sign_in, producer, campaign, shot):
    url = reverse("shots:camera", args=[campaign.key, shot.key])
    refused = sign_in(producer).post(url, {"width_px": "many", "lens": "80 mm, kept"}, headers=HX)
    assert refused.status_code == 422
    assert "Give a whole number, such as 3." in refused.text
    assert "80 mm, kept" in refused.text


def test_light_page_shows_the_cautions(sign_in, producer, campaign, shot):
    page = sign_in(producer).get(reverse("shots:shot", args=[campaign.key, shot.key])).text
    for word in ("Lamps are hot", "sandbag", "taped down", "licensed electrician; local codes decide"):
        assert word in page


def test_shots_page_asks_the_database_the_same_number_of_times(sign_in, producer, campaign, same_queries):
    client, url = sign_in(producer), reverse("shots:shots", args=[campaign.key])
    same_queries(lambda: client.get(url))


def test_shot_page_asks_the_database_the_same_number_of_times(sign_in, producer, campaign, shot, same_queries):
    client, url = sign_in(producer), reverse("shots:shot", args=[campaign.key, shot.key])
    same_queries(lambda: client.get(url))
