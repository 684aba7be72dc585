"""Protects the pictures for live view: laid over a frame, crop and hero fall where the plan says, to the pixel."""

from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from layouts.imaging.composite import premultiply
from layouts.imaging.framing.geometry import whole_pixels
from layouts.imaging.framing.overlay import (
    crops_overlay,
    hero_box,
    index_text,
    mask,
    placement_overlay,
    sheet,
)
from layouts.imaging.framing.plan import plan
from layouts.imaging.framing.problem import Placement, Problem
from layouts.imaging.geometry import Rect

RED, WHITE = (255, 0, 0, 255), (255, 255, 255)


@pytest.fixture(params=[(1200, 900), (1237, 801)], ids=["even", "odd"])
def problem(request):
    """Two captures on a camera small enough to lay pictures over its whole frame."""
    return Problem(
        request.param, 1.4,
        (
            Placement("roadside", 2.0, (0.52, 0.22, 0.92, 0.9), (840, 420)),
            Placement("shelter", 2 / 3, (0.12, 0.42, 0.88, 0.86), (340, 510), (0.5, 1)),
            Placement("column", 0.35, (0.1, 0.56, 0.9, 0.84), (200, 571)),
        ),
    )  # fmt: skip


def layout(surround=0):
    """A red band over the lower third of a clear window of 400 x 300, in a black surround."""
    whole = np.zeros((300 + 2 * surround, 400 + 2 * surround, 4), np.uint8)
    whole[...] = (0, 0, 0, 255)
    window = whole[surround : surround + 300, surround : surround + 400]
    window[...] = 0
    window[200:] = RED
    return premultiply(whole), Rect(surround, surround, 400, 300)


def laid(overlay, frame):
    """The overlay over a frame, by Pillow."""
    below = Image.fromarray(frame).convert("RGBA")
    return np.asarray(Image.alpha_composite(below, Image.fromarray(overlay)).convert("RGB"))


def extent(flags):
    rows, columns = np.flatnonzero(flags.any(axis=1)), np.flatnonzero(flags.any(axis=0))
    return columns[0], rows[0], columns[-1] + 1, rows[-1] + 1


def every_crop(problem):
    for capture in plan(problem).captures:
        on = sheet(capture.framing, max(problem.camera))
        assert (on.width, on.height) == (capture.framing.width, capture.framing.height)
        for crop in capture.crops:
            yield capture, on, crop


@pytest.mark.parametrize("surround", [0, 50])
def test_over_a_grey_frame_the_crop_stays_and_the_rest_is_dimmed(problem, surround):
    for _, on, crop in every_crop(problem):
        frame = np.full((on.height, on.width, 3), 200, np.uint8)
        seen = laid(placement_overlay(on, crop, *layout(surround), dimmed=0.6), frame)
        bright = (seen == 200).all(axis=2) | ((seen[..., 0] > 250) & (seen[..., 1] < 5))
        left, top, right, bottom = extent(bright)
        assert abs(left - crop.x) <= 0.5
        assert abs(top - crop.y) <= 0.5
        assert abs(right - (crop.x + crop.width)) <= 0.5
        assert abs(bottom - (crop.y + crop.height)) <= 0.5
        assert (seen[~bright][:, 0] == 80).mean() > 0.98, "200 dimmed by 0.6; but for the band's soft edge"
        red = extent((seen[..., 0] > 220) & (seen[..., 1] < 40))
        assert red[1] == pytest.approx(crop.y + crop.height * 2 / 3, abs=1 + crop.height / 300), (
            "the band starts where the layout has it"
        )
        assert (red[0], red[2], red[3]) == (left, right, bottom)


def test_the_hero_in_the_frame_lies_in_its_marks_and_in_the_zone(problem):
    """A frame in which the hero stands where the plan says; what the overlay marks about it, and where the zone is."""
    for capture, on, crop in every_crop(problem):
        x, y, wide, high = capture.framing.pixels(hero_box(problem.hero_aspect))
        clear = np.zeros((30, 40, 4), np.uint8)
        plain = placement_overlay(on, crop, clear, Rect(0, 0, 40, 30))
        marked = placement_overlay(on, crop, clear, Rect(0, 0, 40, 30), hero_aspect=problem.hero_aspect)
        left, top, right, bottom = extent((plain != marked).any(axis=2))
        assert max(abs(left - x), abs(top - y), abs(right - x - wide), abs(bottom - y - high)) <= 0.5
        x0, y0, x1, y1 = crop.placement.zone
        assert left >= crop.x + x0 * crop.width - 1
        assert right <= crop.x + x1 * crop.width + 1
        assert top >= crop.y + y0 * crop.height - 1
        assert bottom <= crop.y + y1 * crop.height + 1


def test_a_mask_is_the_crop_and_nothing_else(problem):
    for _, on, crop in every_crop(problem):
        cut = mask(on, crop)
        assert set(np.unique(cut)) == {0, 255}
        left, top, right, bottom = extent(cut == 255)
        assert (cut == 255).sum() == (right - left) * (bottom - top)
        assert max(abs(left - crop.x), abs(top - crop.y)) <= 0.5
        assert max(abs(right - crop.x - crop.width), abs(bottom - crop.y - crop.height)) <= 0.5
        x, y, wide, high = crop.pixels
        assert max(abs(left - x), abs(top - y), abs(right - x - wide), abs(bottom - y - high)) <= 1


def test_all_crops_are_outlined_at_their_edges_and_named(problem):
    for capture in plan(problem).captures:
        on = sheet(capture.framing, max(problem.camera))
        seen = crops_overlay(on, capture)
        shown = [on.edges(crop.box) for crop in capture.crops]
        for left, top, right, bottom in shown:
            for corner in ((top, left), (top, right - 1), (bottom - 1, left), (bottom - 1, right - 1)):
                assert tuple(seen[corner]) == (255, 255, 255, 255), "every corner shows"
        whole = extent(seen[..., 3] > 0)
        lefts, tops, rights, bottoms = zip(*shown, strict=True)
        assert whole == (min(lefts), min(tops), max(rights), max(bottoms)), "nothing is drawn outside of the crops"


def test_crops_are_told_apart_by_their_lines_and_names(problem):
    """The same crops under other names differ in the labels alone; and no two lines have the same dashes."""
    found = plan(problem)
    capture = max(found.captures, key=lambda c: len(c.crops))
    on = sheet(capture.framing, 1200)
    other = replace(
        capture,
        crops=tuple(replace(c, placement=replace(c.placement, id=f"{c.placement.id} II")) for c in capture.crops),
    )
    differ = (crops_overlay(on, capture) != crops_overlay(on, other)).any(axis=2)
    assert 0 < differ.mean() < 0.05
    shares = []
    for crop in capture.crops:
        left, _, right, bottom = on.edges(crop.box)
        shares.append((crops_overlay(on, capture)[bottom - 1, left:right, 3] == 255).mean())
    assert len({round(share, 2) for share in shares}) == len(shares)


def test_at_3000_px_it_has_the_cameras_shape(problem):
    for capture in plan(problem).captures:
        on = sheet(capture.framing)
        assert max(on.width, on.height) == 3000
        assert on.width / on.height == pytest.approx(capture.framing.width / capture.framing.height, rel=1e-3)
        for crop in capture.crops:
            left, top, _, _ = on.edges(crop.box)
            assert left / on.width == pytest.approx(crop.x / capture.framing.width, abs=0.501 / on.width)
            assert top / on.height == pytest.approx(crop.y / capture.framing.height, abs=0.501 / on.height)


def test_sizes_and_shares_that_make_no_sense_are_refused(problem):
    capture = plan(problem).captures[0]
    for size in (10, 30_000):
        with pytest.raises(ValueError, match="64 to 20000 px"):
            sheet(capture.framing, size)
    with pytest.raises(ValueError, match="0 to 1"):
        placement_overlay(sheet(capture.framing, 640), capture.crops[0], *layout(), dimmed=2)


def test_the_index_names_each_file_with_its_crop(problem):
    capture = plan(problem).captures[0]
    names = [(f"{n}.png", str(crop.placement.id)) for n, crop in enumerate(capture.crops)]
    lines = index_text(capture, names).splitlines()
    assert lines[0].startswith(f"Frame: {capture.framing.width:g} x {capture.framing.height:g} px")
    for line, crop in zip(lines[2:], capture.crops, strict=True):
        assert f"{crop.placement.id}, crop {crop.pixels[2]} x {crop.pixels[3]} px" in line


def test_whole_pixels_stay_inside_the_frame():
    assert whole_pixels(10.6, 99.99995, 200) == (11, 100)
    assert whole_pixels(150.7, 50.0, 200) == (150, 50)
    assert whole_pixels(-0.4, 200.0, 200) == (0, 200)
