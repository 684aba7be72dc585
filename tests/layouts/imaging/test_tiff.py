"""Protects the reading of TIFF: every way that programs store one gives the pixels that another library wrote.

Written by libvips and tifffile, which share no code with the reader here (its LZW goes through Pillow's libtiff).
"""

import struct

import numpy as np
import pytest
import pyvips
import tifffile
from PIL import Image

from layouts.imaging.composite import premultiply
from layouts.imaging.decoding import decode
from layouts.imaging.decoding.decode import load_upright, open_strips
from layouts.imaging.decoding.files import sniff
from layouts.imaging.decoding.png import narrow
from layouts.imaging.errors import Refused

HIGH, WIDE = 70, 90
VIPS = {1: "b-w", 2: "b-w", 3: "srgb", 4: "srgb"}


@pytest.fixture(autouse=True)
def short_strips(monkeypatch):
    monkeypatch.setattr(decode, "_STRIP_BYTES", 4 * WIDE * 8)


def samples(channels, bits=8):
    """Smooth with noise, so that differencing wraps and the packers have something to do."""
    rng = np.random.default_rng(channels)
    smooth = np.add.outer(np.arange(HIGH) * 3, np.arange(WIDE) * 2)[..., None] + np.arange(channels) * 40
    narrow_ones = ((smooth + rng.integers(0, 9, smooth.shape)) % 256).astype(np.uint8)
    return (
        narrow_ones
        if bits == 8
        else (narrow_ones.astype(np.uint16) << 8) + rng.integers(0, 256, smooth.shape, np.uint16)
    )


def shown(pixels, alpha=None):
    """RGBA of 8 bits of what was written; `alpha` is the channel that holds it."""
    small = narrow(pixels) if pixels.dtype == np.uint16 else pixels
    out = np.full((HIGH, WIDE, 4), 255, np.uint8)
    out[..., :3] = small[..., :3] if pixels.shape[2] >= 3 else small[..., :1]
    if alpha is not None:
        out[..., 3] = small[..., alpha]
    return out


def whole(path):
    return np.concatenate(list(open_strips(path).rows))


@pytest.mark.parametrize("bits", [8, 16])
@pytest.mark.parametrize("channels", [1, 2, 3, 4])
@pytest.mark.parametrize("packing", ["none", "lzw", "deflate", "packbits"])
@pytest.mark.parametrize("more", [{}, {"predictor": "horizontal"}, {"tile": True, "tile_width": 32, "tile_height": 16},
                                  {"bigtiff": True}])  # fmt: skip
def test_what_libvips_writes_is_read_to_the_pixel(tmp_path, bits, channels, packing, more):
    pixels = samples(channels, bits)
    image = pyvips.Image.new_from_array(pixels)
    kind = VIPS[channels] if bits == 8 else {"b-w": "grey16", "srgb": "rgb16"}[VIPS[channels]]
    image.copy(interpretation=kind).tiffsave(str(tmp_path / "a.tif"), compression=packing, **more)

    facts = sniff(tmp_path / "a.tif")
    alpha = channels - 1 if channels in (2, 4) else None

    assert (facts.width, facts.height, facts.bits, facts.has_alpha) == (WIDE, HIGH, bits, alpha is not None)
    assert np.array_equal(whole(tmp_path / "a.tif"), shown(pixels, alpha))
    assert np.array_equal(np.asarray(load_upright(tmp_path / "a.tif").convert("RGBA")), shown(pixels, alpha))


@pytest.mark.parametrize("bits", [8, 16])
@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("planar", ["contig", "separate"])
@pytest.mark.parametrize("tile", [None, (32, 48)])
@pytest.mark.parametrize(("extra", "alpha"), [((), None), (("unassalpha",), 3), (("unspecified",), None),
                                              (("unspecified", "unassalpha"), 4)])  # fmt: skip
def test_channels_find_their_place_planar_or_not(tmp_path, bits, order, planar, tile, extra, alpha):
    pixels = samples(3 + len(extra), bits)
    stored = np.moveaxis(pixels, -1, 0) if planar == "separate" else pixels
    tifffile.imwrite(tmp_path / "a.tif", stored, photometric="rgb", planarconfig=planar, extrasamples=extra,
                     tile=tile, byteorder=order, compression="zlib", predictor=True,
                     rowsperstrip=None if tile else 16)  # fmt: skip

    assert np.array_equal(whole(tmp_path / "a.tif"), shown(pixels, alpha))


@pytest.mark.parametrize("bits", [8, 16])
def test_colours_that_were_multiplied_by_their_alpha_come_straight(tmp_path, bits):
    """TIFF 6.0, section 18: ExtraSamples 1."""
    straight = samples(4, bits).astype(np.float64)
    most = 2**bits - 1
    stored = straight.copy()
    stored[..., :3] = np.rint(straight[..., :3] * straight[..., 3:] / most)
    stored = stored.astype(f"u{bits // 8}")
    tifffile.imwrite(tmp_path / "a.tif", stored, photometric="rgb", extrasamples=("assocalpha",))

    found = premultiply(whole(tmp_path / "a.tif")).astype(int)

    small = narrow(stored) if bits == 16 else stored
    assert np.abs(found - small).max() <= 1


@pytest.mark.parametrize("extra", [(), ("unassalpha",)])
@pytest.mark.parametrize("bits", [8, 16])
def test_ink_comes_as_ink(tmp_path, extra, bits):
    pixels = samples(4 + len(extra), bits)
    tifffile.imwrite(tmp_path / "a.tif", pixels, photometric="separated", extrasamples=extra)

    strips = open_strips(tmp_path / "a.tif")
    found = np.concatenate(list(strips.rows))

    small = narrow(pixels) if bits == 16 else pixels
    assert (strips.space, strips.facts.cmyk, strips.facts.has_alpha) == ("CMYK", True, bool(extra))
    assert np.array_equal(found, small[..., :4])
    assert np.array_equal(np.asarray(load_upright(tmp_path / "a.tif")), small[..., :4])


def test_white_is_zero_is_turned_round(tmp_path):
    pixels = samples(1)[..., 0]
    tifffile.imwrite(tmp_path / "a.tif", pixels, photometric="miniswhite")

    assert np.array_equal(whole(tmp_path / "a.tif")[..., 0], 255 - pixels)


@pytest.mark.parametrize("mode", ["P", "1", "LAB"])
def test_what_is_left_to_pillow_is_read_too(tmp_path, mode):
    grey = Image.fromarray(samples(3))
    image = grey.quantize(40) if mode == "P" else grey.convert("L").convert(mode) if mode == "1" else grey
    if mode == "LAB":
        image = Image.merge("LAB", grey.split())
    image.save(tmp_path / "a.tif", compression="tiff_lzw")

    assert whole(tmp_path / "a.tif").shape == (HIGH, WIDE, 4)


@pytest.mark.parametrize("kind", [np.float32, np.float16, np.uint32])
def test_pixels_without_a_white_are_refused_in_words(tmp_path, kind):
    pixels = np.full((HIGH, WIDE, 3), 1, kind)
    if kind != np.uint32:
        pixels[0, 0], pixels[1, 1] = np.nan, np.inf
    tifffile.imwrite(tmp_path / "a.tif", pixels, photometric="rgb")

    with pytest.raises(Refused, match="floating-point or 32-bit pixels, in which white is not fixed"):
        sniff(tmp_path / "a.tif")


def test_the_first_of_many_pages_is_taken_and_they_are_counted(tmp_path):
    first, small = samples(4), samples(4)[::2, ::2]
    with tifffile.TiffWriter(tmp_path / "a.tif") as writer:
        for pixels, reduced in ((first, 0), (small, 1), (first[::-1], 0)):
            writer.write(pixels, photometric="rgb", extrasamples=("unassalpha",), subfiletype=reduced)

    assert sniff(tmp_path / "a.tif").frames == 2
    assert np.array_equal(whole(tmp_path / "a.tif"), first)


def test_pages_that_point_at_each_other_come_to_an_end(tmp_path):
    tifffile.imwrite(tmp_path / "a.tif", samples(3), photometric="rgb")
    raw = bytearray((tmp_path / "a.tif").read_bytes())
    (at,) = struct.unpack_from("<I", raw, 4)
    (entries,) = struct.unpack_from("<H", raw, at)
    struct.pack_into("<I", raw, at + 2 + 12 * entries, at)
    (tmp_path / "a.tif").write_bytes(raw)

    assert sniff(tmp_path / "a.tif").frames == 1


def test_a_layered_document_in_a_private_tag_is_not_taken_into_memory(tmp_path, monkeypatch):
    """Tag 37724 holds layers, often more than the picture itself."""
    layers = bytes(40 << 20)
    tifffile.imwrite(tmp_path / "a.tif", samples(4), photometric="rgb", extrasamples=("unassalpha",),
                     extratags=[(37724, 7, len(layers), layers, True)])  # fmt: skip
    monkeypatch.setattr("PIL.ImageFile._safe_read", lambda *_: pytest.fail("a tag was read whole"))

    assert np.array_equal(whole(tmp_path / "a.tif"), shown(samples(4), 3))
