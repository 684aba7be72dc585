"""Protects what the worker makes of real files: the right crop, layout over it, shared decoding, failures in words."""

import io

import numpy as np
import pytest
from django.core.files.storage import default_storage
from PIL import Image

from layouts.formats import actions as formats
from layouts.imaging.decoding.reading import open_picture
from layouts.models import Preview
from layouts.overlays import actions as overlays
from layouts.pictures import actions as pictures
from layouts.previews import actions, queries, tasks
from portal.access import Role
from portal.brief import standing
from portal.models import Campaign, StoredFile, Work
from portal.work.tasks import look
from tests.factories import member_of
from tests.layouts import layout_files
from tests.layouts.mockup_files import upload
from tests.work import run_work

pytestmark = pytest.mark.django_db


@pytest.fixture
def shot(ordered):
    shot = ordered.campaign.shots.get(number=1)
    pictures.add_mockup(ordered, shot.key, file=upload())
    return shot


def pixels(file: dict) -> np.ndarray:
    with default_storage.open(file["path"]) as held, Image.open(held) as image:
        return np.asarray(image).astype(int)


def seen(member, placement) -> queries.Seen:
    return queries.seen_one(member.campaign, placement.key)


def test_the_bare_crop_is_the_right_part_of_the_mockup(ordered, shot, place):
    run_work()
    file = seen(ordered, place()).files["bare"]
    assert (file["width"], file["height"]) == (2400, 1200)
    picture = pixels(file)
    # 2 : 1 of 600 x 400 is rows 50 to 350; green is the height in the mockup, 0 to 255.
    for y, part in ((0, 50 / 400), (600, 0.5), (1199, 350 / 400)):
        assert picture[y, 1200, 1] == pytest.approx(255 * part, abs=4)
    assert picture[600, 0, 0] == pytest.approx(0, abs=4)
    assert picture[600, 2399, 0] == pytest.approx(255, abs=4)


def test_without_a_layout_composed_is_bare_and_small_is_small(ordered, shot, place):
    run_work()
    files = seen(ordered, place(format="6-sheet")).files
    assert set(files) == {"composed", "bare", "small"}
    assert (files["composed"]["width"], files["composed"]["height"]) == (1600, 2400)
    assert (files["small"]["width"], files["small"]["height"]) == (427, 640)
    assert np.array_equal(pixels(files["composed"]), pixels(files["bare"]))


def test_a_layout_lies_over_the_crop_and_its_surround_is_left_out(ordered, shot, place):
    designer = member_of(ordered.campaign, Role.DESIGNER)
    sent = layout_files.upload("layout.png", surround=100)
    overlays.receive_files(designer, files=[sent], placement=place().key)
    run_work()
    files = seen(ordered, place()).files
    bare, composed, layer = (pixels(files[which]) for which in ("bare", "composed", "layer"))
    # The dark bar of the drawn layout: from 6 to 30 % across, 80 to 84 % down, solid (20, 20, 20).
    bar = (984, 400)
    assert composed[bar] == pytest.approx([20, 20, 20], abs=6)
    assert layer[bar] == pytest.approx([20, 20, 20, 255], abs=6)
    clear = (600, 1800)
    assert layer[clear][3] == 0
    assert composed[clear] == pytest.approx(bare[clear], abs=4)
    assert composed[4, 4] == pytest.approx(bare[4, 4], abs=4), "the grey surround is no part of the poster"


def test_one_mockup_is_decoded_once_for_all_its_placements(ordered, shot, monkeypatch):
    opened = []
    monkeypatch.setattr(tasks, "open_picture", lambda *args, **more: opened.append(args) or open_picture(*args, **more))
    run_work("layouts.preview")
    assert len(opened) == 1
    assert set(Preview.objects.values_list("work__state", flat=True)) == {Work.State.DONE}


def test_what_nobody_shows_any_more_is_not_made_along_with_the_rest(ordered, shot, place):
    unwanted = Preview.objects.get(placement=place(format="6-sheet")).work
    Preview.objects.filter(work=unwanted).delete()
    look(Preview.objects.get(placement=place()).work_id)
    unwanted.refresh_from_db()
    assert unwanted.state == Work.State.OWED
    assert Preview.objects.get(placement=place(format="96-sheet")).work.state == Work.State.DONE


def test_one_that_cannot_be_made_does_not_stop_the_others(ordered, shot, place):
    designer = member_of(ordered.campaign, Role.DESIGNER)
    overlays.receive_files(designer, files=[layout_files.upload("layout.png")], placement=place().key)
    run_work("layouts.prepare")
    laid = Preview.objects.get(placement=place()).work
    file = StoredFile.objects.get(sha256=laid.inputs["layout"])
    default_storage.delete(Work.objects.get(key=laid.inputs["prepare"]).result["prepared"])
    with default_storage.open(file.path) as held:
        cut = held.read()[:-400]
    default_storage.delete(file.path)
    default_storage.save(file.path, io.BytesIO(cut))
    look(Preview.objects.get(placement=place(format="6-sheet")).work_id)
    laid.refresh_from_db()
    assert laid.state == Work.State.FAILED
    assert laid.says.endswith(".")
    assert Preview.objects.get(placement=place(format="96-sheet")).work.state == Work.State.DONE


def test_a_prepared_form_that_was_lost_is_made_again(ordered, shot, place):
    designer = member_of(ordered.campaign, Role.DESIGNER)
    overlays.receive_files(designer, files=[layout_files.upload("layout.png")], placement=place().key)
    run_work("layouts.prepare")
    work = Preview.objects.get(placement=place()).work
    default_storage.delete(Work.objects.get(key=work.inputs["prepare"]).result["prepared"])
    run_work("layouts.preview")
    assert seen(ordered, place()).laid


def test_a_mockup_that_breaks_off_fails_in_words_and_a_retry_works(ordered, shot, place):
    path = shot.mockups.get().file.path
    with default_storage.open(path) as held:
        whole = held.read()
    default_storage.delete(path)
    default_storage.save(path, io.BytesIO(whole[: len(whole) // 2]))
    Campaign.objects.update(standing_at="2026-01-01T00:00Z")
    run_work("layouts.preview")
    failed = seen(ordered, place())
    assert failed.state == "failed"
    assert "cut off" in failed.preview.work.says
    assert Campaign.objects.get().standing_at is None, "readiness must be counted anew"
    default_storage.delete(path)
    default_storage.save(path, io.BytesIO(whole))
    actions.try_preview_again(ordered, place().key)
    run_work("layouts.preview")
    assert seen(ordered, place()).state == "there"


def test_a_preview_made_twice_is_the_same(ordered, shot, place):
    run_work()
    work = Preview.objects.get(placement=place()).work
    first = {which: pixels(file).sum() for which, file in work.result["files"].items()}
    Work.objects.filter(pk=work.pk).update(state=Work.State.OWED)
    run_work()
    assert {which: pixels(file).sum() for which, file in seen(ordered, place()).files.items()} == first


def test_copies_are_upright_srgb_and_never_wider_than_the_mockup(ordered):
    shot = ordered.campaign.shots.get(number=2)
    turned = Image.new("RGB", (400, 600), (200, 30, 30))
    turned.paste((30, 30, 200), (0, 0, 400, 300))
    exif = Image.Exif()
    exif[0x0112] = 6  # EXIF orientation 6: turn 90 degrees clockwise to see it upright (CIPA DC-008)
    held = io.BytesIO()
    turned.save(held, "JPEG", quality=95, exif=exif)
    mockup = pictures.add_mockup(ordered, shot.key, file=upload("turned.jpg", data=held.getvalue()))
    assert (mockup.file.width, mockup.file.height) == (600, 400)
    run_work("layouts.copies")
    mockup.work.refresh_from_db()
    copies = mockup.work.result["copies"]
    assert [(copy["width"], copy["height"]) for copy in copies] == [(480, 320), (600, 400)]
    picture = pixels(copies[-1])
    assert picture[200, 30] == pytest.approx([200, 30, 30], abs=8)
    assert picture[200, 570] == pytest.approx([30, 30, 200], abs=8)


def test_full_pixels_are_made_when_asked_for(ordered, place):
    shot = ordered.campaign.shots.get(number=1)
    pictures.add_mockup(ordered, shot.key, file=upload(size=(3000, 2000)))
    assert actions.ask_detail(ordered, place().key).detail is None, "before the first picture nothing is owed"
    run_work()
    client = member_of(ordered.campaign, Role.CLIENT)
    actions.ask_detail(client, place().key)
    run_work()
    detail = seen(ordered, place()).preview.detail
    facts = {which: (file["width"], file["height"]) for which, file in detail.result["files"].items()}
    assert facts == {"composed-detail": (3000, 1500), "bare-detail": (3000, 1500)}


def test_the_standing_counts_a_failed_preview_once_it_is_read(ordered, shot):
    run_work()
    standing.refresh(ordered.campaign_id)
    before = Campaign.objects.get().standing["must_fix"]
    Work.objects.filter(kind="layouts.preview").update(state=Work.State.FAILED, says="Not enough memory.")
    standing.refresh(ordered.campaign_id)
    assert Campaign.objects.get().standing["must_fix"] == before + 6


def test_sharing_a_decoded_mockup_costs_no_sharpness(ordered, place):
    shot = ordered.campaign.shots.get(number=1)
    stripes = np.zeros((3200, 4800, 3), np.uint8)
    stripes[:, ::2] = 255  # one pixel wide: at half size they would be grey
    held = io.BytesIO()
    Image.fromarray(stripes).save(held, "JPEG", quality=95)
    pictures.add_mockup(ordered, shot.key, file=upload("stripes.jpg", data=held.getvalue()))
    close = place(format="96-sheet")
    formats.set_crop(ordered, close.key, crop=[0.0, 0.0, 0.25, 0.09375])  # 1200 px, shown in 2400
    look(Preview.objects.get(placement=place()).work_id)  # for itself, half the size would be enough
    row = pixels(seen(ordered, close).files["bare"])[300, 100:2300, 0]
    assert row.min() < 40
    assert row.max() > 215
