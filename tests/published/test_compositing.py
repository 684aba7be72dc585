"""Protects compositing and orientation against sources outside the project.

Marks: P published figure or standard; F follows from the named formula, worked by hand; R recomputed with the program
or library named.
"""

import shutil
import subprocess

import numpy as np
import pytest
import pyvips
from PIL import Image

from layouts.imaging.composing.preview import render_preview
from layouts.imaging.composite import premultiply, source_over
from layouts.imaging.decoding.reading import read_picture


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


@pytest.fixture
def noise(tmp_path):
    """Every alpha over every shade, and noise: layout.png and backdrop.png of one size."""
    rng = np.random.default_rng(7)
    layer = rng.integers(0, 256, (256, 256, 4), dtype=np.uint8)
    backdrop = rng.integers(0, 256, (256, 256, 3), dtype=np.uint8)
    layer[..., 3] = np.arange(256)[:, None]
    backdrop[..., 1] = np.arange(256)[None, :]
    Image.fromarray(layer).save(tmp_path / "layout.png")
    Image.fromarray(backdrop).save(tmp_path / "backdrop.png")
    return tmp_path


def ours(folder):
    render_preview(folder / "layout.png", folder / "backdrop.png", out=folder / "out.png", width=256)
    with Image.open(folder / "out.png") as out:
        return np.asarray(out).astype(int)


def imagemagick(*arguments):
    """ImageMagick 7 calls itself magick, 6 convert; a missing program fails the test, it does not skip it."""
    program = shutil.which("magick") or shutil.which("convert")
    assert program, "ImageMagick is needed: the package imagemagick"
    subprocess.run([program, *map(str, arguments)], check=True)


def test_a_preview_agrees_with_imagemagick(noise):
    """R ImageMagick, -compose over, at 16 bits a channel: to one level."""
    folder = noise
    imagemagick(folder / "backdrop.png", folder / "layout.png", "-compose", "over", "-composite",
                "-depth", "8", f"png24:{folder / 'theirs.png'}")  # fmt: skip

    with Image.open(folder / "theirs.png") as image:
        theirs = np.asarray(image).astype(int)
    assert theirs.shape == (256, 256, 3)
    assert np.abs(ours(folder) - theirs).max() <= 1


def test_a_preview_agrees_with_libvips(noise):
    """R libvips, composite2 over: to one level."""
    layout, backdrop = (pyvips.Image.new_from_file(str(noise / f"{name}.png")) for name in ("layout", "backdrop"))
    theirs = backdrop.composite2(layout, "over").numpy()[..., :3]

    assert np.abs(ours(noise) - theirs.astype(int)).max() <= 1


def test_a_preview_agrees_with_the_formula(noise):
    """P W3C Compositing and Blending Level 1, 9.1.4, worked in floating point: to one level."""
    with Image.open(noise / "layout.png") as layout, Image.open(noise / "backdrop.png") as backdrop:
        layer, base = np.asarray(layout).astype(float), np.asarray(backdrop).astype(float)
    alpha = layer[..., 3:] / 255

    assert np.abs(ours(noise) - (layer[..., :3] * alpha + base * (1 - alpha))).max() <= 1


@pytest.mark.parametrize("step", [2, 4])
def test_a_reduced_preview_is_what_imagemagick_lays_over_and_then_reduces(noise, step):
    """R ImageMagick, over a flat ground: laid over at full size, then each step by step pixels made one."""
    folder, side = noise, 256 // step
    Image.new("RGB", (256, 256), (70, 120, 40)).save(folder / "backdrop.png")
    imagemagick(folder / "backdrop.png", folder / "layout.png", "-compose", "over", "-composite", "-filter", "box",
                "-resize", f"{side}x{side}!", "-depth", "8", f"png24:{folder / 'theirs.png'}")  # fmt: skip

    render_preview(folder / "layout.png", folder / "backdrop.png", out=folder / "out.png", width=side)

    with Image.open(folder / "out.png") as out, Image.open(folder / "theirs.png") as theirs:
        assert np.abs(np.asarray(out).astype(int) - np.asarray(theirs)).max() <= 2


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
