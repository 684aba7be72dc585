"""Protects the prepared form: one pass gives exact counts, and what is read back is what was written."""

import numpy as np
import pytest
from PIL import Image

from layouts.imaging.decoding.prepare import PreparedFile, load_prepared, prepare_layout
from layouts.imaging.geometry import Rect
from tests.layouts.imaging.drawing import draw_layout
from tests.layouts.imaging.papers import write_psd


def test_counts_are_those_of_every_pixel(tmp_path):
    drawn = draw_layout(tmp_path / "a.png", (5000, 2500), kind="surround", surround=(9, 9, 9, 128))
    pixels = np.asarray(Image.open(drawn.path))
    alpha = pixels[..., 3]

    survey = prepare_layout(drawn.path).survey

    assert survey.clear == pytest.approx((alpha == 0).mean())
    assert survey.solid == pytest.approx((alpha == 255).mean())
    assert survey.half == pytest.approx(((alpha > 0) & (alpha < 255)).mean())
    assert np.array_equal(survey.ink_rows, (alpha > 0).sum(axis=1))
    assert np.array_equal(survey.ink_cols, (alpha > 0).sum(axis=0))
    assert survey.ground == (5, 5, 5, 128)
    same = (pixels == (9, 9, 9, 128)).all(axis=2)
    assert np.array_equal(survey.ground_rows, same.sum(axis=1))


def test_prepared_layout_comes_back_as_it_was_written(tmp_path):
    drawn = draw_layout(tmp_path / "a.png", (4001, 1999), kind="gradient")

    prepared = prepare_layout(drawn.path, tmp_path / "prepared.png", long_side=1000)
    again = load_prepared(tmp_path / "prepared.png")

    assert max(prepared.layer.shape[:2]) == 1000
    assert np.array_equal(again.layer, prepared.layer)
    assert (again.across, again.down, again.facts) == (prepared.across, prepared.down, prepared.facts)
    assert again.survey.ground == prepared.survey.ground
    assert np.array_equal(again.survey.alpha, prepared.survey.alpha)
    assert np.array_equal(again.survey.ink_cols, prepared.survey.ink_cols)
    assert PreparedFile(tmp_path / "prepared.png").canvas == Rect(0, 0, 4001, 1999)


def test_a_small_layout_is_not_reduced(tmp_path):
    drawn = draw_layout(tmp_path / "a.png", (800, 400))

    prepared = prepare_layout(drawn.path)

    assert (prepared.across, prepared.down, prepared.layer.shape) == (1, 1, (400, 800, 4))


@pytest.mark.parametrize("size", [(4001, 1999), (3073, 500), (6144, 64), (700, 9999)])
def test_places_on_the_canvas_are_found_on_the_layer(tmp_path, size):
    """A mark in the far corner must lie where the scale says, whatever the size leaves over."""
    image = Image.new("RGBA", size)
    mark = (size[0] - 60, size[1] - 40, size[0] - 20, size[1] - 10)
    image.paste((255, 255, 255, 255), mark)
    image.save(tmp_path / "a.png")

    prepared = prepare_layout(tmp_path / "a.png", long_side=1000)
    ink = prepared.layer[..., 3].astype(float)
    x = (ink.sum(axis=0) * (np.arange(ink.shape[1]) + 0.5)).sum() / ink.sum() / prepared.across
    y = (ink.sum(axis=1) * (np.arange(ink.shape[0]) + 0.5)).sum() / ink.sum() / prepared.down

    assert (x, y) == (pytest.approx(size[0] - 40, abs=1), pytest.approx(size[1] - 25, abs=1))


def test_ink_is_prepared_as_an_opaque_layer(tmp_path):
    path = write_psd(tmp_path / "a.psd", Image.new("CMYK", (64, 32), (0, 255, 255, 0)))

    prepared = prepare_layout(path)

    assert prepared.survey.solid == 1
    red, green, blue, alpha = prepared.layer[10, 10].tolist()
    assert (red > 220, green < 60, blue < 60, alpha) == (True, True, True, 255)


def test_what_is_no_prepared_layout_is_an_error(tmp_path):
    drawn = draw_layout(tmp_path / "a.png", (80, 40))

    with pytest.raises(ValueError, match="is not a prepared layout"):
        load_prepared(drawn.path)
