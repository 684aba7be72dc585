"""Protects colours on their way to sRGB: wide-gamut frames go neither dull nor neon, ink and 16 bits keep their values.

Marks: P published figure or standard; R recomputed with the program named; F follows from the named formula.
"""

import shutil
import subprocess

import cv2
import numpy as np
import pytest
from PIL import Image, ImageCms

from layouts.imaging.colour import delta_e_2000, srgb_to_lab
from layouts.imaging.composing.preview import render_preview
from layouts.imaging.decoding.profiles import press_profile, to_srgb
from layouts.imaging.decoding.reading import read_layout, read_picture
from tests.published.colour_spaces import SPACES, SRGB


def patches(seed=3):
    """96 x 64 px: flat patches of 16 px, so that a JPEG keeps their middles."""
    values = np.random.default_rng(seed).integers(25, 236, (4, 6, 3), dtype=np.uint8)
    return values, np.kron(values, np.ones((16, 16, 1), np.uint8))


def middles(pixels):
    return pixels[8::16, 8::16].astype(float)


def within(found, wanted, limit):
    """Patches whose colour lies in sRGB are to be met; the others are cut to its edge channel by channel."""
    inside = ((wanted >= 0) & (wanted <= 255)).all(axis=-1)
    assert inside.sum() >= 5
    assert np.abs(found - np.clip(wanted, 0, 255)).max() <= limit


@pytest.mark.parametrize("name", SPACES)
@pytest.mark.parametrize(("ending", "limit"), [("png", 1.6), ("tif", 1.6), ("jpg", 5)])
def test_a_wide_gamut_frame_comes_out_by_its_numbers(tmp_path, name, ending, limit):
    """P the primaries, whites and curves of the three spaces, worked in the test; to the rounding of 8 bits."""
    values, pixels = patches()
    saving = {"quality": 98, "subsampling": "4:4:4"} if ending == "jpg" else {}
    Image.fromarray(pixels).save(tmp_path / f"a.{ending}", icc_profile=SPACES[name].profile(), **saving)

    found = middles(read_picture(tmp_path / f"a.{ending}"))

    within(found, SPACES[name].to_srgb(values / 255) * 255, limit)


@pytest.mark.parametrize("name", SPACES)
def test_it_goes_neither_dull_nor_neon(tmp_path, name):
    """P as above, in CIEDE2000: met to 1, where leaving the profile out or using it twice misses by far."""
    food = np.array([[[190, 60, 40], [205, 150, 70], [90, 130, 50], [235, 215, 180]]], np.uint8)
    space = SPACES[name]
    stored = _in_space(space, food)
    Image.fromarray(np.kron(stored, np.ones((16, 16, 1), np.uint8))).save(
        tmp_path / "a.tif", icc_profile=space.profile()
    )

    found = middles(read_picture(tmp_path / "a.tif"))

    lab = srgb_to_lab(food / 255)
    assert delta_e_2000(srgb_to_lab(found / 255), lab).max() < 1
    assert delta_e_2000(srgb_to_lab(stored / 255), lab).max() > 3, "dull: what a reader without profiles shows"
    twice = np.clip(space.to_srgb(found / 255), 0, 1)
    assert delta_e_2000(srgb_to_lab(twice), lab).max() > 3, "neon: converted twice"


def _in_space(space, srgb):
    """8-bit values of the space that are nearest to sRGB colours, by Newton's method on the published numbers."""
    values = srgb / 255
    for _ in range(40):
        values = np.clip(values + 0.6 * (srgb / 255 - space.to_srgb(values)), 0.001, 1)
    return np.round(values * 255).astype(np.uint8)


def test_a_profile_of_srgb_by_its_numbers_changes_nothing():
    """P IEC 61966-2-1: whatever the profile calls itself."""
    pixels = Image.fromarray(patches()[1])

    assert np.array_equal(np.asarray(to_srgb(pixels, SRGB.profile())), np.asarray(pixels))


@pytest.mark.parametrize("name", SPACES)
@pytest.mark.parametrize(("alpha", "limit"), [(255, 1.6), (153, 5)])
def test_a_wide_gamut_layout_is_converted_before_it_is_laid_over(tmp_path, name, alpha, limit):
    """P as above, over grey. Half-clear colours are kept premultiplied in 8 bits, which costs deep ones some levels."""
    values, pixels = patches(5)
    plane = np.full((*pixels.shape[:2], 1), alpha, np.uint8)
    layout = Image.fromarray(np.concatenate([pixels, plane], axis=2))
    layout.save(tmp_path / "layout.png", icc_profile=SPACES[name].profile())
    Image.new("RGB", layout.size, (120, 120, 120)).save(tmp_path / "backdrop.png")

    render_preview(tmp_path / "layout.png", tmp_path / "backdrop.png", out=tmp_path / "out.png", width=layout.width)

    with Image.open(tmp_path / "out.png") as out:
        found = middles(np.asarray(out))
    wanted = np.clip(SPACES[name].to_srgb(values / 255) * 255, 0, 255) * (alpha / 255) + 120 * (1 - alpha / 255)
    assert np.abs(found - wanted).max() <= limit


def inks():
    values = np.random.default_rng(8).integers(0, 200, (4, 6, 4), dtype=np.uint8)
    values[0] = [(255, 0, 0, 0), (0, 255, 0, 0), (0, 0, 255, 0), (0, 0, 0, 255), (0, 255, 255, 0), (0, 0, 0, 0)]
    pixels = np.kron(values, np.ones((16, 16, 1), np.uint8))
    return Image.frombytes("CMYK", (pixels.shape[1], pixels.shape[0]), pixels.tobytes())


def test_ink_is_shown_through_its_profile_as_imagemagick_shows_it(tmp_path):
    """R ImageMagick, relative colorimetric with black point compensation; it counts in 16 bits: to two levels."""
    inks().save(tmp_path / "a.tif", icc_profile=press_profile().tobytes())
    (tmp_path / "srgb.icc").write_bytes(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    program = shutil.which("magick") or shutil.which("convert")
    assert program, "ImageMagick is needed: the package imagemagick"
    subprocess.run(
        [program, tmp_path / "a.tif", "-intent", "relative", "-black-point-compensation", "-profile",
         tmp_path / "srgb.icc", "-depth", "8", f"png24:{tmp_path / 'theirs.png'}"], check=True,
    )  # fmt: skip

    found = read_picture(tmp_path / "a.tif")

    with Image.open(tmp_path / "theirs.png") as theirs:
        assert np.abs(found.astype(int) - np.asarray(theirs)).max() <= 2


SOLIDS = {"C": (55, -37, -50), "M": (48, 74, -3), "Y": (89, -5, 93), "K": (16, 0, 0), "M+Y": (47, 68, 48)}


def test_solid_inks_look_like_the_standard_says(tmp_path):
    """P ISO 12647-2:2004 / Amd 1; relative to its paper, L* 95, and its black brought to the screen's: worked here.

    Cyan and yellow lie outside sRGB, so those are only looked at for where they are cut.
    """
    inks().save(tmp_path / "a.tif", icc_profile=press_profile().tobytes())
    shown = middles(read_picture(tmp_path / "a.tif"))[0]

    assert shown[5].tolist() == [255, 255, 255]
    lab = srgb_to_lab(shown / 255)
    for at, ink in ((1, "M"), (4, "M+Y")):
        wanted = np.add(SOLIDS[ink], (3, 2, 3))  # white paper in place of L* 95: all is a little lighter
        assert delta_e_2000(lab[at], wanted) < 4, ink
    assert shown[0][0] == 0, "cyan has less red than sRGB can show"
    assert shown[2][2] < 40
    assert shown[3].max() < 60


def test_ink_without_a_profile_counts_as_coated_offset(tmp_path):
    """The same pixels with the profile of FOGRA39 and with none come out the same; and not as ideal inks would."""
    inks().save(tmp_path / "with.tif", icc_profile=press_profile().tobytes())
    inks().save(tmp_path / "without.tif")

    shown = read_picture(tmp_path / "without.tif")

    assert np.array_equal(shown, read_picture(tmp_path / "with.tif"))
    assert np.array_equal(shown, read_layout(tmp_path / "without.tif", 96)[..., :3])
    assert np.abs(shown.astype(int) - np.asarray(inks().convert("RGB"))).max() > 60


def test_a_profile_of_another_space_than_the_pixels_is_left_out():
    """An RGB profile in an ink file, and an ink profile in an RGB file, are slips of the program that wrote them."""
    rgb = Image.fromarray(patches()[1])

    assert np.array_equal(np.asarray(to_srgb(inks(), SRGB.profile())), np.asarray(to_srgb(inks(), None)))
    assert np.array_equal(np.asarray(to_srgb(rgb, press_profile().tobytes())), np.asarray(rgb))


@pytest.mark.parametrize("ending", ["tif", "png"])
def test_sixteen_bits_keep_their_values(tmp_path, ending):
    """F: v of 65535 is v / 257 of 255; to one level, over the whole range."""
    ramp = np.linspace(0, 65_535, 64 * 96, dtype=np.uint16).reshape(64, 96)
    wide = np.stack([ramp, ramp[::-1], ramp[:, ::-1]], axis=-1)
    cv2.imwrite(str(tmp_path / f"a.{ending}"), wide[..., ::-1])

    found = read_picture(tmp_path / f"a.{ending}")

    assert np.abs(found - wide / 257).max() <= 1


def test_sixteen_bits_in_a_wide_gamut(tmp_path):
    """P as above: the profile of a 16-bit frame is used."""
    values, pixels = patches(9)
    Image.fromarray(pixels).save(tmp_path / "small.tif", icc_profile=SPACES["Display P3"].profile())
    ok, data = cv2.imencode(".png", pixels[..., ::-1].astype(np.uint16) * 257)
    assert ok
    path = tmp_path / "a.png"
    path.write_bytes(_with_profile(data.tobytes(), SPACES["Display P3"].profile()))

    found = middles(read_picture(path))

    within(found, SPACES["Display P3"].to_srgb(values / 255) * 255, 2)


def _with_profile(png, profile):
    """A PNG with an iCCP chunk after its head: PNG specification, 11.3.2.3."""
    import struct
    import zlib

    body = b"iCCPtest\0\0" + zlib.compress(profile)
    chunk = struct.pack(">I", len(body) - 4) + body + struct.pack(">I", zlib.crc32(body))
    return png[:33] + chunk + png[33:]
