"""Protects the receiving of layout files: each finds its place, is asked about or is refused, and none is lost."""

import hashlib

import pytest
from django.core.exceptions import PermissionDenied
from django.core.files.storage import default_storage

from layouts.models import Incoming, Layout, Placement
from layouts.overlays import actions, arriving
from portal.access import Role
from portal.brief.draft import BriefClosed
from portal.models import LogEntry, StoredFile, Version, Work
from tests.factories import FormatFactory, ShotFactory, member_of
from tests.layouts.layout_files import drawn, encoded, upload

pytestmark = pytest.mark.django_db
SURE = "Bowl_48-sheet_en-GB.png"


def receive(by, *files, **more):
    return actions.receive_files(by, files=list(files), **more)


def test_a_batch_of_good_doubtful_wrong_and_hostile_files_each_gets_its_answer(designer, place):
    hostile = '<img src=x onerror=alert(1)>".png'
    came = receive(
        designer,
        upload(SURE),
        upload("48-sheet_en-GB.png", seed=3),
        upload("Bowl_48-sheet_cy.png", size=(600, 900)),
        upload("Stack_96-sheet_cy.jpg", encoded(drawn((1600, 400), mode="RGB"), "JPEG")),
        upload(hostile, b"no picture at all"),
        upload("empty.png", b""),
        upload("Stack_6-sheet_cy.png", size=(600, 900), seed=9),
    )
    assert [row.state for row in came] == ["placed", "asked", "refused", "refused", "refused", "refused", "placed"]
    assert came[0].layout.placement == place()
    assert came[6].layout.placement == place(2, "6-sheet", "cy")
    assert came[1].candidates == [place(1).key, place(2).key]
    assert came[2].says.startswith(
        "This file is 600 × 900 px, which is 2 : 3; 48-sheet is 6096 × 3048 mm, which is 2 : 1."
    )
    assert came[3].says == arriving.NO_ALPHA
    assert "can be read here" in came[4].says
    assert came[4].name == hostile
    assert "0 bytes" in came[5].says
    # What could be decoded is kept, what could not is not.
    assert [row.file is not None for row in came] == [True, True, True, True, False, False, True]


def test_a_placed_file_is_kept_byte_for_byte_and_logged_with_its_digest(designer):
    data = encoded(drawn())
    (row,) = receive(designer, upload(SURE, data))
    with default_storage.open(row.file.path) as kept:
        assert kept.read() == data
    digest = hashlib.sha256(data).hexdigest()
    assert row.file.sha256 == digest
    assert LogEntry.objects.get(act="layout.sent").payload == {"revision": 1, "name": SURE, "sha256": digest}


def test_every_file_that_came_is_logged_with_its_digest(designer):
    junk = b"no picture at all"
    receive(designer, upload("48-sheet.png"), upload("junk.png", junk))
    acts = dict(LogEntry.objects.filter(act__startswith="layout.").values_list("act", "payload"))
    assert acts["layout.refused"]["sha256"] == hashlib.sha256(junk).hexdigest()
    assert acts["layout.asked"]["sha256"] == StoredFile.objects.get().sha256


def test_a_new_file_becomes_a_new_revision_and_the_older_stays(designer, place):
    receive(designer, upload(SURE))
    receive(designer, upload("Bowl 48-sheet en-GB v2.png", seed=5))
    rows = list(Layout.objects.filter(placement=place()).order_by("revision"))
    assert [(row.revision, row.current) for row in rows] == [(1, False), (2, True)]
    assert default_storage.exists(rows[0].file.path)


def test_the_same_bytes_again_change_nothing_and_say_so(designer):
    receive(designer, upload(SURE))
    (row,) = receive(designer, upload(SURE))
    assert row.state == Incoming.State.ASIDE
    assert "is revision 1 of shot 1, 48-sheet" in row.says
    assert Layout.objects.count() == 1


def test_bytes_that_a_newer_revision_replaced_are_asked_about(designer, place):
    receive(designer, upload(SURE))
    receive(designer, upload(SURE, seed=5))
    (row,) = receive(designer, upload(SURE))
    assert row.state == Incoming.State.ASKED
    assert "bytes of revision 1" in row.says
    made = actions.answer_question(designer, row.key, placement=place().key)
    assert (made.revision, made.current) == (3, True)


def test_two_files_of_one_batch_for_one_place_are_both_asked_about(designer):
    came = receive(designer, upload(SURE), upload("Bowl 48-sheet en-GB final.png", seed=4))
    assert [row.state for row in came] == ["asked", "asked"]
    assert not Layout.objects.exists()


def test_a_file_that_is_asked_about_is_not_asked_about_twice(designer):
    receive(designer, upload("48-sheet_en-GB.png"))
    (row,) = receive(designer, upload("48-sheet_en-GB.png"))
    assert (row.state, row.says) == ("aside", actions.ASKED_ALREADY)


def test_a_file_with_a_surround_finds_its_place_by_name(designer, place):
    (row,) = receive(designer, upload("Bowl_48-sheet_en-GB.png", surround=120))
    assert row.layout.placement == place()


def test_two_files_with_surrounds_for_one_place_are_both_asked_about(designer):
    came = receive(designer, upload(SURE, surround=120), upload("Bowl 48-sheet en-GB v2.png", surround=90))
    assert [row.state for row in came] == ["asked", "asked"]


def test_one_file_that_cannot_be_stored_loses_nothing_of_the_others(designer, monkeypatch):
    keep = actions.keep
    full = iter([False, True, False])

    def sometimes(*args, **kwargs):
        if next(full):
            raise OSError(28, "No space left on device")
        return keep(*args, **kwargs)

    monkeypatch.setattr(actions, "keep", sometimes)
    came = receive(designer, upload(SURE), upload("Bowl_48-sheet_cy.png"), upload("Stack_48-sheet_cy.png", seed=2))
    assert [row.state for row in came] == ["placed", "refused", "placed"]
    assert came[1].says == actions.STORE_FULL


def test_a_file_sent_for_one_placement_needs_no_name(designer, place):
    (row,) = receive(designer, upload("untitled.png"), placement=place(2, "48-sheet", "cy").key)
    assert row.layout.placement == place(2, "48-sheet", "cy")


def test_a_file_sent_for_one_placement_must_have_its_shape(designer, place):
    (row,) = receive(designer, upload(SURE), placement=place(1, "6-sheet").key)
    assert row.state == Incoming.State.REFUSED
    assert "1440 × 720 px, which is 2 : 1; 6-sheet is 1200 × 1800 mm, which is 2 : 3" in row.says
    assert row.file is not None


@pytest.mark.parametrize("role", [Role.CLIENT, Role.STYLIST, Role.PHOTOGRAPHER, Role.PRODUCER, Role.ASSISTANT])
def test_receiving_by_one_who_may_not_leaves_no_trace(ordered, role):
    before = LogEntry.objects.count()
    with pytest.raises(PermissionDenied, match="may not upload layouts"):
        receive(member_of(ordered.campaign, role), upload(SURE))
    assert not Incoming.objects.exists()
    assert not StoredFile.objects.exists()
    assert LogEntry.objects.count() == before


def test_receiving_is_closed_while_a_version_is_out(designer):
    campaign = designer.campaign
    campaign.open_version = Version.objects.create(
        campaign=campaign, number=1, document="{}", sections={}, digest="0" * 64, put_forward_by=designer,
        put_forward_at="2026-01-01T00:00Z",
    )  # fmt: skip
    campaign.save()
    with pytest.raises(BriefClosed, match="out for signature"):
        receive(designer, upload(SURE))


def test_matching_looks_at_wanted_placements_of_this_campaign_only(designer, place):
    other = ShotFactory(number=1, title="Bowl by the window")
    Placement.objects.create(
        shot=other, format=FormatFactory(campaign=other.campaign, name="48-sheet"), language="en-GB"
    )
    Placement.objects.filter(pk=place().pk).update(wanted=False)
    (row,) = receive(designer, upload(SURE))
    assert row.state != Incoming.State.PLACED
    assert place().key not in row.candidates


def test_answering_places_the_file_and_closes_the_question(designer, place):
    (row,) = receive(designer, upload("48-sheet_en-GB.png"))
    made = actions.answer_question(designer, row.key, placement=row.candidates[1])
    assert made.placement == place(2)
    row.refresh_from_db()
    assert (row.state, row.layout) == ("placed", made)
    with pytest.raises(Incoming.DoesNotExist):
        actions.answer_question(designer, row.key, placement=row.candidates[0])


def test_a_file_put_aside_can_be_placed_after_all(designer, place):
    (row,) = receive(designer, upload("48-sheet_en-GB.png"))
    actions.set_aside(designer, row.key)
    assert Incoming.objects.get().state == "aside"
    assert actions.place_file(designer, row.key, placement=place(1).key).placement == place(1)


def test_an_answer_that_cannot_be_is_refused(designer, place):
    (row,) = receive(designer, upload("48-sheet_en-GB.png"))
    with pytest.raises(Exception, match="6-sheet is 1200 × 1800 mm"):
        actions.answer_question(designer, row.key, placement=place(1, "6-sheet").key)
    assert Incoming.objects.get().state == "asked"


def test_a_question_of_another_campaign_is_not_found(designer):
    (row,) = receive(designer, upload("48-sheet_en-GB.png"))
    stranger = member_of(ShotFactory().campaign, Role.DESIGNER)
    for act in (actions.set_aside, lambda by, key: actions.answer_question(by, key, placement=row.candidates[0])):
        with pytest.raises(Incoming.DoesNotExist):
            act(stranger, row.key)


@pytest.mark.parametrize(
    ("name", "cleaned"),
    [
        ("../../etc/passwd.png", "passwd.png"),
        ("C:\\work\\final.psd", "final.psd"),
        ("a\r\nSet-Cookie: x.png", "a Set-Cookie: x.png"),
        ("abc\u202egnp.exe", "abcgnp.exe"),
        ("", "unnamed"),
        ("n" * 400 + ".png", "n" * 296 + ".png"),
        ("Plakat größe ≈ 2:1.png", "Plakat größe ≈ 2:1.png"),
    ],
)
def test_names_are_kept_without_what_cannot_be_seen(name, cleaned):
    assert arriving.clean_name(name) == cleaned


def test_the_same_file_for_the_same_format_is_prepared_once(designer, place):
    data = encoded(drawn())
    receive(designer, upload("a.png", data), placement=place(1).key)
    receive(designer, upload("a.png", data), placement=place(2).key)
    assert Work.objects.filter(kind="layouts.prepare").count() == 1


def test_words_of_the_campaign_do_not_speak_for_a_shot(designer, place):
    designer.campaign.title = "Harvest Bowl, autumn"
    designer.campaign.save(update_fields=["title"])
    (row,) = receive(designer, upload("HarvestBowl_shot2_48-sheet_cy.png"))
    assert row.layout.placement == place(2, "48-sheet", "cy")
