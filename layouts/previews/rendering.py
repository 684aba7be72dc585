"""The pictures of one placement, from a backdrop that is open already. Knows no Django: arrays in, files out.

The crop is cut and reduced once; laid over, bare, and small all come from those pixels.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from layouts.imaging.composing.hatching import hatched
from layouts.imaging.composing.proof import soft_proof
from layouts.imaging.composite import resize_layer, source_over, unpremultiply
from layouts.imaging.decoding.encode import save_picture
from layouts.imaging.decoding.prepare import Prepared
from layouts.imaging.decoding.reading import Picture
from layouts.imaging.geometry import Rect
from layouts.imaging.inspecting.zones import TypeZone
from layouts.imaging.measures.from_files import in_window
from layouts.imaging.measures.measure import measure

Pixels = NDArray[np.uint8]


@dataclass(frozen=True)
class Over:
    """A layout and the part of its canvas that is the poster's own, in pixels of that canvas; None: all of it.

    `zones` are its type zones, in pixels of the canvas.
    """

    layout: Prepared
    window: Rect | None
    zones: Sequence[TypeZone] = ()

    def layer(self, size: tuple[int, int]) -> Pixels:
        """The window as premultiplied RGBA of `size` (width, height)."""
        return resize_layer(self.layout.layer, size, self.layout.on_layer(self.area))

    def zones_at(self, size: tuple[int, int]) -> list[TypeZone]:
        """The type zones in pixels of the window, made `size` (width, height)."""
        return in_window(self.zones, self.area, size)

    @property
    def area(self) -> Rect:
        canvas = self.layout.canvas
        return self.window.within(canvas.width, canvas.height) if self.window else canvas


@dataclass(frozen=True)
class Rendered:
    """The pictures that were written (which -> {file, type, width, height}) and what was measured of them.

    `measured` is plain data, None without a layout: {zones: [{x, y, width, height, lines (heights), contrast, busy}],
    coverage}; places and sizes in fractions of the window.
    """

    files: dict[str, dict[str, Any]]
    measured: dict[str, Any] | None


def render_placement(
    backdrop: Picture, crop: Rect, size: tuple[int, int], over: Over | None, folder: Path, *, small_side: int
) -> Rendered:
    """Write a placement's pictures into `folder`, and measure them while their pixels are there.

    `bare` is the crop (pixels of the backdrop) at `size` (width, height); `composed` has the layout over it and `layer`
    is that layout alone, transparent. `small` is `composed`, or where there is no layout `bare`, with its longer side
    reduced to `small_side`. Raises Refused where the backdrop or the layout cannot be read to its end.
    """
    pictures: dict[str, tuple[Pixels, str]] = {}
    bare = seen = backdrop.cut(crop, size)
    measured = None
    pictures["bare"] = (bare, "jpg")
    if over is not None:
        layer = over.layer(size)
        seen = source_over(bare, layer)
        pictures["layer"] = (unpremultiply(layer), "webp")
        measured = _measured(seen, layer, over.zones_at(size))
    pictures["composed"] = (seen, "jpg")
    pictures["small"] = (_reduced(seen, small_side), "jpg")
    return Rendered(_saved(pictures, folder), measured)


def _measured(seen: Pixels, layer: Pixels, zones: Sequence[TypeZone]) -> dict[str, Any]:
    high, wide = layer.shape[:2]
    found = measure(seen, layer, zones)
    places = [zone.box.scaled(1 / wide, 1 / high) for zone in zones]
    return {
        "zones": [
            {
                "x": round(place.x, 5),
                "y": round(place.y, 5),
                "width": round(place.width, 5),
                "height": round(place.height, 5),
                "lines": [round(height / high, 5) for _, height in zone.lines],
                **one.as_json(),
            }
            for zone, place, one in zip(zones, places, found.zones, strict=True)
        ],
        "coverage": found.coverage.packed(),
    }


def render_detail(
    backdrop: Picture, crop: Rect, size: tuple[int, int], over: Over | None, folder: Path
) -> dict[str, dict[str, Any]]:
    """The same in full pixels, laid over and bare: `composed-detail` and `bare-detail`."""
    bare = backdrop.cut(crop, size)
    seen = bare if over is None else source_over(bare, over.layer(size))
    return _saved({"composed-detail": (seen, "jpg"), "bare-detail": (bare, "jpg")}, folder)


def render_proof(
    backdrop: Picture, crop: Rect, size: tuple[int, int], over: Over | None, folder: Path
) -> tuple[dict[str, dict[str, Any]], float]:
    """How it will print: `proof`, the picture as ink shows it; `beyond`, transparent, hatched where ink cannot reach.

    Returns them as `_saved` does, and the share of the picture that is out of reach, 0 to 1.
    """
    bare = backdrop.cut(crop, size)
    proof = soft_proof(bare if over is None else source_over(bare, over.layer(size)))
    return _saved({"proof": (proof.pixels, "jpg"), "beyond": (hatched(proof.mask), "webp")}, folder), proof.share


def _reduced(pixels: Pixels, long_side: int) -> Pixels:
    height, width = pixels.shape[:2]
    shrink = min(1.0, long_side / max(width, height))
    size = (max(1, round(width * shrink)), max(1, round(height * shrink)))
    return np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA), np.uint8)


def _saved(pictures: Mapping[str, tuple[Pixels, str]], folder: Path) -> dict[str, dict[str, Any]]:
    files = {}
    for which, (pixels, kind) in pictures.items():
        path = folder / f"{which}.{kind}"
        save_picture(pixels, path)
        files[which] = {"file": path, "type": kind, "width": pixels.shape[1], "height": pixels.shape[0]}
    return files
