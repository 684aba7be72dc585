"""The strokes of type in a part of a layout, and the ground beside them.

Type may be of several colours, half clear, thinner than a pixel, or stand on a panel of its own, within an outline, or
on a hard shadow: colours that another colour lies inside of are that one's ground, and no type.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from layouts.imaging.measures.luminance import luminance

Pixels = NDArray[np.uint8]
Mask = NDArray[np.bool_]
Values = NDArray[np.float32]

_SOLID = 217  # alpha of type at full strength, 85 %
_STANDS_OUT = 90  # alpha by which a fine letter is denser than what is around it, 35 %
_DIFFERENT = 48  # of 255, in one channel: another colour, and no shade of the same
_MOST_COLOURS = 4
_SOME = 0.003  # share of the solid pixels below which a colour is a speck
_SAMPLE = 20_000  # pixels are enough to tell a zone's colours
_DEEPEST = 100  # px; past that a stroke is a block, and a part that is all solid has no depth at all
_TINY = 10  # px; lines that are lower have no clear pixel left between their letters
_BEST = 0.94  # of the strongest pixel near it, by which one still shows the colour of its stroke
_FAINT = 1e-4  # weight of a stroke's edge, where its core is out of reach
_SMALL: Pixels = np.ones((3, 3), np.uint8)


@dataclass(frozen=True)
class Strokes:
    """Masks over one part of a layout, (h, w).

    weight : how far a pixel shows the type's own colour; 0 where there is no type of this zone
    ground : what is no type at all, and no edge of any
    ring : the ground beside this zone's type, about as wide as its strokes
    seeds : those of its pixels that show its own colour best of all near them
    grain : size below which what is in the ground does not count, px
    own : luminance of strokes too thin to have a core, by their own colour; 0 elsewhere
    thin : where `own` holds
    """

    weight: Values
    ground: Mask
    ring: Mask
    seeds: Mask
    grain: int
    own: Values
    thin: Mask

    def own_light(self, light: Values) -> Values:
        """The luminance of the type's own pixels: as seen, or by their own colour where they are thin."""
        return np.where(self.thin, self.own, light)


def find_strokes(layer: Pixels, inside: Mask, letter: float, *, reduced: bool = False) -> Strokes | None:
    """The strokes in a premultiplied layer (h, w, 4), for the zone `inside`, of lines `letter` px high.

    `reduced`: by whole pixels, so that edges are one pixel wide. None where there is neither type nor ground.
    """
    alpha = np.ascontiguousarray(layer[..., 3])
    solid = alpha >= _SOLID
    ink = solid | _fine(alpha, solid, letter)
    if not (ink & inside).any():
        return None
    straight = np.asarray(cv2.cvtColor(cv2.cvtColor(layer, cv2.COLOR_mRGBA2RGBA), cv2.COLOR_RGBA2RGB), np.uint8)
    parts = _apart(straight, alpha, solid & inside, solid) or _Parts(ink, None, np.full(alpha.shape, 255, np.uint8))
    parts = replace(parts, type=parts.type | (ink & ~solid))
    return _strokes(layer, straight, parts, inside, letter, 1 if reduced or letter < _TINY else 2)


@dataclass(frozen=True)
class _Parts:
    """What is type; the solid ground that it lies wholly on, if it does; how unlike its ground a pixel is, 0 to 255."""

    type: Mask
    panel: Mask | None
    unlike: Pixels


def _strokes(layer: Pixels, straight: Pixels, parts: _Parts, inside: Mask, letter: float, gap: int) -> Strokes | None:
    every, mine = parts.type, parts.type & inside
    depth = np.minimum(cv2.distanceTransform(mine.astype(np.uint8), cv2.DIST_L2, 3), np.float32(_DEEPEST))
    # The mean depth of a bar is a quarter of its width.
    stroke = int(np.clip(round(4 * float(depth[mine].mean()) - 1), 1, 40))
    covered = every
    if letter < _TINY:  # letters run together: beside them means above and below the line, and at its ends
        close = np.ones((round(letter) | 1, 2 * round(letter) | 1), np.uint8)
        covered = cv2.morphologyEx(np.pad(every, 20).astype(np.uint8), cv2.MORPH_CLOSE, close)[20:-20, 20:-20] > 0
    ground = ~_dilated(covered, gap)
    width = int(np.clip(round(stroke / 2), 3, 12))
    ring = ground & _dilated(covered & _dilated(mine, round(letter)) if letter < _TINY else mine, gap + width)
    if parts.panel is not None:  # an outline may be narrower than that: past it, nothing is beside the type any more
        on_panel = parts.panel & ring
        ring = on_panel if on_panel.any() else parts.panel & ~every & _dilated(mine, gap)
        ground = (parts.panel & ground) | ring
    core = depth > 1.5
    alpha = layer[..., 3]
    thin = mine & ~core
    weight = np.zeros(alpha.shape, np.float32)
    strength = np.where(mine, _share(parts.unlike) * _share(alpha), np.float32(0))
    weight[mine] = _FAINT * strength[mine] ** 8
    weight[core] = 1
    if not ring.any() or not mine.any():
        return None
    own = np.zeros(alpha.shape, np.float32)
    if thin.any():
        own[thin] = luminance(np.ascontiguousarray(straight[thin][None]))[0]
    seeds = mine & (strength >= _BEST * _most_near(strength, max(3, stroke)))
    return Strokes(weight, ground, ring, seeds, max(3, stroke // 2 | 1), own, thin)


def _share(values: Pixels) -> Values:
    return values.astype(np.float32) / np.float32(255)


def _fine(alpha: Pixels, solid: Mask, letter: float) -> Mask:
    """Letters that are nowhere solid: thinner than a pixel, or half clear, yet denser than the ground around them."""
    if not ((alpha >= _STANDS_OUT) & ~_dilated(solid, 3)).any():
        return np.zeros(alpha.shape, bool)
    size = max(3, int(min(letter, 61)) | 1)
    hat = cv2.morphologyEx(alpha, cv2.MORPH_TOPHAT, cv2.getStructuringElement(cv2.MORPH_RECT, (size, size)))
    stands = np.asarray(hat) >= _STANDS_OUT
    pieces, labels = cv2.connectedComponents((stands | solid).astype(np.uint8), connectivity=8)
    is_solid = np.zeros(pieces, bool)
    is_solid[labels[solid]] = True  # what touches solid type is its glow or its edge
    return np.asarray(stands & ~is_solid[labels])


def _dilated(mask: Mask, by: int) -> Mask:
    """Grown by so many pixels in every direction."""
    grown = mask.astype(np.uint8)
    kernel = np.ones((1, 2 * by + 1), np.uint8)
    return np.asarray(cv2.dilate(cv2.dilate(grown, kernel), kernel.T)) > 0


def _most_near(values: Values, by: int) -> Values:
    kernel = np.ones((1, 2 * by + 1), np.uint8)
    return np.asarray(cv2.dilate(cv2.dilate(values, kernel), kernel.T), np.float32)


def _apart(straight: Pixels, alpha: Pixels, zone: Mask, solid: Mask) -> _Parts | None:
    """The type among solid pixels of several colours; None where all that is solid is type."""
    colours = _colours(straight, zone)
    if len(colours) < 2:
        return None
    unlike = np.stack([_unlike(straight, colour) for colour in colours])
    which = np.where(solid, unlike.argmin(axis=0).astype(np.int16), np.int16(-1))
    grounds, enclosing = _grounds(which, alpha, zone, len(colours))
    own_ground = np.isin(which, grounds)
    type_ = solid & ~own_ground
    if not grounds or not (type_ & zone).any():
        return None
    return _Parts(type_, own_ground if enclosing else None, unlike[grounds].min(axis=0))


def _unlike(pixels: Pixels, colour: NDArray[np.int16]) -> Pixels:
    """How far each pixel (h, w, 3) is from a colour, in the channel where that is most."""
    apart = np.zeros(pixels.shape[:2], np.int16)
    for at in range(3):
        np.maximum(apart, np.abs(pixels[..., at].astype(np.int16) - colour[at]), out=apart)
    return apart.astype(np.uint8)


def _colours(straight: Pixels, zone: Mask) -> list[NDArray[np.int16]]:
    """The colours that a zone is solid in, the commonest first; the shades between two of them are none."""
    step = slice(None, None, max(1, round((zone.size / (4 * _SAMPLE)) ** 0.5)))
    here = zone[step, step]
    everything = _some_of(straight[step, step][here])
    if len(everything) == 0 or (np.ptp(everything, axis=0) < _DIFFERENT).all():
        return []
    shades = np.asarray(cv2.subtract(cv2.dilate(straight, _SMALL), cv2.erode(straight, _SMALL)), np.uint8)
    few = _unlike(shades[step, step], np.zeros(3, np.int16)) < 24
    flat = _some_of(straight[step, step][here & few])
    if len(flat) < 8:
        flat = everything
    found = [_commonest(flat)]
    for sample in (flat, everything):
        while len(found) < _MOST_COLOURS:
            away = np.min([np.abs(sample - colour).max(axis=-1) for colour in found], axis=0)
            other = away > _DIFFERENT
            if other.mean() <= _SOME or (sample is everything and len(found) > 1):
                break
            rest = sample[other]
            found.append(_commonest(rest) if sample is flat else rest[np.argsort(away[other])[int(0.95 * len(rest))]])
    return found


def _some_of(colours: Pixels) -> NDArray[np.int16]:
    return colours[:: 1 + len(colours) // _SAMPLE].astype(np.int16)


def _commonest(colours: NDArray[np.int16]) -> NDArray[np.int16]:
    """The mean of the fullest cube of 32 levels a side."""
    cubes = (colours >> 5) @ np.array([64, 8, 1], np.int16)
    return np.asarray(colours[cubes == np.bincount(cubes).argmax()].mean(axis=0).round(), np.int16)


def _grounds(which: NDArray[np.int16], alpha: Pixels, zone: Mask, colours: int) -> tuple[list[int], bool]:
    """The colours that are panel, outline or hard shadow of another, and whether they enclose it.

    One that touches nothing but other solid colours lies on them. Of two that lie along each other, the softer is
    the other's glow; or the one that the other borders less is its halo; or the smaller is its hard shadow.
    """
    rows, columns = np.flatnonzero(zone.any(axis=1)), np.flatnonzero(zone.any(axis=0))
    around = 2.0 * (len(rows) + len(columns))
    padded = np.pad(which, 1, constant_values=-1)
    touches = np.zeros((colours, colours + 1))  # pixels along each colour's edge that have each other colour, or none
    for at in range(colours):
        mask = padded == at
        edge = padded[(cv2.dilate(mask.astype(np.uint8), _SMALL) > 0) & ~mask]
        touches[at] = np.bincount(edge + 1, minlength=colours + 1)
    outside, edges = touches[:, 0], np.maximum(1, touches.sum(axis=1))
    areas = np.bincount(which[zone & (which >= 0)], minlength=colours)
    enclosed = (outside < 0.1 * edges) & (outside < 0.15 * around) & (areas > _SOME * areas.sum())
    if enclosed.any() and not enclosed.all():
        return [at for at in range(colours) if not enclosed[at]], True
    share = touches[:, 1:] / edges[:, None]
    full = [float((alpha[zone & (which == at)] == 255).mean()) if areas[at] else 0.0 for at in range(colours)]
    shadows = {
        min(pair, key=lambda at: (round(full[at] / 0.3), round(share[at, sum(pair) - at] / 0.3), areas[at]))
        for pair in itertools.combinations(range(colours), 2)
        if min(share[pair], share[pair[::-1]]) > 0.25
    }
    return sorted(shadows), False
