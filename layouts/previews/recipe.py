"""What a preview is made of: the inputs that name its work. The same inputs give the same picture."""

from typing import Any

from layouts.formats.models import Placement
from layouts.imaging.geometry import Rect, cover_crop
from layouts.imaging.inspecting.zones import TypeZone
from layouts.overlays.models import Layout
from layouts.overlays.queries import window_of
from layouts.pictures.models import Mockup
from portal.models import Work

PREVIEW = 2
DETAIL = 1
PROOF = 1
# Longest side of a preview and of the small one in the street, in px: the width of the page on a usual screen.
LONG_SIDE = 2400
SMALL_SIDE = 640
DETAIL_SIDE = 6000


def crop_of(placement: Placement, mockup: Mockup) -> list[float]:
    """The part of the mockup that the placement shows: as set by someone, else round the hero zone.

    x0, y0, x1, y1 in fractions of the upright mockup.
    """
    if placement.crop:
        return list(placement.crop)
    wide, high = mockup.file.width, mockup.file.height
    hero = mockup.hero and (mockup.hero[0], mockup.hero[1], mockup.hero[2], mockup.hero[3])
    found = cover_crop(wide, high, placement.format.aspect, hero or None)
    return [round(edge, 5) for edge in (found.x / wide, found.y / high, found.right / wide, found.bottom / high)]


def in_pixels(crop: list[float], width: int, height: int) -> Rect:
    """A crop in fractions as pixels of a picture of `width` by `height`."""
    x0, y0, x1, y1 = crop
    return Rect(x0 * width, y0 * height, (x1 - x0) * width, (y1 - y0) * height)


def size_of(aspect: float, long_side: int) -> tuple[int, int]:
    """Width and height, in px, of a picture of `aspect` whose longer side is `long_side`."""
    if aspect >= 1:
        return long_side, max(1, round(long_side / aspect))
    return max(1, round(long_side * aspect)), long_side


def usable(layout: Layout | None) -> bool:
    """Whether a layout can be laid over a picture now: it has come and has been prepared."""
    return layout is not None and layout.work.state == Work.State.DONE


def inputs(placement: Placement, mockup: Mockup, layout: Layout | None) -> dict[str, Any]:
    """The inputs of the placement's preview; without a layout, of the bare crop."""
    width, height = size_of(placement.format.aspect, LONG_SIDE)
    over: dict[str, Any] = {"layout": None, "prepare": None, "window": None}
    if layout is not None:
        over = {"layout": layout.file.sha256, "prepare": layout.work.key, "window": window_of(layout)}
    return {
        "mockup": mockup.file.sha256,
        "crop": crop_of(placement, mockup),
        "width": width,
        "height": height,
        **over,
    }


def window(inputs: dict[str, Any]) -> Rect | None:
    """The poster's own area in the layout that these inputs name, in pixels of its canvas."""
    found = inputs["window"]
    return found and Rect(found["x"], found["y"], found["width"], found["height"])


def zones(found: dict[str, Any]) -> list[TypeZone]:
    """The type zones that inspection found, in pixels of the layout's canvas."""
    return [
        TypeZone(
            box=Rect(zone["x"], zone["y"], zone["width"], zone["height"]),
            lines=tuple((line["y"], line["height"]) for line in zone["lines"]),
        )
        for zone in found["type_zones"]
    ]


def detail_size(inputs: dict[str, Any], crop: Rect) -> tuple[int, int]:
    """Pixels in which a placement is looked at pixel for pixel: those of the crop or the layout, whichever has more."""
    long_side = max(crop.width, crop.height)
    if found := window(inputs):
        long_side = max(long_side, found.width, found.height)
    return size_of(inputs["width"] / inputs["height"], min(DETAIL_SIDE, max(1, round(long_side))))
