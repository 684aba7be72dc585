"""Protects the worker's part in layouts: what is found in real files, how the work ends, and failure in words."""

import pytest
from django.core.files.storage import default_storage

from layouts.models import Layout, Preview
from layouts.overlays import actions, queries
from layouts.overlays.readiness import KINDS
from portal.access import Role
from portal.brief import sections
from portal.models import Campaign, Work
from tests.factories import member_of
from tests.layouts.layout_files import drawn, encoded, upload
from tests.work import run_work

pytestmark = pytest.mark.django_db(transaction=True)


def sent(by, placement, **drawing) -> Layout:
    (row,) = actions.receive_files(by, files=[upload("layout.png", **drawing)], placement=placement.key)
    return row.layout


def test_preparing_finds_the_window_in_its_surround_and_keeps_what_pages_show(designer, place):
    layout = sent(designer, place(), surround=120)
    run_work("layouts.prepare")
    layout.refresh_from_db()
    result = layout.work.result
    assert layout.work.state == Work.State.DONE
    assert queries.window_of(layout) == {"x": 120, "y": 120, "width": 1440, "height": 720}
    assert result["window"]["kind"] == "surround"
    assert (result["seen"]["width"], result["seen"]["height"]) == (1600, 914)
    assert default_storage.exists(result["prepared"])
    assert default_storage.exists(result["seen"]["path"])
    assert result["must_fix"] == 0


def test_faults_are_counted_and_said(designer, place):
    layout = sent(designer, place(), size=(360, 180))
    run_work("layouts.prepare")
    (line,) = queries.lines(designer.campaign, keys=[place().key])
    assert line.state == "fix"
    assert "360 x 180 px and 1440 x 720 px are ordered" in line.faults[0]["says"]
    layout.refresh_from_db()
    assert layout.work.result["must_fix"] == 1


def test_preparing_twice_gives_the_same(designer, place):
    layout = sent(designer, place())
    run_work("layouts.prepare")
    first = Work.objects.get(pk=layout.work_id).result
    Work.objects.filter(pk=layout.work_id).update(state=Work.State.OWED)
    run_work("layouts.prepare")
    assert Work.objects.get(pk=layout.work_id).result == first


def test_a_file_that_breaks_off_fails_with_a_sentence_and_can_be_tried_again(designer, place):
    layout = sent(designer, place())
    path = default_storage.path(layout.file.path)
    whole = default_storage.size(layout.file.path)
    with open(path, "r+b") as stored:  # damaged after it came, where no check of its head can see it
        stored.seek(whole // 2)
        stored.write(b"\0" * 40)
    run_work("layouts.prepare")
    layout.refresh_from_db()
    assert layout.work.state == Work.State.FAILED
    assert "Send it again" in layout.work.says
    (line,) = queries.lines(designer.campaign, keys=[place().key])
    assert line.state == "failed"
    found = {finding.kind: finding.says for finding in sections.findings(designer.campaign)}
    assert found["layout unread"].startswith("The layout of shot 1 for 48-sheet")
    actions.try_again(designer, layout.key)
    layout.refresh_from_db()
    assert layout.work.state == Work.State.OWED


def test_the_end_of_the_work_and_its_previews_come_together_or_not_at_all(designer, place, monkeypatch):
    from layouts.overlays import tasks

    layout = sent(designer, place())

    def breaks(placements):
        raise RuntimeError("killed here")

    monkeypatch.setattr(tasks, "owe_for_placements", breaks)
    with pytest.raises(RuntimeError):
        run_work("layouts.prepare")
    layout.refresh_from_db()
    assert layout.work.state == Work.State.OWED


def test_correcting_the_window_is_part_of_the_revision_and_prepares_anew(designer, place):
    layout = sent(designer, place(), size=(1600, 800))
    run_work("layouts.prepare")
    window = {"x": 80, "y": 40, "width": 1440, "height": 720}
    actions.correct_window(designer, layout.key, window=window)
    run_work("layouts.prepare")
    layout = Layout.objects.select_related("work").get()
    assert queries.window_of(layout) == window
    assert layout.work.result["window"]["width"] == 1440
    assert layout.revision == 1
    actions.correct_window(designer, layout.key, window=None)
    layout = Layout.objects.select_related("work").get()
    assert queries.window_of(layout) == {"x": 0, "y": 0, "width": 1600, "height": 800}


@pytest.mark.parametrize(
    ("window", "says"),
    [
        ({"x": 0, "y": 0, "width": 2000, "height": 1000}, "inside the file, which is 1440 × 720 px"),
        ({"x": -1, "y": 0, "width": 100, "height": 50}, "inside the file"),
        ({"x": 0, "y": 0, "width": 700, "height": 700}, "700 × 700 px is 1.00 : 1; 48-sheet is 2.00 : 1"),
    ],
)
def test_a_window_that_cannot_be_is_refused(designer, place, window, says):
    layout = sent(designer, place())
    with pytest.raises(Exception, match=says):
        actions.correct_window(designer, layout.key, window=window)
    assert Layout.objects.get().window is None


def test_an_older_revision_stands_again_as_a_new_one_with_its_window(designer, place):
    first = sent(designer, place(), surround=100)
    window = {"x": 100, "y": 100, "width": 1440, "height": 720}
    actions.correct_window(designer, first.key, window=window)
    sent(designer, place(), seed=4)
    made = actions.make_current(designer, first.key)
    assert (made.revision, made.current, made.window, made.file_id) == (3, True, window, first.file_id)
    assert Layout.objects.filter(current=True).count() == 1


@pytest.mark.parametrize("act", [actions.make_current, actions.try_again])
def test_a_layout_of_another_campaign_is_not_found(designer, place, act):
    layout = sent(designer, place())
    stranger = member_of(layout.placement.shot, Role.DESIGNER)
    stranger.campaign = Campaign.objects.create(title="Other", code="O-1", client="Other")
    with pytest.raises(Layout.DoesNotExist):
        act(stranger, layout.key)


def test_editing_a_format_has_its_layouts_inspected_anew(ordered, designer, place):
    from layouts.formats.actions import edit_format

    layout = sent(designer, place())
    run_work("layouts.prepare")
    edit_format(ordered, place().format.key, width_px=7200, height_px=3600)
    run_work("layouts.prepare")
    layout.refresh_from_db()
    assert [fault["code"] for fault in layout.work.result["faults"]] == ["too-few-pixels", "no-profile"]


def test_readiness_counts_what_is_owed_faulty_failed_and_asked(designer, place):
    sent(designer, place(1, "48-sheet"))
    sent(designer, place(1, "96-sheet"), size=(200, 50))
    actions.receive_files(designer, files=[upload("6-sheet.png", size=(600, 900))])
    run_work("layouts.prepare")
    sent(designer, place(2, "48-sheet"), seed=7)
    found = [finding for finding in sections.findings(designer.campaign) if finding.kind in KINDS]
    counts = {}
    for finding in found:
        counts[finding.kind] = counts.get(finding.kind, 0) + 1
    assert counts == {"layout": 9, "layout fault": 1, "layout check": 1, "layout look": 1, "question": 1}
    owed = next(finding for finding in found if finding.kind == "layout")
    assert owed.says == "Shot 1 has no layout for 48-sheet, Welsh."
    assert owed.roles == (Role.DESIGNER,)
    assert owed.url == f"/c/{designer.campaign.key}/layouts/of/{place(1, '48-sheet', 'cy').key}/"


def test_the_sections_name_files_by_digest_and_only_wanted_placements(ordered, designer, place):
    from layouts.formats.actions import set_wanted

    layout = sent(designer, place(), surround=60)
    dropped = sent(designer, place(2, "6-sheet"), size=(600, 900))
    run_work("layouts.prepare")
    set_wanted(ordered, placements=[dropped.placement.key], wanted=False)
    document = sections.assemble(designer.campaign)
    (entry,) = document["layouts"]
    assert entry["id"] == place().key
    assert entry["sha256"] == layout.file.sha256
    assert (entry["file"], entry["revision"]) == ("layout.png", 1)
    assert entry["window"] == {"x": 60, "y": 60, "width": 1440, "height": 720}
    assert len(document["formats"]["formats"]) == 3
    assert len(document["formats"]["placements"]) == 11
    assert dropped.placement.key not in {row["id"] for row in document["formats"]["placements"]}


def test_a_preview_is_owed_as_soon_as_a_layout_is_prepared(designer, place, tmp_path):
    from django.core.files.base import ContentFile
    from PIL import Image

    from layouts.pictures.actions import add_mockup

    mockup = encoded(Image.new("RGB", (1200, 800), (90, 90, 90)), "JPEG")
    add_mockup(designer, place().shot.key, file=ContentFile(mockup, "mockup.jpg"))
    layout = sent(designer, place())
    assert Preview.objects.get(placement=place()).layout is None
    run_work("layouts.prepare")
    preview = Preview.objects.select_related("work").get(placement=place())
    assert preview.layout == layout
    run_work()
    assert not Work.objects.exclude(state=Work.State.DONE).exists()


def test_drawn_files_are_what_they_say():
    assert encoded(drawn())[:8] == b"\x89PNG\r\n\x1a\n"
