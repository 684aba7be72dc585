"""Protects compositing: exact to 1 in 255 against other programs, and resizing that leaves no dark fringe."""

import numpy as np
import pytest
import pyvips
from PIL import Image

from layouts.imaging.colour import linear_to_srgb, srgb_to_linear
from layouts.imaging.composite import premultiply, resize_layer, source_over, unpremultiply
from layouts.imaging.geometry import Rect


@pytest.fixture
def pair():
    """Every alpha over every shade, and noise: an opaque backdrop and a straight layer."""
    rng = np.random.default_rng(7)
    backdrop = rng.integers(0, 256, (256, 256, 3), dtype=np.uint8)
    layer = rng.integers(0, 256, (256, 256, 4), dtype=np.uint8)
    layer[..., 3] = np.arange(256)[:, None]
    backdrop[..., 0] = np.arange(256)[None, :]
    return backdrop, layer


def exact(backdrop, layer, opacity=1.0):
    alpha = layer[..., 3:].astype(float) / 255 * opacity
    return layer[..., :3] * alpha + backdrop * (1 - alpha)


@pytest.mark.parametrize("opacity", [1.0, 0.5, 0.0])
def test_source_over_is_exact_to_one_level(pair, opacity):
    out = source_over(pair[0], premultiply(pair[1]), opacity)

    assert out.dtype == np.uint8
    assert np.abs(out - exact(*pair, opacity)).max() <= 1


def test_source_over_agrees_with_pillow(pair):
    theirs = Image.alpha_composite(Image.fromarray(pair[0]).convert("RGBA"), Image.fromarray(pair[1]))

    out = source_over(pair[0], premultiply(pair[1]))

    assert np.abs(out.astype(int) - np.asarray(theirs)[..., :3]).max() <= 1


def test_source_over_agrees_with_libvips(pair):
    base = pyvips.Image.new_from_array(pair[0]).copy(interpretation="srgb")
    theirs = base.composite2(pyvips.Image.new_from_array(pair[1]).copy(interpretation="srgb"), "over").numpy()

    out = source_over(pair[0], premultiply(pair[1]))

    assert np.abs(out.astype(float) - theirs[..., :3].astype(float)).max() <= 1


def test_source_over_of_clear_and_solid_is_exact(pair):
    backdrop, layer = pair
    layer[:128, :, 3], layer[128:, :, 3] = 0, 255

    out = source_over(backdrop, premultiply(layer))

    assert np.array_equal(out[:128], backdrop[:128])
    assert np.array_equal(out[128:], layer[128:, :, :3])


def test_layers_that_do_not_fit_are_an_error():
    with pytest.raises(ValueError, match="does not fit"):
        source_over(np.zeros((4, 4, 3), np.uint8), np.zeros((4, 5, 4), np.uint8))
    with pytest.raises(ValueError, match="opacity"):
        source_over(np.zeros((4, 4, 3), np.uint8), np.zeros((4, 4, 4), np.uint8), 1.5)


def test_unpremultiply_gives_the_colour_back(pair):
    layer = pair[1]
    layer[..., 3] = np.maximum(layer[..., 3], 128)

    assert np.abs(unpremultiply(premultiply(layer)).astype(int) - layer).max() <= 1


@pytest.mark.parametrize("size", [(64, 64), (37, 41), (300, 300), (11, 3)])
def test_resizing_leaves_no_dark_fringe(size):
    """White type with clear black around it, over white, must stay white: a fringe would darken it."""
    layer = np.zeros((256, 256, 4), np.uint8)
    layer[60:200, 50:70] = layer[60:80, 50:180] = 255

    small = resize_layer(layer, size)
    out = source_over(np.full((size[1], size[0], 3), 255, np.uint8), small)

    assert small.shape == (size[1], size[0], 4)
    assert out.min() >= 254
    assert (small[..., :3] <= small[..., 3:]).all()


def test_resizing_to_the_same_size_changes_nothing(pair):
    layer = premultiply(pair[1])

    assert np.array_equal(resize_layer(layer, (256, 256)), layer)
    assert np.array_equal(resize_layer(layer, (50, 40), Rect(30, 20, 50, 40)), layer[20:60, 30:80])


def test_a_box_past_the_layer_comes_out_clear():
    layer = np.full((100, 100, 4), 255, np.uint8)

    out = resize_layer(layer, (100, 50), Rect(50, 0, 100, 50))

    assert (out[:, :50] == 255).all()
    assert (out[:, 51:] == 0).all()


def panels(size=(240, 400)):
    """What shows a halo: a half-clear white panel, dark type on a solid light one, cream type. Straight."""
    layer = np.zeros((*size, 4), np.uint8)
    layer[20:120, 20:200] = (255, 255, 255, 128)
    layer[140:220, 20:200] = (230, 220, 200, 255)
    layer[150:210, 40:60] = layer[150:165, 40:160] = (30, 30, 30, 255)
    layer[30:210, 240:262] = layer[30:56, 240:380] = (250, 244, 230, 255)
    return layer


def halo(over_black, over_white):
    """How far results leave the range of what they are made of: alpha past 128 at the panel, type lighter or darker."""
    panel = over_black[10:70, 10:110]  # half-clear white over black: nowhere lighter than 128, nowhere darker than 0
    solid = over_black[72:108, 12:98]  # dark on light: nowhere lighter than the panel
    cream = over_white[10:110, 112:200]  # cream over white: nowhere darker than cream
    return max(int(panel.max()) - 128, int(solid.max()) - 230, 230 - int(cream.min()))


SIZES = [(200, 120), (307, 184), (155, 93)]


def both_grounds(layer, size):
    small = resize_layer(premultiply(layer), size)
    shape = (size[1], size[0], 3)
    return [source_over(np.full(shape, ground, np.uint8), small) for ground in (0, 255)]


@pytest.mark.parametrize("size", SIZES)
def test_resizing_draws_no_halo_round_type_and_panels(size):
    laid = [np.asarray(Image.fromarray(out).resize((200, 120), Image.Resampling.NEAREST))
            for out in both_grounds(panels(), size)]  # fmt: skip

    assert halo(*laid) <= 1


def test_the_usual_way_would_draw_one():
    """A check on the check: reduced straight, with Lanczos, the same panels show it by 10 levels and more."""
    straight = panels()
    small = np.stack(
        [
            np.asarray(Image.fromarray(straight[..., at]).resize((200, 120), Image.Resampling.LANCZOS))
            for at in range(4)
        ],
        axis=-1,
    )
    laid = [source_over(np.full((120, 200, 3), ground, np.uint8), premultiply(small)) for ground in (0, 255)]

    assert halo(*laid) >= 10


@pytest.mark.parametrize("step", [2, 3, 4])
def test_reduced_and_laid_over_is_laid_over_and_reduced(step):
    """Both in encoded values: a preview has the type's weight of the whole picture. In linear light it has not."""
    layer = premultiply(panels())
    backdrop = np.full((240, 400, 3), (40, 90, 160), np.uint8)
    size = (400 // step // 2 * 2, 240 // step)
    layer, backdrop = layer[: size[1] * step, : size[0] * step], backdrop[: size[1] * step, : size[0] * step]
    laid = source_over(backdrop, layer)
    after = laid.reshape(size[1], step, size[0], step, 3).mean(axis=(1, 3))

    before = source_over(np.full((size[1], size[0], 3), (40, 90, 160), np.uint8), resize_layer(layer, size))

    assert np.abs(before - after).max() <= 1.5
    light = srgb_to_linear(laid / 255).reshape(size[1], step, size[0], step, 3).mean(axis=(1, 3))
    assert np.abs(before - linear_to_srgb(light) * 255).max() > 20


def test_a_part_between_pixels_lies_where_it_should():
    """The middle of a bar stays where its place in the box says, to a tenth of a pixel."""
    layer = np.zeros((60, 300, 4), np.uint8)
    layer[:, 100:140] = 255  # its middle is at 120
    for x, width in ((10.0, 200), (10.3, 200.0), (7.75, 150.5), (33.4, 222.2)):
        out = resize_layer(layer, (97, 60), Rect(x, 0, width, 60))
        weight = out[30, :, 3].astype(float)
        middle = (weight * (np.arange(97) + 0.5)).sum() / weight.sum()
        assert middle == pytest.approx((120 - x) / width * 97, abs=0.1)


def test_what_lies_round_the_box_does_not_colour_its_edge():
    """A surround next to the window must not bleed into it."""
    layer = np.zeros((100, 100, 4), np.uint8)
    layer[:] = (255, 0, 255, 255)
    layer[20:80, 20:80] = (10, 200, 30, 255)

    for size in ((60, 60), (30, 30), (47, 47), (80, 80)):
        assert (resize_layer(layer, size, Rect(20, 20, 60, 60)) == (10, 200, 30, 255)).all()


@pytest.mark.parametrize("size", [(90, 45), (30, 45), (90, 10)])
def test_no_colour_passes_its_alpha(pair, size):
    small = resize_layer(premultiply(pair[1]), size)

    assert (small[..., :3] <= small[..., 3:]).all()
