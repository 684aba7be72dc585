"""Protects that nobody on set takes a draft for what is locked: pages, overlays and the wall's sheet say which."""

import pytest
from django.core.exceptions import PermissionDenied
from django.urls import reverse

from layouts.capture import overlay_actions, overlay_source
from layouts.capture.overlay_orders import Options
from layouts.previews.sheet_pages import DRAWN
from layouts.stand import stand
from portal.access import Role
from portal.brief import documents
from portal.changes import actions as changes
from portal.models import Member
from tests.factories import member_of
from tests.layouts.capture_scenes import lock, plannable

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def signer(ordered):
    """Who accepts changes; there before the lock, as signers are part of what is signed."""
    member = member_of(ordered.campaign, Role.CLIENT)
    Member.objects.filter(pk=member.pk).update(may_sign=True)


OFFICE = {"what": "A taller stack.", "why": "It was asked for.", "asked_by": "Mira Holt"}


def again(member):
    return Member.objects.select_related("campaign", "user").get(pk=member.pk)


def opened(agency, *places):
    """A change to these places that a signer has accepted."""
    client = agency.campaign.members.get(role=Role.CLIENT)
    token = f"token-{agency.campaign.changes.count():04}"
    made = changes.raise_change(again(agency), opens=places, sent_as=token, **OFFICE)
    return changes.accept_change(again(client), made.key, typed_name="Client")


def test_rows_are_locked_until_a_change_opens_what_is_seen_of_this_very_shot(ordered):
    first, second = ordered.campaign.shots.all()
    assert stand(ordered.campaign, first.key).says == "Draft: nobody has signed this yet."
    lock(ordered.campaign)
    here = stand(again(ordered).campaign, first.key)
    assert (here.says, here.draft, here.locked) == ("Locked as version 1.", False, 1)

    opened(ordered, ("props", first.key))
    assert not stand(again(ordered).campaign, first.key).draft
    opened(ordered, ("pictures", second.key))
    campaign = again(ordered).campaign
    assert not stand(campaign, first.key).draft
    there = stand(campaign, second.key)
    assert there.draft
    assert there.says.startswith("Draft: change 2 has opened ")
    assert there.says.endswith("differ from version 1, which is locked.")
    assert stand(campaign).draft

    opened(ordered, ("formats", ""))
    assert stand(again(ordered).campaign, first.key).draft


def test_every_page_on_set_says_whether_it_is_locked_and_links_to_what_is(client, ordered):
    first, second = ordered.campaign.shots.all()
    lock(ordered.campaign)
    opened(ordered, ("pictures", second.key))
    client.force_login(ordered.user)
    key = ordered.campaign.key
    version = reverse("portal:version", args=[key, 1])
    for shot, state in ((first, "locked"), (second, "draft")):
        placement = shot.placements.first().key
        pages = [
            reverse("layouts:stage", args=[key, placement]),
            reverse("layouts:sheet", args=[key]) + f"?shot={shot.key}",
            *(reverse(f"layouts:{name}", args=[key, shot.key]) for name in ("capture", "set-overlays", "on-the-day")),
        ]
        for page in pages:
            told = client.get(page).text.partition("<main")[2]
            assert f'data-stand="{state}"' in told, page
            assert f'href="{version}"' in told, page
    every = client.get(reverse("layouts:sheet", args=[key])).text
    assert every.count('data-stand="draft"') == 2  # of the campaign, and of the second shot


def test_overlays_of_an_opened_shot_without_a_locked_plan_are_stamped_draft(ordered):
    shot = plannable(ordered)
    other = ordered.campaign.shots.get(number=2)
    lock(ordered.campaign)
    opened(ordered, ("pictures", other.key))
    (locked,) = overlay_actions.ask_overlays(again(ordered), shot.key, Options(600))
    assert locked.version.number == 1
    assert locked.work.inputs["stamp"].startswith("version 1, locked")

    opened(ordered, ("camera", shot.key))
    (draft,) = overlay_actions.ask_overlays(again(ordered), shot.key, Options(600))
    assert draft.version is None
    assert draft.work.inputs["stamp"].startswith("DRAFT, ")
    assert "-draft-" in draft.work.inputs["pack"]
    assert draft.work.inputs["notes"][0] == overlay_source.NO_LONGER.format(number=1)
    with pytest.raises(PermissionDenied):
        overlay_actions.ask_overlays(again(member_of(ordered.campaign, Role.ASSISTANT)), shot.key, Options(600))


def test_the_sheet_for_the_wall_is_a_draft_as_soon_as_its_rows_differ_from_what_is_locked(ordered):
    second = ordered.campaign.shots.get(number=2)
    lock(ordered.campaign)
    opened(ordered, ("shots", ""))
    assert documents.as_rows_stand(again(ordered).campaign, DRAWN).state == "locked"
    second.title = "Taller stack"
    second.save()
    assert documents.as_rows_stand(again(ordered).campaign, DRAWN).is_draft
