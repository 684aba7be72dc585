"""Protects compositing: exact to 1 in 255 against other programs, and resizing that leaves no dark fringe."""

import numpy as np
import pytest
import pyvips
from PIL import Image

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
