"""Rectangles, crops, and where the hero zone lands in a crop. Pixels run right and down from the top left."""

from __future__ import annotations

from dataclasses import dataclass

Zone = tuple[float, float, float, float]  # x0, y0, x1, y1 in fractions of what it lies in


@dataclass(frozen=True)
class Rect:
    """A rectangle in pixels; sides need not be whole."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        return self.x + self.width

    @property
    def bottom(self) -> float:
        return self.y + self.height

    @property
    def aspect(self) -> float:
        return self.width / self.height

    @property
    def area(self) -> float:
        return self.width * self.height

    def scaled(self, across: float, down: float | None = None) -> Rect:
        """The same rectangle in a picture that is `across` times as wide and `down` times as high."""
        down = across if down is None else down
        return Rect(self.x * across, self.y * down, self.width * across, self.height * down)

    def part(self, box: Zone) -> Rect:
        """The part of this rectangle that `box`, in fractions of it, takes in."""
        x0, y0, x1, y1 = box
        return Rect(
            self.x + x0 * self.width, self.y + y0 * self.height, (x1 - x0) * self.width, (y1 - y0) * self.height
        )

    def meet(self, other: Rect) -> Rect:
        """What both have in common; without width or height where they have nothing."""
        x, y = max(self.x, other.x), max(self.y, other.y)
        return Rect(x, y, max(0.0, min(self.right, other.right) - x), max(0.0, min(self.bottom, other.bottom) - y))

    def within(self, width: float, height: float) -> Rect:
        """Cut to a picture of `width` by `height`. Raises ValueError if nothing of it lies inside."""
        cut = self.meet(Rect(0, 0, width, height))
        if cut.area <= 0:
            raise ValueError(f"the rectangle {self} lies outside the picture of {width:g} x {height:g}")
        return cut


def check_zone(zone: Zone) -> None:
    """Raise ValueError unless the zone has a width and a height and lies inside 0 to 1."""
    x0, y0, x1, y1 = zone
    if not (0 <= x0 < x1 <= 1 and 0 <= y0 < y1 <= 1):
        raise ValueError(f"a zone runs from x0 < x1 and y0 < y1, all in 0 to 1; this one is {zone}")


def cover_crop(picture_w: float, picture_h: float, aspect: float, hero: Zone | None = None) -> Rect:
    """The largest rectangle of `aspect` (width / height) in the picture, slid to bring the hero zone to its middle.

    `hero` is in fractions of the picture. The rectangle never leaves the picture, so a hero zone at the edge stays as
    near the middle as that allows; without one, the rectangle lies centred. Raises ValueError for a picture or an
    aspect that is not positive, or an impossible zone.
    """
    if not (picture_w > 0 and picture_h > 0 and aspect > 0):
        raise ValueError(f"a crop of aspect {aspect} from {picture_w} x {picture_h} is not possible")
    width = min(picture_w, picture_h * aspect)
    height = min(picture_h, picture_w / aspect)
    centre_x, centre_y = picture_w / 2, picture_h / 2
    if hero is not None:
        check_zone(hero)
        centre_x, centre_y = picture_w * (hero[0] + hero[2]) / 2, picture_h * (hero[1] + hero[3]) / 2
    x = min(max(centre_x - width / 2, 0.0), picture_w - width)
    y = min(max(centre_y - height / 2, 0.0), picture_h - height)
    return Rect(x, y, width, height)


def contain_frame(picture_w: float, picture_h: float, aspect: float) -> Rect:
    """The smallest rectangle of `aspect` that holds the whole picture, centred on it; it reaches past two edges."""
    width = max(picture_w, picture_h * aspect)
    height = max(picture_h, picture_w / aspect)
    return Rect((picture_w - width) / 2, (picture_h - height) / 2, width, height)


def hero_in_window(crop: Rect, picture_w: float, picture_h: float, hero: Zone) -> tuple[Zone, float]:
    """Where the hero zone of a picture lies in a crop of it, and how much of it lies inside.

    `crop` is in picture pixels, `hero` in fractions of the picture. Returns the zone in fractions of the crop, which
    pass 0 or 1 where it is cut, and the share of its area that is inside, 0 to 1.
    """
    check_zone(hero)
    zone = Rect(0, 0, picture_w, picture_h).part(hero)
    inside = zone.meet(crop).area / zone.area
    return (
        (zone.x - crop.x) / crop.width,
        (zone.y - crop.y) / crop.height,
        (zone.right - crop.x) / crop.width,
        (zone.bottom - crop.y) / crop.height,
    ), min(1.0, inside)
