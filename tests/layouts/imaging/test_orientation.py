"""Protects pictures from lying on their side: the eight orientations of EXIF, in every type that can carry them.

What each means: CIPA DC-008 (Exif 2.32), 4.6.4, tag 0112: which edge of what is seen the stored first row and first
column are. Held against that table, worked here, and against libvips.
"""

import numpy as np
import pytest
import pyvips
from PIL import Image

from layouts.imaging.decoding.decode import load_upright, open_strips
from layouts.imaging.decoding.files import sniff

SEEN = np.zeros((48, 64, 4), np.uint8)  # halves of whole blocks, for JPEG
SEEN[..., 3] = 255
SEEN[:24, :32, 0], SEEN[:24, 32:, 1], SEEN[24:, :32, 2] = 255, 255, 255  # red, green; blue, black

# Where the stored first row and first column are in what is seen -> how it has to be stored.
STORED = {
    1: SEEN,  # top, left
    2: SEEN[:, ::-1],  # top, right
    3: SEEN[::-1, ::-1],  # bottom, right
    4: SEEN[::-1],  # bottom, left
    5: SEEN.swapaxes(0, 1),  # left, top
    6: SEEN[:, ::-1].swapaxes(0, 1),  # right, top
    7: SEEN[::-1, ::-1].swapaxes(0, 1),  # right, bottom
    8: SEEN[::-1].swapaxes(0, 1),  # left, bottom
}


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("ending", ["jpg", "png", "tif", "webp"])
def test_what_is_stored_in_any_orientation_is_seen_upright(tmp_path, ending, orientation):
    path = tmp_path / f"a.{ending}"
    image = Image.fromarray(np.ascontiguousarray(STORED[orientation]))
    exif = Image.Exif()
    exif[0x0112] = orientation
    more = {"jpg": {"quality": 95, "subsampling": 0}, "webp": {"lossless": True}}.get(ending, {})
    (image.convert("RGB") if ending == "jpg" else image).save(path, exif=exif, **more)

    facts = sniff(path)
    by_strips = np.concatenate(list(open_strips(path).rows)).astype(int)
    whole = np.asarray(load_upright(path).convert("RGBA")).astype(int)
    other = pyvips.Image.new_from_file(str(path)).autorot().numpy().astype(int)

    off = 3 if ending == "jpg" else 0
    assert (facts.width, facts.height, facts.orientation) == (64, 48, orientation)
    assert np.abs(by_strips - SEEN).max() <= off
    assert np.abs(whole - SEEN).max() <= off
    assert np.abs(other - SEEN[..., : other.shape[2]]).max() <= off
