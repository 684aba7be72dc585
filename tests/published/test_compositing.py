"""Protects compositing and orientation against sources outside the project.

Marks: P published figure or standard; F follows from the named formula, worked by hand.
"""

import numpy as np
import pytest
from PIL import Image

from layouts.imaging.composite import premultiply, source_over
from layouts.imaging.preview import render_preview
from layouts.imaging.reading import read_picture


def over(backdrop, colour, alpha):
    layer = premultiply(np.array([[[colour, colour, colour, alpha]]], np.uint8))
    return int(source_over(np.full((1, 1, 3), backdrop, np.uint8), layer)[0, 0, 0])


def test_source_over_by_hand():
    """P W3C Compositing and Blending Level 1, section 9 (Porter and Duff 1984): 200 at 128/255 over 50 is 125.294."""
    assert over(50, 200, 128) == 125


def test_white_at_one_half_over_black():
    """P same: 127.5 exactly, in floating point; either neighbour in 8 bits."""
    layer = np.array([[[0.5, 0.5, 0.5, 0.5]]])

    assert source_over(np.zeros((1, 1, 3)), layer)[0, 0, 0] * 255 == 127.5
    assert over(0, 255, 128) in (127, 128)


def test_source_over_with_opacity_by_hand():
    """F co = cs as + cb (1 - as): 0.8 at alpha 0.5, laid at opacity 0.4, over 0.1 is 0.8 x 0.2 + 0.1 x 0.8 = 0.24."""
    layer = np.array([[[0.4, 0.4, 0.4, 0.5]]])

    assert source_over(np.full((1, 1, 3), 0.1), layer, 0.4)[0, 0, 0] == pytest.approx(0.24)


def test_a_whole_preview_by_hand(tmp_path):
    """P same, through files: 200 at 128/255 over 50."""
    Image.new("RGB", (40, 20), (50, 50, 50)).save(tmp_path / "backdrop.png")
    Image.new("RGBA", (40, 20), (200, 200, 200, 128)).save(tmp_path / "layout.png")

    render_preview(tmp_path / "layout.png", tmp_path / "backdrop.png", out=tmp_path / "out.png", width=40)

    with Image.open(tmp_path / "out.png") as out:
        assert out.getcolors() == [(800, (125, 125, 125))]


# P CIPA DC-008 (Exif), tag 0112: where the stored 0th row and 0th column lie in the visual picture.
ROW_AND_COLUMN = {
    1: ("top", "left"), 2: ("top", "right"), 3: ("bottom", "right"), 4: ("bottom", "left"),
    5: ("left", "top"), 6: ("right", "top"), 7: ("right", "bottom"), 8: ("left", "bottom"),
}  # fmt: skip


def stored(visual, row, column):
    """The picture as a camera would store it, built from the words of the standard, pixel by pixel."""
    height, width = visual.shape[:2]
    turned = row in ("left", "right")
    out = np.empty((width, height, 3) if turned else visual.shape, np.uint8)
    for r in range(out.shape[0]):
        for c in range(out.shape[1]):
            along_row, along_column = (c, r) if turned else (r, c)
            y = along_row if "top" in (row, column) else height - 1 - along_row
            x = along_column if "left" in (row, column) else width - 1 - along_column
            out[r, c] = visual[y, x]
    return out


@pytest.mark.parametrize("orientation", ROW_AND_COLUMN)
@pytest.mark.parametrize("ending", ["tif", "png"])
def test_the_eight_orientations_turn_one_reference_picture_to_the_same_pixels(tmp_path, orientation, ending):
    """P CIPA DC-008."""
    reference = np.random.default_rng(2).integers(0, 256, (18, 26, 3), dtype=np.uint8)
    exif = Image.Exif()
    exif[0x0112] = orientation
    path = tmp_path / f"a.{ending}"
    Image.fromarray(stored(reference, *ROW_AND_COLUMN[orientation])).save(path, exif=exif)

    assert np.array_equal(read_picture(path), reference)
