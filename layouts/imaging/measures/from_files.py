"""A layout measured over a picture from their two files."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from layouts.imaging.composite import resize_layer, source_over
from layouts.imaging.decoding.prepare import prepare_layout
from layouts.imaging.decoding.reading import open_picture
from layouts.imaging.errors import Refused
from layouts.imaging.geometry import Rect, Zone, cover_crop
from layouts.imaging.inspecting.inspect import inspect_layout
from layouts.imaging.inspecting.zones import TypeZone
from layouts.imaging.measures.measure import hero_overlap, measure

LONG_SIDE = 2400  # px of the window's longer side: those of a preview


def measure_files(
    layout: str | Path, backdrop: str | Path, *, hero: Zone | None = None, window: Rect | None = None
) -> dict[str, Any]:
    """Measure a layout over the largest centred part of a picture that has its window's shape.

    Parameters
    ----------
    hero : Zone, optional
        The hero zone in fractions of the window.
    window : Rect, optional
        The window in pixels of the layout's canvas. None: it is found, as inspection finds it.

    Returns
    -------
    dict
        zones: [{x, y, width, height (pixels of the canvas), contrast: {worst, p5, median}, busy}], hero_overlap (0 to
        1). What could not be measured is None; so is the overlap without a hero zone.

    Raises
    ------
    Refused
        A file cannot be used, or the window lies outside the canvas; its sentence says why.
    """
    ready = prepare_layout(layout)
    canvas = ready.canvas
    if window is not None and window.meet(canvas).area <= 0:
        raise Refused(
            f"The window lies outside the layout, whose canvas is {canvas.width:.0f} x {canvas.height:.0f} px."
        )
    inspected = inspect_layout(ready, window=window)
    area, zones = inspected.window.rect, inspected.zones
    shrink = min(1.0, LONG_SIDE / max(area.width, area.height))
    size = (max(1, round(area.width * shrink)), max(1, round(area.height * shrink)))
    layer = resize_layer(ready.layer, size, ready.on_layer(area))
    picture = open_picture(backdrop, shrink)
    pixels = picture.cut(cover_crop(picture.width, picture.height, area.aspect), size)
    found = measure(source_over(pixels, layer), layer, in_window(zones, area, size))
    return {
        "zones": [
            {
                "x": round(zone.box.x),
                "y": round(zone.box.y),
                "width": round(zone.box.width),
                "height": round(zone.box.height),
                **one.as_json(),
            }
            for zone, one in zip(zones, found.zones, strict=True)
        ],
        "hero_overlap": None if hero is None else round(hero_overlap(layer, hero), 6),
    }


def in_window(zones: Sequence[TypeZone], window: Rect, size: tuple[int, int]) -> list[TypeZone]:
    """Zones of a canvas (its pixels) as they lie in its window, made `size` (width, height)."""
    across, down = size[0] / window.width, size[1] / window.height
    return [
        TypeZone(
            Rect(zone.box.x - window.x, zone.box.y - window.y, zone.box.width, zone.box.height).scaled(across, down),
            tuple(((y - window.y) * down, height * down) for y, height in zone.lines),
        )
        for zone in zones
    ]
