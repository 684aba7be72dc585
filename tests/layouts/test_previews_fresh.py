"""Protects that a verdict is that of now: after whatever it depends on has changed, readiness and the kept standing
say what a reading without any memory says."""

import pytest

from layouts.formats import actions as formats
from layouts.imaging import names
from layouts.models import Format
from layouts.overlays import actions as overlays
from layouts.pictures import actions as pictures
from layouts.previews import queries, verdicts
from portal.access import Role
from portal.brief import actions as brief
from portal.brief import sections, standing
from portal.models import Campaign
from tests.factories import member_of
from tests.layouts import layout_files, mockup_files
from tests.work import run_work

pytestmark = pytest.mark.django_db
BESIDE, ON_THE_TYPE = (0.6, 0.5, 0.9, 0.8), (0.05, 0.15, 0.4, 0.35)
KINDS = {"type-hard", "type-on-hero", "type-below-limit", "hero-past-limit", "hero-cut"}


@pytest.fixture
def laid(ordered, place):
    """The agency producer of a campaign with one layout over its picture."""
    pictures.add_mockup(ordered, place().shot.key, file=mockup_files.upload())
    pictures.mark_hero(ordered, place().shot.key, zone=BESIDE)
    send(ordered, place(), layout_files.upload("layout.png"))
    return ordered


def send(by, placement, file):
    overlays.receive_files(member_of(by.campaign, Role.DESIGNER), files=[file], placement=placement.key)
    run_work()


def found(by):
    """What readiness says of type, hero and crop, and the verdict of each placement, read anew."""
    campaign = Campaign.objects.get(pk=by.campaign.pk)
    said = {(one.level, one.kind, one.says) for one in sections.findings(campaign) if one.kind in KINDS}
    return said, [verdicts.of(row) for row in queries.seen(campaign)]


def move_hero(by, placement):
    pictures.mark_hero(by, placement.shot.key, zone=ON_THE_TYPE)


def set_crop(by, placement):
    formats.set_crop(by, placement.key, crop=[0.0, 0.0, 0.5, 0.375])


def agree(by, _):
    brief.settle_terms(by, least_contrast=21.0)


def see_from_afar(_, placement):
    # No act changes a format's distance: its row does.
    Format.objects.filter(pk=placement.format_id).update(distance_m=1000)


def new_layout(by, placement):
    send(by, placement, layout_files.upload("second.png", words="Another line altogether, and longer"))


def new_mockup(by, placement):
    pictures.add_mockup(by, placement.shot.key, file=mockup_files.upload(size=(300, 200), seed=255))


@pytest.mark.parametrize("change", [move_hero, set_crop, agree, see_from_afar, new_layout, new_mockup])
def test_after_a_change_the_verdict_is_told_anew(laid, place, change):
    before = found(laid)
    change(laid, place())
    run_work()

    after = found(laid)

    assert after != before, "the change must bear on what is said"
    names.read_name.cache_clear()
    names.words.cache_clear()
    assert found(laid) == after
    standing.refresh(laid.campaign.pk)
    campaign = Campaign.objects.get(pk=laid.campaign.pk)
    assert campaign.standing == standing.counted(sections.findings(campaign))


def test_what_was_read_before_a_change_says_what_was_then_and_a_new_reading_what_is_now(laid, place):
    old = queries.seen_one(laid.campaign, place().key)
    was = old.hero
    move_hero(laid, place())

    assert old.hero == was
    assert queries.seen_one(laid.campaign, place().key).hero != was
