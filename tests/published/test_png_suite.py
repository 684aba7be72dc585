"""Protects the reading of PNG: PngSuite's valid pictures to the same pixels as another reader, its broken ones refused.

PngSuite, Willem van Schaik, 1996 and 2011 (release of 19 July 2017), www.schaik.com/pngsuite; it may be copied and
distributed for any purpose. `png_suite.zip` holds it whole, with its licence. The other reader is libvips, which reads
PNG through libpng or libspng; 16 bits are narrowed to 8 by v * 255 / 65535, rounded (PNG specification, 13.12).
"""

import io
import zipfile
from pathlib import Path

import numpy as np
import pytest
import pyvips

from layouts.imaging.decoding import decode, files
from layouts.imaging.decoding.decode import load_upright, open_strips
from layouts.imaging.errors import Refused

SUITE = zipfile.ZipFile(io.BytesIO(Path(__file__).with_name("png_suite.zip").read_bytes()))
NAMES = sorted(name for name in SUITE.namelist() if name.endswith(".png"))
VALID = [name for name in NAMES if not name.startswith("x")]
BROKEN = [name for name in NAMES if name.startswith("x")]


@pytest.fixture(autouse=True)
def small_pictures(monkeypatch):
    """The suite's pictures are 1 to 40 px; strips of a few rows, so that they have seams."""
    monkeypatch.setattr(files, "MIN_SIDE", 1)
    monkeypatch.setattr(decode, "_STRIP_BYTES", 1)


def put(tmp_path, name):
    path = tmp_path / name
    path.write_bytes(SUITE.read(name))
    return path


def by_libvips(path):
    """RGBA of 8 bits."""
    image = pyvips.Image.new_from_file(str(path))
    pixels = image.numpy().reshape(image.height, image.width, image.bands).astype(np.float64)
    if image.format == "ushort":
        pixels = np.floor(pixels * 255 / 65535 + 0.5)
    out = np.full((image.height, image.width, 4), 255, np.uint8)
    out[..., :3] = pixels[..., :3] if image.bands >= 3 else pixels[..., :1]
    if image.bands in (2, 4):
        out[..., 3] = pixels[..., -1]
    return out


def test_the_suite_is_whole():
    assert (len(VALID), len(BROKEN)) == (161, 14)


@pytest.mark.parametrize("name", VALID)
def test_valid_picture_is_read_to_the_same_pixels(tmp_path, name):
    path = put(tmp_path, name)
    wanted = by_libvips(path)
    # Interlaced pictures of 16 bits lose their low byte before they can be rounded.
    off = 1 if name[3] == "i" and name[6:8] == "16" else 0

    strips = open_strips(path)
    by_strips = np.concatenate(list(strips.rows)).astype(int)
    whole = np.asarray(load_upright(path).convert("RGBA")).astype(int)

    assert np.abs(by_strips - wanted).max() <= off
    assert np.abs(whole - wanted).max() <= off
    assert strips.facts.has_alpha or (wanted[..., 3] == 255).all()


@pytest.mark.parametrize("name", BROKEN)
def test_broken_picture_is_refused_with_a_sentence(tmp_path, name):
    with pytest.raises(Refused) as refusal:
        list(open_strips(put(tmp_path, name)).rows)

    assert refusal.value.sentence.endswith(".")
