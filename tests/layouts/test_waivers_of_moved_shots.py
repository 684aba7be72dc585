"""Protects that what a signer may waive is known again, room by room, when the shots are put into another order."""

import re

from portal.brief import sections
from portal.models import Campaign
from shots.models import Shot
from shots.shot.actions import move_shot
from tests.factories import HeroFoodFactory, MemberFactory


def waivable(campaign):
    found = sections.findings(Campaign.objects.get(pk=campaign.pk))
    return {one.key: one for one in found if one.level == "must-fix" and one.waivable}


def test_every_finding_of_every_room_keeps_its_key_when_its_shot_is_moved(ordered):
    campaign = ordered.campaign
    producer = MemberFactory(campaign=campaign, role="producer")
    second = Shot.objects.get(campaign=campaign, number=2)
    HeroFoodFactory(shot=second, hero=0, recipe="", substitution="Rice for oats, as in shot 1")
    before = waivable(campaign)

    move_shot(producer, second.key, up=True)

    after = waivable(campaign)
    assert after.keys() == before.keys()
    kinds = {after[key].kind for key in after if after[key].says != before[key].says}
    assert kinds >= {
        "shot-text",
        "no-key-light",
        "no-food",
        "food-count",
        "substitution-open",
        "mockup-missing",
        "layout",
    }
    assert not [one for one in after.values() if re.search(r"(?i)\bshot \d", one.says) and one.shot is None]
