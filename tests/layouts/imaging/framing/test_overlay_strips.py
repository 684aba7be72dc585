"""Protects pictures for live view of any size: made in strips they are what they are whole, and so is their file."""

import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from layouts.imaging.composite import premultiply, resize_layer, unpremultiply
from layouts.imaging.decoding.png_strips import write_png
from layouts.imaging.framing import overlay
from layouts.imaging.framing.geometry import Box, Framing
from layouts.imaging.geometry import Rect

FRAMING = Framing(True, 1237.0, 801.0, 400.0, Box(-1.5, -1.0, -1.5 + 1237 / 400, -1.0 + 801 / 400))
CROP = Box(-1.21, -0.83, 1.37, 0.71)


def noise(high=190, wide=310, seed=4):
    rng = np.random.default_rng(seed)
    return premultiply(rng.integers(0, 256, (high, wide, 4), dtype=np.uint8))


def joined(strips):
    return np.concatenate(list(strips))


@pytest.fixture
def thin(monkeypatch):
    """Strips of a few rows, and no layout brought to its size at once."""
    monkeypatch.setattr(overlay, "_STRIP", 12_000)
    monkeypatch.setattr(overlay, "_AT_ONCE", 0)


@pytest.mark.parametrize("window", [Rect(0, 0, 310, 190), Rect(20.4, 11.7, 250.3, 149.6)])
@pytest.mark.parametrize("side", [1237, 700, 500])
def test_a_layout_laid_in_strips_is_the_layout_laid_whole(thin, window, side):
    """Enlarged and reduced; whole means `resize_layer` of all of it."""
    on = overlay.sheet(FRAMING, side)
    strips = list(overlay.placement_strips(on, CROP, noise(), window, dimmed=0.5))
    assert len(strips) > 10
    left, top, right, bottom = on.edges(CROP)
    whole = np.zeros((on.height, on.width, 4), np.uint8)
    whole[..., 3] = 128
    whole[top:bottom, left:right] = unpremultiply(
        np.ascontiguousarray(resize_layer(noise(), (right - left, bottom - top), window))
    )
    differ = np.abs(premultiply(joined(strips)).astype(int) - premultiply(whole).astype(int))
    # The places that pixels are taken from are rounded to 1/32 px, in a strip from another origin.
    assert differ.max() <= 10
    assert differ.mean() < 0.5


def test_that_comparison_sees_a_strip_that_is_a_row_too_low(thin):
    on = overlay.sheet(FRAMING, 1237)
    made = joined(overlay.placement_strips(on, CROP, noise(), Rect(0, 0, 310, 190), dimmed=0.5))
    moved = np.roll(made, 1, axis=0)
    assert np.abs(premultiply(moved).astype(int) - premultiply(made).astype(int)).max() > 40


def test_marks_and_masks_do_not_depend_on_strips(monkeypatch):
    on = overlay.sheet(FRAMING, 1237)
    crops, hero = [("1  Wide", CROP), ("2  Tall", Box(-0.4, -0.9, 0.5, 0.8))], overlay.hero_box(1.3)
    marks = joined(overlay.crops_strips(on, crops, hero=hero))
    cut = joined(overlay.mask_strips(on, CROP))
    monkeypatch.setattr(overlay, "_STRIP", 7000)
    assert np.array_equal(joined(overlay.crops_strips(on, crops, hero=hero)), marks)
    assert np.array_equal(joined(overlay.mask_strips(on, CROP)), cut)


def test_without_a_layout_the_crop_is_clear():
    on = overlay.sheet(FRAMING, 640)
    left, top, right, bottom = on.edges(CROP)
    made = joined(overlay.placement_strips(on, CROP, None, None, dimmed=1))
    assert not made[top:bottom, left:right].any()
    assert (made[:top, :, 3] == 255).all()


@pytest.mark.parametrize("shape", [(97, 131, 4), (97, 131), (1, 1, 4)])
def test_a_written_png_holds_the_pixels_and_the_words(tmp_path, shape):
    pixels = np.random.default_rng(2).integers(0, 256, shape, dtype=np.uint8)
    strips = [pixels[at : at + 10] for at in range(0, shape[0], 10)]
    words = {"Title": "Schlüssel", "Source": "Σούπα, version 2"}
    write_png(tmp_path / "a.png", shape[1], shape[0], strips, words)
    with Image.open(tmp_path / "a.png") as image:
        image.load()
        assert image.mode == ("RGBA" if len(shape) == 3 else "L")
        assert np.array_equal(np.asarray(image), pixels)
        assert {name: str(image.info[name]) for name in words} == words
    write_png(tmp_path / "b.png", shape[1], shape[0], [pixels], words)
    first, second = (unpacked((tmp_path / name).read_bytes()) for name in ("a.png", "b.png"))
    assert first == second, "the same lines, however they came"


def unpacked(data: bytes) -> bytes:
    """The filtered rows of a PNG, read by hand; every chunk's sum is looked at."""
    at, packed = 8, b""
    while at < len(data):
        (length,) = struct.unpack(">I", data[at : at + 4])
        kind, held = data[at + 4 : at + 8], data[at + 8 : at + 8 + length]
        assert struct.unpack(">I", data[at + 8 + length : at + 12 + length])[0] == zlib.crc32(kind + held)
        packed += held if kind == b"IDAT" else b""
        at += 12 + length
    return zlib.decompress(packed)


def test_strips_that_do_not_make_the_picture_are_refused(tmp_path):
    rows = np.zeros((4, 10, 4), np.uint8)
    for wide, high, strips in ((10, 9, [rows, rows]), (11, 4, [rows]), (10, 8, [rows, rows[..., 0]])):
        with pytest.raises(ValueError, match=r"belong|rows"):
            write_png(tmp_path / "a.png", wide, high, strips)
