"""What measuring adds to a preview: `python -m tests.bench.measuring`.

For layouts of several shapes over a photograph of the demo: CPU seconds of rendering and measuring a placement as the
worker does (all cores), those of measuring, and their share; the least of several runs in one process.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from layouts.imaging.composite import source_over
from layouts.imaging.decoding.prepare import prepare_layout
from layouts.imaging.decoding.reading import open_picture
from layouts.imaging.geometry import cover_crop
from layouts.imaging.inspecting.inspect import inspect_layout
from layouts.imaging.measures.measure import measure
from layouts.previews.rendering import Over, render_placement
from tests.layouts.imaging.drawing import draw_layout

PICTURE = Path(__file__).parents[2] / "fixtures/pictures/tall-stack.jpg"
ROUNDS = 5
LONG_SIDE, SMALL_SIDE = 2400, 640  # as in layouts/previews/recipe.py, which needs the portal
SHAPES = {"4 : 1": (12192, 3048), "2 : 1": (7200, 3600), "2 : 3": (3543, 5315), "9 : 16": (2160, 3840)}


def least(act: Callable[[], object]) -> float:
    taken = []
    for _ in range(ROUNDS):
        begun = time.process_time()
        act()
        taken.append(time.process_time() - begun)
    return min(taken)


def one(name: str, shape: tuple[int, int], folder: Path) -> str:
    drawn = draw_layout(folder / "layout.png", shape, headline="Fresh from the pan", second="every morning")
    ready = prepare_layout(drawn.path)
    zones = inspect_layout(ready).zones
    scale = LONG_SIDE / max(shape)
    size = (round(scale * shape[0]), round(scale * shape[1]))
    picture = open_picture(PICTURE, 1.0)
    crop = cover_crop(picture.width, picture.height, shape[0] / shape[1])
    with_zones = Over(ready, None, zones)
    layer = with_zones.layer(size)
    seen = source_over(picture.cut(crop, size), layer)
    at = with_zones.zones_at(size)
    measuring = least(lambda: measure(seen, layer, at))
    whole = least(lambda: render_placement(picture, crop, size, with_zones, folder, small_side=SMALL_SIDE))
    return f"{name:<8}{len(zones):>6}{whole:>12.3f}{measuring:>12.3f}{100 * measuring / whole:>9.0f} %"


def main() -> None:
    print(f"{'shape':<8}{'zones':>6}{'all, s CPU':>12}{'measuring':>12}{'share':>11}")
    with tempfile.TemporaryDirectory() as folder:
        for name, shape in SHAPES.items():
            print(one(name, shape, Path(folder)))


if __name__ == "__main__":
    main()
