"""Protects decoding: strips give the same pixels as decoding whole, in bounded memory, upright and in sRGB."""

import subprocess
import sys

import numpy as np
import pytest
from PIL import Image, ImageCms, ImageOps

from layouts.imaging.composite import premultiply
from layouts.imaging.decoding import decode
from layouts.imaging.decoding.decode import open_strips
from layouts.imaging.decoding.reading import open_picture, read_layout, read_picture
from layouts.imaging.errors import Refused
from layouts.imaging.geometry import Rect
from tests.layouts.imaging.drawing import draw_layout, draw_picture
from tests.layouts.imaging.papers import write_pdf, write_psd


@pytest.fixture
def noise():
    """An RGBA image that exercises every filter of PNG: smooth, with noise, half-clear."""
    rng = np.random.default_rng(3)
    steps = np.cumsum(rng.integers(0, 4, (203, 301, 4)), axis=1) + np.cumsum(rng.integers(0, 3, (203, 301, 4)), axis=0)
    return Image.fromarray((steps % 256).astype(np.uint8))


@pytest.fixture(autouse=True)
def short_strips(monkeypatch):
    monkeypatch.setattr(decode, "_STRIP_BYTES", 4 * 301 * 17)


def whole(path):
    return np.concatenate(list(open_strips(path).rows))


@pytest.mark.parametrize("mode", ["RGBA", "RGB", "L", "LA", "P", "1"])
@pytest.mark.parametrize("clear", [False, True])
@pytest.mark.parametrize("level", [0, 6])
def test_png_strips_are_the_pixels_of_the_whole(tmp_path, noise, mode, clear, level):
    image = noise.convert("RGB").quantize(13) if mode == "P" else noise.convert(mode)
    saving = {"transparency": (7, 7, 7) if mode == "RGB" else 3} if clear and mode in ("RGB", "L", "P") else {}
    image.save(tmp_path / "a.png", compress_level=level, **saving)

    pixels = whole(tmp_path / "a.png")

    assert np.array_equal(pixels, np.asarray(Image.open(tmp_path / "a.png").convert("RGBA")))


@pytest.mark.parametrize("ending", ["tif", "webp"])
def test_other_files_come_in_strips_too(tmp_path, noise, ending):
    noise.save(tmp_path / f"a.{ending}", **({"lossless": True, "exact": True} if ending == "webp" else {}))

    assert np.array_equal(whole(tmp_path / f"a.{ending}"), np.asarray(noise))


@pytest.mark.parametrize("bits", [8, 16])
@pytest.mark.parametrize("packed", [False, True])
def test_psd_strips_give_back_straight_alpha(tmp_path, noise, bits, packed):
    noise.putalpha(noise.getchannel("A").point(lambda alpha: max(alpha, 120)))
    path = write_psd(tmp_path / "a.psd", noise, bits=bits, packed=packed)

    found, wanted = whole(path).astype(int), np.asarray(noise).astype(int)

    assert np.array_equal(found[..., 3], wanted[..., 3])
    assert np.abs(found - wanted).max() <= 2  # the white that was blended in rounds away a little


def test_psd_composite_agrees_with_another_reader(tmp_path, noise):
    import psd_tools

    path = write_psd(tmp_path / "a.psd", noise.convert("RGB"))

    other = psd_tools.PSDImage.open(path).topil().convert("RGBA")

    assert np.array_equal(whole(path), np.asarray(other))


def test_pdf_keeps_its_clear_ground(tmp_path):
    pixels = whole(write_pdf(tmp_path / "a.pdf"))

    assert pixels.shape == (300, 600, 4)
    assert pixels[150, 50].tolist() == [255, 0, 0, 255]
    assert pixels[150, 250].tolist()[3] == 0
    assert pixels[150, 350].tolist() == [0, 0, 255, 127]


@pytest.mark.parametrize("spoil", ["cut", "flip"])
def test_pixels_that_turn_out_damaged_are_refused(tmp_path, noise, spoil):
    path = tmp_path / "a.png"
    noise.save(path)
    raw = bytearray(path.read_bytes())
    at = len(raw) // 2
    if spoil == "flip":
        raw[at : at + 40] = bytes(40)
    else:  # the end marker is there, but pixels are missing
        raw = raw[:33] + b"\0\0\0\x0aIDAT" + raw[41:51] + b"\0\0\0\0" + b"\0\0\0\0IEND\xaeB`\x82"
    path.write_bytes(raw)

    with pytest.raises(Refused, match="pixels cannot be read to the end"):
        whole(path)


def test_read_layout_premultiplies_and_reduces_by_area(tmp_path):
    pixels = np.zeros((40, 80, 4), np.uint8)
    pixels[:, ::2] = (200, 100, 0, 255)
    pixels[:, 1::2] = (255, 255, 255, 0)  # clear, but with a colour: it must not show
    Image.fromarray(pixels).save(tmp_path / "a.png")

    small = read_layout(tmp_path / "a.png", 20)

    assert small.shape == (10, 20, 4)
    assert np.abs(small.astype(int) - (100, 50, 0, 128)).max() <= 1


def test_read_layout_of_a_part_is_that_part_of_the_whole(tmp_path):
    path = draw_layout(tmp_path / "a.png", (1200, 600)).path
    whole_layer = premultiply(np.asarray(Image.open(path)))

    part = read_layout(path, 300, part=Rect(100, 50, 300, 200))

    assert np.array_equal(part, whole_layer[50:250, 100:400])


def swapped_profile():
    """A profile whose red and green primaries are those of sRGB in each other's place."""
    raw = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    for at in range(132, 132 + 12 * int.from_bytes(raw[128:132], "big"), 12):
        raw[at : at + 4] = {b"rXYZ": b"gXYZ", b"gXYZ": b"rXYZ"}.get(bytes(raw[at : at + 4]), raw[at : at + 4])
    return bytes(raw)


@pytest.mark.parametrize("mode", ["RGB", "RGBA"])
def test_colours_go_by_the_embedded_profile(tmp_path, mode):
    Image.new(mode, (40, 40), (200, 100, 50)).save(tmp_path / "a.png", icc_profile=swapped_profile())

    layer = read_layout(tmp_path / "a.png", 20)[10, 10]
    picture = read_picture(tmp_path / "a.png")[10, 10]

    assert np.abs(layer.astype(int) - (100, 200, 50, 255)).max() <= 1
    assert np.abs(picture.astype(int) - (100, 200, 50)).max() <= 1


def test_srgb_pixels_are_left_as_they_are(tmp_path):
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    draw_picture(tmp_path / "a.png", icc_profile=profile)

    assert np.array_equal(read_picture(tmp_path / "a.png"), np.asarray(Image.open(tmp_path / "a.png")))


@pytest.mark.parametrize(
    "raw", [b"no profile at all", ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()]
)
def test_a_profile_that_does_not_fit_is_left_out(tmp_path, raw):
    Image.new("RGBA", (40, 40), (200, 100, 50, 255)).save(tmp_path / "a.png", icc_profile=raw)

    assert read_layout(tmp_path / "a.png", 40)[20, 20].tolist() == [200, 100, 50, 255]


def test_picture_is_decoded_at_the_cheapest_scale_that_is_enough(tmp_path):
    path = draw_picture(tmp_path / "a.jpg", (1600, 1200), quality=95)

    assert open_picture(path, 0.5).image.size == (800, 600)
    assert open_picture(path, 0.51).image.size == (1600, 1200)
    assert open_picture(path, 0.1).image.size == (200, 150)


@pytest.mark.parametrize("size", [(1600, 1200), (1603, 1201)])
def test_a_reduced_decode_shows_the_same_crop(tmp_path, size):
    path = draw_picture(tmp_path / "a.jpg", size, quality=95)
    crop = Rect(333.5, 210.25, 800, 400)

    cheap = read_picture(path, crop=crop, size=(160, 80)).astype(int)
    image = Image.open(path).resize((160, 80), Image.Resampling.LANCZOS, box=(crop.x, crop.y, crop.right, crop.bottom))

    assert np.abs(cheap - np.asarray(image)).mean() < 1


def test_picture_is_turned_upright_before_it_is_cropped(tmp_path):
    exif = Image.Exif()
    exif[0x0112] = 8
    path = draw_picture(tmp_path / "a.jpg", (400, 300), exif=exif, quality=95)
    upright = np.asarray(ImageOps.exif_transpose(Image.open(path)))

    part = read_picture(path, crop=Rect(50, 100, 200, 150))

    assert upright.shape == (400, 300, 3)
    assert np.array_equal(part, upright[100:250, 50:250])


@pytest.mark.parametrize(
    ("mode", "ending"),
    [
        ("L", "jpg"),
        ("CMYK", "jpg"),
        ("CMYK", "tif"),
        ("I;16", "png"),
        ("P", "png"),
        ("LA", "png"),
        ("1", "tif"),
        ("RGBA", "webp"),
    ],
)
def test_every_kind_of_picture_becomes_rgb(tmp_path, mode, ending):
    grey = Image.new("L", (64, 48), 90)
    image = Image.fromarray(np.full((48, 64), 90 * 257, np.uint16)) if mode == "I;16" else grey.convert(mode)
    image.save(tmp_path / f"a.{ending}")

    pixels = read_picture(tmp_path / f"a.{ending}")

    assert pixels.shape == (48, 64, 3)
    if mode == "CMYK":  # as it prints on coated paper: lighter, and as good as neutral
        assert np.ptp(pixels, axis=2).max() <= 2
    elif mode != "1":
        assert np.abs(pixels.astype(int) - 90).max() <= 2


def test_a_large_layout_is_read_in_bounded_memory(tmp_path):
    Image.new("RGBA", (12_000, 6_000), (200, 30, 30, 255)).save(tmp_path / "a.png", compress_level=1)
    program = (
        "import sys; from layouts.imaging.decoding.prepare import prepare_layout;"
        "from layouts.imaging.composing.preview import peak_mib;"
        "before = peak_mib(); prepare_layout(sys.argv[1]); print(peak_mib() - before)"
    )

    run = subprocess.run(
        [sys.executable, "-c", program, tmp_path / "a.png"], capture_output=True, text=True, check=True
    )

    assert float(run.stdout) < 120  # decoded whole it is 275 MiB
