"""Protects the acts on mockups: revisions and which one stands, hero zones, refusals in words, access, and the log."""

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.core.files.storage import default_storage

from layouts.models import Mockup
from layouts.pictures import actions
from portal.access import Role
from portal.brief.draft import BriefClosed
from portal.models import LogEntry, Work
from shots.models import Shot
from tests.factories import ShotFactory, member_of
from tests.layouts.mockup_files import upload

HERO = (0.4, 0.4, 0.6, 0.8)


@pytest.fixture
def shot(ordered):
    return ordered.campaign.shots.get(number=1)


def test_add_mockup_keeps_the_bytes_and_owes_its_copies(ordered, shot):
    sent = upload("bowl comp v3.png")
    mockup = actions.add_mockup(ordered, shot.key, file=sent)
    assert (mockup.revision, mockup.current, mockup.name, mockup.hero) == (1, True, "bowl comp v3.png", None)
    assert (mockup.file.type, mockup.file.width, mockup.file.height) == ("png", 600, 400)
    sent.seek(0)
    with default_storage.open(mockup.file.path) as kept:
        assert kept.read() == sent.read()
    assert (mockup.work.kind, mockup.work.state) == ("layouts.copies", Work.State.OWED)
    assert LogEntry.objects.last().act == "mockup.sent"


def test_a_new_revision_stands_and_the_older_stays(ordered, shot):
    first = actions.add_mockup(ordered, shot.key, file=upload(seed=1))
    second = actions.add_mockup(ordered, shot.key, file=upload(seed=2))
    assert list(shot.mockups.values_list("revision", "current")) == [(2, True), (1, False)]
    assert default_storage.exists(first.file.path)
    assert second.file_id != first.file_id


def test_the_hero_zone_is_carried_over_only_where_the_shape_is_the_same(ordered, shot):
    actions.add_mockup(ordered, shot.key, file=upload(seed=1))
    actions.mark_hero(ordered, shot.key, zone=HERO)
    same = actions.add_mockup(ordered, shot.key, file=upload(seed=2, size=(1200, 800)))
    assert same.hero == list(HERO)
    other = actions.add_mockup(ordered, shot.key, file=upload(seed=3, size=(600, 500)))
    assert other.hero is None


def test_the_very_same_file_again_changes_nothing(ordered, shot):
    actions.add_mockup(ordered, shot.key, file=upload())
    with pytest.raises(ValidationError, match="revision 1 itself"):
        actions.add_mockup(ordered, shot.key, file=upload("renamed.png"))
    assert shot.mockups.count() == 1


@pytest.mark.parametrize(
    ("name", "data", "says"),
    [
        ("comp.pdf", b"%PDF-1.4\n", ""),
        ("comp.svg", b"<svg xmlns='http://www.w3.org/2000/svg'/>", "SVG"),
        ("comp.jpg", b"not a picture at all", "no picture file"),
        ("empty.jpg", b"", "empty"),
    ],
)
def test_what_cannot_be_a_mockup_is_refused_with_a_sentence(ordered, shot, name, data, says):
    with pytest.raises(ValidationError) as refused:
        actions.add_mockup(ordered, shot.key, file=upload(name, data=data))
    (sentence,) = refused.value.message_dict["file"]
    assert says in sentence
    assert sentence.endswith(".")
    assert not Mockup.objects.exists()
    assert not LogEntry.objects.filter(act="mockup.sent").exists()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "WEBP"])
def test_the_four_kinds_of_picture_are_taken(ordered, shot, kind):
    mockup = actions.add_mockup(ordered, shot.key, file=upload(f"comp.{kind.lower()}", kind))
    assert mockup.file.type == kind.lower()


def test_mark_hero_says_was_and_now_and_needs_a_zone_inside_the_picture(ordered, shot):
    actions.add_mockup(ordered, shot.key, file=upload())
    actions.mark_hero(ordered, shot.key, zone=HERO)
    entry = LogEntry.objects.last()
    assert (entry.act, entry.payload["was"], entry.payload["now"]) == ("hero.marked", None, list(HERO))
    for zone in ((0.5, 0.4, 0.4, 0.8), (-0.1, 0.4, 0.6, 0.8), (0.4, 0.4, 0.6, 1.2), (0.4, 0.5, 0.6, 0.5)):
        with pytest.raises(ValidationError, match="width and a height"):
            actions.mark_hero(ordered, shot.key, zone=zone)
    assert shot.mockups.get().hero == list(HERO)


def test_mark_hero_needs_a_mockup(ordered, shot):
    with pytest.raises(Mockup.DoesNotExist):
        actions.mark_hero(ordered, shot.key, zone=HERO)


def test_an_earlier_revision_can_stand_again(ordered, shot):
    first = actions.add_mockup(ordered, shot.key, file=upload(seed=1))
    actions.add_mockup(ordered, shot.key, file=upload(seed=2))
    actions.make_current(ordered, first.key)
    assert list(shot.mockups.values_list("revision", "current")) == [(2, False), (1, True)]
    third = actions.add_mockup(ordered, shot.key, file=upload(seed=3))
    assert third.revision == 3


def test_copies_that_failed_can_be_tried_again(ordered, shot):
    mockup = actions.add_mockup(ordered, shot.key, file=upload())
    Work.objects.filter(pk=mockup.work_id).update(state=Work.State.FAILED, says="Damaged.")
    actions.try_copies_again(ordered, mockup.key)
    mockup.work.refresh_from_db()
    assert (mockup.work.state, mockup.work.says) == (Work.State.OWED, "")


@pytest.mark.parametrize("role", [Role.CLIENT, Role.STYLIST, Role.RETOUCHER, Role.ASSISTANT])
def test_those_who_may_not_upload_leave_no_trace(ordered, shot, role):
    with pytest.raises(PermissionDenied, match="may not upload mockups"):
        actions.add_mockup(member_of(ordered.campaign, role), shot.key, file=upload())
    assert not Mockup.objects.exists()


def test_the_designer_uploads_but_does_not_mark_the_hero(ordered, shot):
    designer = member_of(ordered.campaign, Role.DESIGNER)
    actions.add_mockup(designer, shot.key, file=upload())
    with pytest.raises(PermissionDenied, match="may not change shots"):
        actions.mark_hero(designer, shot.key, zone=HERO)


def test_another_campaigns_rows_are_not_found(ordered, shot):
    stranger = ShotFactory()
    mockup = actions.add_mockup(ordered, shot.key, file=upload())
    other = member_of(stranger, Role.AGENCY)
    with pytest.raises(Shot.DoesNotExist):
        actions.add_mockup(other, shot.key, file=upload())
    with pytest.raises(Mockup.DoesNotExist):
        actions.mark_hero(other, shot.key, zone=HERO)
    with pytest.raises(Mockup.DoesNotExist):
        actions.make_current(other, mockup.key)


def test_a_closed_brief_refuses_with_its_sentence(ordered, shot, closed):
    with pytest.raises(BriefClosed, match="out for signature"):
        actions.add_mockup(ordered, shot.key, file=upload())
    with pytest.raises(BriefClosed):
        actions.mark_hero(ordered, shot.key, zone=HERO)
    assert not Mockup.objects.exists()


@pytest.fixture
def closed(ordered):
    """The brief with a version out for signature."""
    from django.utils import timezone

    from portal.models import Version

    campaign = ordered.campaign
    campaign.open_version = Version.objects.create(
        campaign=campaign, number=1, document="{}", sections={}, digest="0" * 64, put_forward_by=ordered,
        put_forward_at=timezone.now(),
    )  # fmt: skip
    campaign.save(update_fields=["open_version"])
