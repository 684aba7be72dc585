"""Protects that measuring ends in numbers or in "not known" for any layer at all: a measure never costs a preview."""

import numpy as np
import pytest

from layouts.imaging.composite import premultiply, source_over
from layouts.imaging.geometry import Rect
from layouts.imaging.inspecting.zones import TypeZone
from layouts.imaging.measures.measure import measure


def anything(rng):
    """A layer of some size: noise, blocks, stripes, all clear or all solid; and zones in, over and past its edges."""
    width, height = (int(rng.choice([1, 2, 3, 9, 40, 150, 300])) for _ in range(2))
    layer = rng.integers(0, 256, (height, width, 4), dtype=np.uint8)
    how = rng.integers(0, 6)
    if how == 0:
        layer[..., 3] = rng.choice([0, 255, 128, 217])
    if how == 1:
        layer[..., :3] = rng.integers(0, 256, 3)
    if how == 2:
        layer[:] = layer[:1, :1]
    if how == 3:
        layer[:, ::2, 3] = 0
    if how == 4:
        layer[..., 3] = np.where(rng.random((height, width)) < 0.02, 255, 0)
    zones = []
    for _ in range(4):
        x, y = rng.uniform(-10, 1.1 * width), rng.uniform(-10, 1.1 * height)
        box = Rect(x, y, rng.uniform(0.2, 1.5 * width), rng.uniform(0.2, 1.5 * height))
        lines = tuple(
            (box.y + at * box.height / 3, rng.uniform(0.1, 1) * box.height) for at in range(rng.integers(0, 4))
        )
        zones.append(TypeZone(box, lines))
    return premultiply(layer), rng.integers(0, 256, (height, width, 3), dtype=np.uint8), zones


@pytest.mark.parametrize("seed", range(40))
def test_whatever_the_layer_ratios_lie_in_1_to_21_in_order_or_are_not_known(seed):
    rng = np.random.default_rng(seed)
    for _ in range(8):
        layer, ground, zones = anything(rng)
        found = measure(source_over(ground, layer), layer, zones)
        assert len(found.zones) == len(zones)
        for one in found.zones:
            if one.contrast:
                assert 1 <= one.contrast.worst <= one.contrast.p5 <= one.contrast.median <= 21
            if one.busy is not None:
                assert 0 <= one.busy <= 1
