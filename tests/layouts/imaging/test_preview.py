"""Protects previews: the right crop under the window, alpha-correct to one level, as large as was asked for."""

import numpy as np
import pytest
from PIL import Image

from layouts.imaging.composing import preview as module
from layouts.imaging.composing.preview import (
    Job,
    render_bare,
    render_batch,
    render_detail,
    render_layer,
    render_preview,
)
from layouts.imaging.composite import premultiply, source_over
from layouts.imaging.decoding.prepare import PreparedFile, prepare_layout
from layouts.imaging.decoding.profiles import profile_name
from layouts.imaging.errors import Refused
from layouts.imaging.geometry import Rect, cover_crop
from tests.layouts.imaging.drawing import draw_layout, draw_picture


@pytest.fixture
def picture(tmp_path):
    return draw_picture(tmp_path / "mockup.png", (1200, 800))


@pytest.fixture
def layout(tmp_path):
    return draw_layout(tmp_path / "layout.png", (1000, 500), kind="gradient")


def pixels(path):
    return np.asarray(Image.open(path).convert("RGB")).astype(int)


def test_equal_sizes_are_composited_without_resampling(tmp_path, layout):
    picture = draw_picture(tmp_path / "same.png", (1000, 500))
    exact = Image.alpha_composite(Image.open(picture).convert("RGBA"), Image.open(layout.path))

    facts = render_preview(layout.path, picture, out=tmp_path / "out.png", width=1000)

    assert np.abs(pixels(tmp_path / "out.png") - np.asarray(exact)[..., :3]).max() <= 1
    assert (facts.width, facts.height, facts.window) == (1000, 500, Rect(0, 0, 1000, 500))
    assert facts.seconds > 0
    assert facts.peak_mib > 1


@pytest.mark.parametrize("ending", ["png", "jpg", "webp"])
def test_output_is_of_the_kind_asked_for_and_tagged_srgb(tmp_path, picture, layout, ending):
    render_preview(layout.path, picture, out=tmp_path / f"out.{ending}", width=600)

    with Image.open(tmp_path / f"out.{ending}") as image:
        assert (image.format, image.size) == ({"jpg": "JPEG"}.get(ending, ending.upper()), (600, 300))
        assert "sRGB" in profile_name(image.info["icc_profile"])


def test_the_same_preview_is_the_same_file(tmp_path, picture, layout):
    for name in ("one.png", "two.png"):
        render_preview(layout.path, picture, out=tmp_path / name, width=300)

    assert (tmp_path / "one.png").read_bytes() == (tmp_path / "two.png").read_bytes()


def test_the_named_crop_lies_under_the_window(tmp_path, picture, layout):
    crop = Rect(100, 200, 1000, 500)
    wanted = source_over(
        np.asarray(Image.open(picture))[200:700, 100:1100], premultiply(np.asarray(Image.open(layout.path)))
    )

    render_preview(layout.path, picture, out=tmp_path / "out.png", width=1000, crop=crop)

    assert np.array_equal(pixels(tmp_path / "out.png"), wanted)


def test_only_the_window_is_shown(tmp_path, picture):
    drawn = draw_layout(tmp_path / "a.png", (1000, 500), kind="surround", surround=(255, 0, 255, 255))

    facts = render_preview(drawn.path, picture, out=tmp_path / "out.png", width=800, window=drawn.window)

    out = pixels(tmp_path / "out.png")
    assert (facts.width, facts.height, facts.window) == (800, 400, drawn.window)
    assert not (np.abs(out - (255, 0, 255)).max(axis=2) < 60).any()
    assert np.abs(out[-1, 400] - (176, 32, 40)).max() <= 2  # the band at the window's foot


def test_contain_shows_the_whole_picture_on_a_neutral_ground(tmp_path, picture):
    clear = draw_layout(tmp_path / "a.png", (1000, 250), kind="empty")

    render_preview(clear.path, picture, out=tmp_path / "out.png", width=1000, fit="contain")

    out = pixels(tmp_path / "out.png")
    assert (out[:, 0] == 119).all()
    assert (out[:, -1] == 119).all()
    whole = np.asarray(Image.open(picture).resize((375, 250), Image.Resampling.LANCZOS)).astype(int)
    assert np.abs(out[:, 312:687] - whole).mean() < 1.5


@pytest.mark.parametrize("source", ["path", "prepared", "file"])
def test_prepared_or_not_the_preview_is_the_same(tmp_path, picture, source):
    drawn = draw_layout(tmp_path / "a.png", (4000, 2000), kind="surround")
    prepared = prepare_layout(drawn.path, tmp_path / "prepared.png")
    layout = {"path": drawn.path, "prepared": prepared, "file": PreparedFile(tmp_path / "prepared.png")}[source]
    image = Image.open(drawn.path).crop((400, 200, 3600, 1800)).resize((800, 400), Image.Resampling.BOX)
    base = Image.open(picture).resize((800, 400), Image.Resampling.LANCZOS, box=(0, 100, 1200, 700)).convert("RGBA")
    wanted = np.asarray(Image.alpha_composite(base, image))[..., :3].astype(int)

    render_preview(layout, picture, out=tmp_path / "out.png", width=800, window=drawn.window)

    assert np.abs(pixels(tmp_path / "out.png") - wanted).mean() < 1


def test_bare_is_the_crop_and_never_enlarged(tmp_path, picture):
    facts = render_bare(picture, Rect(50, 60, 400, 200), tmp_path / "bare.png")

    assert (facts.width, facts.height, facts.window) == (400, 200, None)
    assert np.array_equal(pixels(tmp_path / "bare.png"), np.asarray(Image.open(picture))[60:260, 50:450])


def test_layer_laid_over_bare_in_a_browser_is_the_preview(tmp_path, picture, layout):
    """What the picture stage does at full opacity must look like the preview."""
    crop = cover_crop(1200, 800, 2)
    render_layer(layout.path, tmp_path / "layer.png", 600)
    render_bare(picture, crop, tmp_path / "bare.png", 600)
    render_preview(layout.path, picture, out=tmp_path / "out.png", width=600, crop=crop)

    layer, bare = (Image.open(tmp_path / name).convert("RGBA") for name in ("layer.png", "bare.png"))
    laid = np.asarray(Image.alpha_composite(bare, layer))[..., :3].astype(int)

    assert layer.getextrema()[3] == (0, 255)
    assert np.abs(laid - pixels(tmp_path / "out.png")).max() <= 2


def test_a_transparent_jpeg_is_not_possible(tmp_path, layout):
    with pytest.raises(ValueError, match="a JPEG cannot be transparent"):
        render_layer(layout.path, tmp_path / "layer.jpg")


def test_detail_is_pixel_for_pixel_with_and_without_the_layout(tmp_path, picture, layout):
    crop = Rect(100, 150, 1000, 500)

    facts = render_detail(
        layout.path,
        picture,
        crop=crop,
        box=(0.25, 0.5, 0.75, 1),
        out=tmp_path / "laid.png",
        out_bare=tmp_path / "bare.png",
    )

    assert (facts.width, facts.height) == (500, 250)
    base = np.asarray(Image.open(picture))[400:650, 350:850]
    layer = premultiply(np.asarray(Image.open(layout.path))[250:500, 250:750])
    assert np.array_equal(pixels(tmp_path / "bare.png"), base)
    assert np.array_equal(pixels(tmp_path / "laid.png"), source_over(base, layer))


def test_detail_is_bounded(tmp_path, picture):
    facts = render_detail(None, picture, crop=None, box=(0, 0, 1, 1), out=tmp_path / "out.png", max_px=300)

    assert (facts.width, facts.height) == (300, 200)


def test_batch_decodes_the_backdrop_once(tmp_path, picture, layout, monkeypatch):
    opened = []
    real = module.open_picture
    monkeypatch.setattr(module, "open_picture", lambda *asked: opened.append(asked) or real(*asked))

    facts = render_batch(
        picture,
        [Job(tmp_path / "a.png", layout.path, 500), Job(tmp_path / "b.jpg", None, 600), Job(tmp_path / "c.webp")],
    )

    assert len(opened) == 1
    assert [(fact.width, fact.height) for fact in facts] == [(500, 250), (600, 400), (2400, 1600)]
    render_preview(layout.path, picture, out=tmp_path / "alone.png", width=500)
    assert np.abs(pixels(tmp_path / "a.png") - pixels(tmp_path / "alone.png")).max() <= 1


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"out": "a.gif"}, "pictures are written as"),
        ({"fit": "stretch"}, "fits by cover or contain"),
        ({"width": 0}, "a width of at least 1"),
        ({"window": Rect(2000, 0, 10, 10)}, "lies outside the picture"),
        ({"crop": Rect(5000, 0, 10, 10)}, "lies outside the picture"),
    ],
)
def test_what_is_not_possible_is_an_error(tmp_path, picture, layout, change, says):
    asked = {"out": "a.png", "width": 300, **change}
    asked["out"] = tmp_path / asked["out"]

    with pytest.raises(ValueError, match=says):
        render_preview(layout.path, picture, **asked)
    assert not asked["out"].exists()


def test_a_damaged_backdrop_is_refused_with_a_sentence(tmp_path, layout):
    (tmp_path / "bad.jpg").write_bytes(b"\xff\xd8\xff\xe0 not a picture")

    with pytest.raises(Refused, match="Send it again"):
        render_preview(layout.path, tmp_path / "bad.jpg", out=tmp_path / "out.png")


@pytest.fixture
def noisy(tmp_path):
    """A JPEG of fine noise under soft colour, so that a row that was not decoded could not pass for one that was."""
    rng = np.random.default_rng(6)
    soft = np.asarray(Image.fromarray(rng.integers(60, 200, (8, 12, 3), dtype=np.uint8)).resize((1800, 1200)))
    pixels = np.clip(soft + rng.normal(0, 12, soft.shape), 1, 255).astype(np.uint8)

    def save(**saving):
        Image.fromarray(pixels).save(tmp_path / "noisy.jpg", quality=90, **saving)
        return tmp_path / "noisy.jpg"

    return save


@pytest.mark.parametrize("saving", [{}, {"subsampling": "4:2:0"}])
@pytest.mark.parametrize("size", [(900, 150), (450, 75), (1800, 300)])
def test_a_picture_is_decoded_no_further_down_than_it_is_shown(noisy, saving, size):
    path, crop = noisy(**saving), Rect(0, 200, 1800, 300)

    short = module.open_picture(path, size[0] / 1800, 500)

    assert short.until == 500
    assert np.array_equal(short.cut(crop, size), module.open_picture(path, size[0] / 1800).cut(crop, size))
    with pytest.raises(ValueError, match="decoded down to row 500 only"):
        short.cut(Rect(0, 300, 1800, 300), size)


def test_a_progressive_jpeg_is_decoded_whole(noisy):
    """Its last bytes change its first row."""
    path, crop = noisy(progressive=True), Rect(0, 200, 1800, 300)

    picture = module.open_picture(path, 0.5, 500)

    assert picture.until == 1200
    assert np.array_equal(picture.cut(crop, (900, 150)), module.open_picture(path, 0.5).cut(crop, (900, 150)))


@pytest.mark.parametrize("orientation", range(1, 9))
def test_the_same_of_pictures_that_have_to_be_turned(noisy, orientation):
    exif = Image.Exif()
    exif[0x0112] = orientation
    path = noisy(exif=exif)
    crop, size = Rect(100, 50, 900, 300), (450, 150)

    short = module.open_picture(path, 0.5, 350).cut(crop, size)

    assert np.array_equal(short, module.open_picture(path, 0.5).cut(crop, size))


def test_where_all_below_is_black_the_whole_is_decoded(tmp_path):
    pixels = np.zeros((1200, 800, 3), np.uint8)
    pixels[:300] = 200
    Image.fromarray(pixels).save(tmp_path / "a.jpg", quality=95)

    picture = module.open_picture(tmp_path / "a.jpg", 1, 400)

    assert picture.until == 1200
    assert picture.cut(Rect(0, 0, 800, 1200), (800, 1200))[900].max() == 0
    assert picture.cut(Rect(0, 0, 800, 1200), (800, 1200))[200].min() > 190


def test_languages_of_one_format_share_the_cut(tmp_path, picture, layout, monkeypatch):
    cuts = []
    real = module.Picture._resized
    monkeypatch.setattr(module.Picture, "_resized", lambda self, *asked: cuts.append(asked) or real(self, *asked))

    render_batch(picture, [Job(tmp_path / f"{name}.png", layout.path, 500) for name in ("en", "cy", "ga")])
    render_batch(picture, [Job(tmp_path / "a.png", layout.path, 500), Job(tmp_path / "b.png", layout.path, 400)])

    assert len(cuts) == 3
    assert (tmp_path / "en.png").read_bytes() == (tmp_path / "ga.png").read_bytes()


@pytest.mark.parametrize(("mode", "ending"), [("RGB", "tif"), ("RGB", "png"), ("CMYK", "tif")])
def test_a_large_picture_is_reduced_as_it_is_read(tmp_path, mode, ending):
    small = np.random.default_rng(2).integers(90, 170, (9, 14, len(mode)), dtype=np.uint8)
    image = Image.merge(mode, [Image.fromarray(small[..., at]).resize((2611, 1603)) for at in range(len(mode))])
    path, crop = tmp_path / f"a.{ending}", Rect(200, 100, 2000, 1000)
    image.save(path)

    picture = module.open_picture(path, 0.3)

    assert picture.step == 3
    whole = module.open_picture(path)
    assert whole.step == 1
    assert np.abs(picture.cut(crop, (600, 300)).astype(int) - whole.cut(crop, (600, 300))).max() <= 2
