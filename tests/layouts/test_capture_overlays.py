"""Protects the pictures that go to set, as the worker makes them: crop and hero where the plan has them, to the pixel.

Everything is measured in the pixels of the files in the ZIP, laid over a frame that is drawn from the plan.
"""

import io
import re
import zipfile

import numpy as np
import pytest
from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage
from PIL import Image

from layouts.capture import asking, overlay_actions, overlay_orders
from layouts.capture.overlay_orders import Options
from layouts.formats.models import Format
from layouts.models import SetOverlay
from layouts.overlays import actions as overlays
from portal.access import Role
from portal.models import LogEntry, Work
from portal.work import actions as work
from tests.factories import member_of
from tests.layouts import layout_files
from tests.layouts.capture_scenes import accepted, lock, plannable
from tests.work import run_work

pytestmark = pytest.mark.django_db
GREY, GREEN = 200, (0, 160, 0)
# Camera, longer side of the pictures, and the way up that is then planned for.
FRAMES = {
    "landscape": ((2400, 1800), 2400, True),
    "odd": ((2401, 1607), 1237, True),
    "portrait": ((2401, 1607), 2401, False),
}


@pytest.fixture(params=FRAMES)
def made(request, ordered):
    """The pictures of a shot's first capture: their ZIP, the capture as planned, and the size of the pictures."""
    camera, side, landscape = FRAMES[request.param]
    layouts = ("48-sheet", "6-sheet") if landscape else ("6-sheet",)
    shot = plannable(ordered, camera=camera, layouts=layouts)
    if not landscape:
        shot.placements.exclude(format__name="6-sheet").update(wanted=False)
        Format.objects.filter(name="6-sheet").update(width_px=1200, height_px=1800)
    overlay_actions.ask_overlays(member_of(ordered.campaign, Role.OPERATOR), shot.key, Options(side, True, 60))
    run_work()
    capture = asking.planned(shot).captures[0]
    assert capture.framing.landscape == landscape
    return packed(SetOverlay.objects.get(shot=shot, capture=1)), capture, side, shot


def packed(row: SetOverlay) -> zipfile.ZipFile:
    row.refresh_from_db()
    assert row.work.state == Work.State.DONE, row.work.says
    with default_storage.open(row.work.result["files"]["zip"]["path"]) as held:
        return zipfile.ZipFile(io.BytesIO(held.read()))


def picture(pack, what: str) -> Image.Image:
    image = Image.open(io.BytesIO(pack.read(f"shot01-capture1-{what}")))
    image.load()
    return image


def scene(capture, size) -> np.ndarray:
    """A frame as it would be shot, drawn from the plan: grey, the hero a green rectangle at its place."""
    wide, high = size
    frame = np.full((high, wide, 3), GREY, np.uint8)
    left, top, right, bottom = hero(capture, size)
    frame[round(top) : round(bottom), round(left) : round(right)] = GREEN
    return frame


def placed(capture, box, size):
    """A box of the scene in pixels of a picture of the frame: left, top, right, bottom, unrounded."""
    framing, (wide, high) = capture.framing, size
    x, y, w, h = framing.pixels(box)
    across, down = wide / framing.width, high / framing.height
    return x * across, y * down, (x + w) * across, (y + h) * down


def hero(capture, size):
    framing = capture.framing
    aspect = 0.22 * 1200 / (0.35 * 800)  # the hero zone of `plannable`, by hand
    density = framing.density
    x, y = (-aspect / 2 - framing.box.left) * density, (-0.5 - framing.box.top) * density
    across, down = size[0] / framing.width, size[1] / framing.height
    return x * across, y * down, (x + aspect * density) * across, (y + density) * down


def extent(flags):
    rows, columns = np.flatnonzero(flags.any(axis=1)), np.flatnonzero(flags.any(axis=0))
    return columns[0], rows[0], columns[-1] + 1, rows[-1] + 1


def near(found, wanted, by=1.0) -> bool:
    return max(abs(a - b) for a, b in zip(found, wanted, strict=True)) <= by


def test_laid_over_a_frame_crop_and_hero_fall_where_the_plan_has_them(made):
    pack, capture, side, shot = made
    for crop in capture.crops:
        placement = shot.placements.get(key=crop.placement.id)
        if placement.language != "en-GB" or not placement.layouts.exists():
            continue
        name = f"{placement.format.name.lower()}-en-gb.png"
        over = picture(pack, name)
        assert max(over.size) == side
        frame = Image.fromarray(scene(capture, over.size)).convert("RGBA")
        seen = np.asarray(Image.alpha_composite(frame, over).convert("RGB")).astype(int)
        dimmed = (np.abs(seen - GREY * 0.4) <= 1).all(axis=2)
        left, top, right, bottom = placed(capture, crop.box, over.size)
        # From the pixels alone: what is not dimmed is the crop.
        assert near(extent(~dimmed), (left, top, right, bottom))
        inside = ~dimmed[round(top) : round(bottom), round(left) : round(right)]
        assert inside.mean() > 0.999
        # Where no layout has come, nothing but the hero's marks lies in the crop.
        bare = picture(pack, f"{placement.format.name.lower()}-cy.png")
        seen = np.asarray(Image.alpha_composite(frame, bare).convert("RGB"))
        assert near(extent((seen == 255).all(axis=2)), hero(capture, bare.size)), "its corners are marked"
        green = (np.abs(seen.astype(int) - np.array(GREEN)) <= 1).all(axis=2)
        assert near(extent(green), hero(capture, bare.size), by=1 + 4 * side / 1000), "and it is seen inside of them"


def test_the_layout_lies_in_its_place_without_its_surround(made):
    pack, capture, _, shot = made
    for crop in capture.crops:
        placement = shot.placements.get(key=crop.placement.id)
        if placement.language != "en-GB" or not placement.layouts.exists():
            continue
        over = np.asarray(picture(pack, f"{placement.format.name.lower()}-en-gb.png")).astype(int)
        left, top, right, bottom = placed(capture, crop.box, over.shape[1::-1])
        inside = over[round(top) : round(bottom), round(left) : round(right)]
        bar = (np.abs(inside - [20, 20, 20, 255]) <= 8).all(axis=2)
        wide, high = right - left, bottom - top
        # As it is drawn: 6 to 30 % across, 80 to 84 % down; a pixel of the layout's own may be wider than one here.
        blur = 1 + wide / 600
        assert near(extent(bar), (0.06 * wide, 0.8 * high, 0.3 * wide, 0.84 * high), by=blur)
        assert (inside[:3][..., 3] == 0).all(), "no surround at the edge"


def test_masks_are_the_crops_and_languages_of_one_crop_share_theirs(made):
    pack, capture, _, shot = made
    masks = [name for name in pack.namelist() if name.endswith("-mask.png")]
    formats = {shot.placements.get(key=crop.placement.id).format.name for crop in capture.crops}
    assert len(masks) == len(formats), "both languages have the same crop"
    for crop in capture.crops:
        name = shot.placements.get(key=crop.placement.id).format.name.lower()
        mask = picture(pack, f"{name}-mask.png")
        cut = np.asarray(mask)
        assert mask.mode == "L"
        assert set(np.unique(cut)) == {0, 255}
        found = extent(cut == 255)
        assert near(found, placed(capture, crop.box, mask.size))
        assert (cut == 255).sum() == (found[2] - found[0]) * (found[3] - found[1])
        over = np.asarray(picture(pack, f"{name}-cy.png"))
        assert ((over[..., 3] == 153) == (cut == 0)).mean() > 0.999, "the mask is what the overlay leaves undimmed"


def test_the_outlined_one_shows_every_crop_within_a_pixel(made):
    pack, capture, _, _ = made
    seen = picture(pack, "all-crops.png")
    pixels = np.asarray(seen)
    white = (pixels == 255).all(axis=2)
    for crop in capture.crops:
        left, top, right, bottom = (round(edge) for edge in placed(capture, crop.box, seen.size))
        for y in (top, bottom - 1):
            for x in (left, right - 1):
                assert white[y - 1 : y + 2, x - 1 : x + 2].any(), "every corner shows"
        for line in (white[top:bottom, left - 1 : left + 2], white[bottom - 2 : bottom + 1, left:right].T):
            assert line.any(axis=1).mean() > 0.2, "along the edge the line is drawn, dashed or whole"
    every = [placed(capture, crop.box, seen.size) for crop in capture.crops]
    outer = (min(e[0] for e in every), min(e[1] for e in every), max(e[2] for e in every), max(e[3] for e in every))
    assert near(extent(pixels[..., 3] > 0), outer), "nothing is drawn outside of the crops"


def test_names_are_plain_and_the_index_says_what_each_file_is(made):
    pack, capture, _, _ = made
    names = pack.namelist()
    assert all(re.fullmatch(r"shot01-capture1-[a-z0-9-]+\.(png|txt)", name) for name in names)
    assert len({name.lower() for name in names}) == len(names)
    assert {info.compress_type for info in pack.infolist()} == {zipfile.ZIP_STORED}
    assert {info.date_time for info in pack.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    index = pack.read("shot01-capture1-index.txt").decode()
    assert all(name in index for name in names if name.endswith(".png"))
    assert f"The frame is {capture.framing.width:g} x {capture.framing.height:g} px." in index
    for crop in capture.crops:
        x, y, wide, high = crop.pixels
        assert f"crop {wide} x {high} px at {x}, {y} of the frame; {crop.spare:.2f} times" in index


def test_the_brief_that_it_was_drawn_from_stands_in_the_index_and_in_every_picture(ordered):
    shot = plannable(ordered)
    version = lock(ordered.campaign)
    ordered.campaign.refresh_from_db()
    overlay_actions.ask_overlays(ordered, shot.key, Options(800))
    run_work()
    (row,) = SetOverlay.objects.filter(shot=shot)
    pack = packed(row)
    stamp = f"version 1, locked, {version.digest[:4]} {version.digest[4:8]}"
    index = pack.read("shot01-capture1-index.txt").decode()
    assert f"Brief: {stamp}\nSHA-256: {version.digest}\n" in index
    assert f"/check/v1-{version.digest[:16]}" in index
    pictures = [name for name in pack.namelist() if name.endswith(".png")]
    for name in pictures:
        with Image.open(io.BytesIO(pack.read(name))) as image:
            code = ordered.campaign.code
            assert image.info["Source"] == f"{code}, {stamp}, SHA-256 {version.digest}"
            assert image.info["Title"].startswith("Shot 1, capture 1 of 1: ")
    assert row.version == version


def test_a_locked_brief_gives_its_own_layouts_and_plan_whatever_has_come_since(ordered):
    shot = plannable(ordered)
    accepted(shot)
    lock(ordered.campaign)
    ordered.campaign.refresh_from_db()
    before = overlay_orders_of(ordered.campaign, shot)
    row = shot.placements.get(format__name="48-sheet", language="en-GB")
    was = row.layouts.get().file.sha256
    # As an accepted change would let it, a new revision comes and the camera is another.
    campaign = ordered.campaign
    version, campaign.locked_version = campaign.locked_version, None
    campaign.save(update_fields=["locked_version"])
    overlays.receive_files(ordered, files=[layout_files.upload("48.png", words="Other words")], placement=row.key)
    run_work()
    shot.camera.width_px = 4800
    shot.camera.save()
    campaign.locked_version = version
    campaign.save(update_fields=["locked_version"])
    shot.refresh_from_db()
    after = overlay_orders_of(campaign, shot)
    assert all(overlay_orders.same(one, other) for one, other in zip(before, after, strict=True))
    assert was in {crop["layout"] for crop in after[0]["crops"]}
    assert after[0]["frame"]["width"] == 2400


def overlay_orders_of(campaign, shot):
    from layouts.capture import overlay_source

    shot.campaign = campaign
    return overlay_orders.orders(campaign, overlay_source.source(campaign, shot), None, Options())


def test_a_version_without_an_accepted_plan_says_so(ordered):
    shot = plannable(ordered)
    lock(ordered.campaign)
    ordered.campaign.refresh_from_db()
    overlay_actions.ask_overlays(ordered, shot.key, Options(600))
    run_work()
    index = packed(SetOverlay.objects.get(shot=shot)).read("shot01-capture1-index.txt").decode()
    assert "nobody has accepted it for version 1" in " ".join(index.split())


def test_the_same_order_makes_the_same_bytes_and_is_not_drawn_twice(ordered):
    shot = plannable(ordered)
    operator, photographer = (member_of(ordered.campaign, role) for role in (Role.OPERATOR, Role.PHOTOGRAPHER))
    (row,) = overlay_actions.ask_overlays(operator, shot.key, Options(600))
    (again,) = overlay_actions.ask_overlays(photographer, shot.key, Options(600))
    assert (row.pk, row.work_id) == (again.pk, again.work_id)
    assert LogEntry.objects.filter(act="overlays.asked").count() == 1
    (done,) = run_work(overlay_orders.KIND)
    first = packed(row).fp.getvalue()
    Work.objects.filter(pk=done.pk).update(state=Work.State.OWED)
    run_work(overlay_orders.KIND)
    assert packed(row).fp.getvalue() == first


def test_what_a_killed_worker_left_is_made_after_the_sweep(ordered):
    shot = plannable(ordered)
    (row,) = overlay_actions.ask_overlays(ordered, shot.key, Options(600))
    assert work.claim(row.work_id)
    work.sweep(dead=[work.me()])
    run_work()
    assert packed(row).testzip() is None


def test_a_lost_prepared_form_is_no_loss_and_a_large_picture_is_drawn_from_the_file_itself(ordered):
    shot = plannable(ordered)
    for layout in shot.placements.get(format__name="48-sheet", language="en-GB").layouts.all():
        default_storage.delete(layout.work.result["prepared"])
    overlay_actions.ask_overlays(ordered, shot.key, Options(3300))
    run_work()
    pack = packed(SetOverlay.objects.get(shot=shot))
    over = np.asarray(picture(pack, "48-sheet-en-gb.png"))
    assert over.shape == (2475, 3300, 4)
    assert ((over[..., :3] == 20).all(axis=2) & (over[..., 3] == 255)).any(), "the bar of the layout"


def test_more_than_one_piece_of_work_may_draw_is_refused_with_a_size_that_fits(ordered, monkeypatch):
    shot = plannable(ordered)
    monkeypatch.setattr(overlay_orders, "MOST_PIXELS", 100_000_000)
    with pytest.raises(ValidationError, match=r"Ask for (\d+) px or less") as refused:
        overlay_actions.ask_overlays(ordered, shot.key, Options(12_000))
    fits = int(re.search(r"for (\d+) px", str(refused.value))[1])
    assert not SetOverlay.objects.exists()
    overlay_actions.ask_overlays(ordered, shot.key, Options(fits))


def test_without_a_plan_there_is_nothing_to_ask_for(ordered):
    with pytest.raises(ValidationError, match="no mockup yet"):
        overlay_actions.ask_overlays(ordered, ordered.campaign.shots.get(number=2).key, Options())


def test_formats_whose_names_are_in_other_letters_keep_names_of_their_own(ordered):
    campaign = ordered.campaign
    campaign.formats.filter(name="48-sheet").update(name="Πινακίδα")
    campaign.formats.filter(name="96-sheet").update(name="Плакат")
    campaign.formats.filter(name="6-sheet").update(name="Größe/Süd: “neu”?")
    shot = plannable(ordered, layouts=())
    overlay_actions.ask_overlays(ordered, shot.key, Options(500))
    run_work()
    names = packed(SetOverlay.objects.get(shot=shot)).namelist()
    assert len(set(names)) == len(names) == 11
    assert "shot01-capture1-grosse-sud-neu-cy.png" in names
    assert {f"shot01-capture1-crop-{n}-mask.png" for n in (1, 2)} <= set(names)
