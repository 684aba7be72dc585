"""The kinds of file, each a recipe: what is drawn, how it is saved, and what the truth then is."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageChops, ImageDraw

from layouts.imaging.geometry import Rect
from tests.layouts.imaging.making import faulty
from tests.layouts.imaging.making.artwork import draw_artwork
from tests.layouts.imaging.making.blocks import Sheet
from tests.layouts.imaging.making.made import Line, Made, Manner, one_of
from tests.layouts.imaging.making.saving import save
from tests.layouts.imaging.making.windows import SURROUNDS, Margins, ground, margins, with_keyline, with_surround

SHAPES = ((4, 1), (2, 1), (2, 3), (1, 1), (9, 16), (16, 9))
Recipe = Callable[["Hand"], Made]


class Hand:
    """One file being drawn: its random numbers, manner, folder and name."""

    def __init__(self, kind: str, seed: int, folder: Path, manner: Manner) -> None:
        self.kind, self.seed, self.folder, self.manner = kind, seed, folder, manner
        # Not hash(), which changes from run to run.
        self.rng = np.random.default_rng([seed, *hashlib.sha256(kind.encode()).digest()[:8]])
        self.shape = one_of(self.rng, SHAPES)
        self.knows_order = bool(self.rng.random() < 0.75)
        self.knows_px = bool(self.rng.random() < 0.5)

    def size(self, longest: int = 0) -> tuple[int, int]:
        """A window's size in whole pixels, of the shape exactly."""
        wide, high = self.shape
        low, most = self.manner.sizes
        longest = longest or int(self.rng.integers(low, int(most / 1.4)))
        unit = max(1, longest // max(wide, high))
        return wide * unit, high * unit

    def brand(self) -> Any:
        return one_of(self.rng, self.manner.brand)

    def art(self, size: tuple[int, int], **drawing: Any) -> Sheet:
        return draw_artwork(self.rng, self.manner, size, **drawing)

    def made(self, image: Image.Image, window: Rect, sheet: Sheet, kind: str = "png", **truth: Any) -> Made:
        path = save(image, self.folder, f"{self.kind}-{self.seed}", kind)
        wide, high = self.shape
        order: dict[str, Any] = {"aspect": wide / high} if self.knows_order else {}
        if self.knows_order and self.knows_px:
            order["px"] = (round(window.width), round(window.height))
        order |= truth.pop("order", {})
        blocks = [_moved(box, window) for box in sheet.blocks]
        lines = [Line(_moved(line.ink, window), line.letters) for line in sheet.lines]
        return Made(path, self.kind, window, blocks, lines, order=order, **truth)


def _moved(box: Rect, window: Rect) -> Rect:
    return Rect(box.x + window.x, box.y + window.y, box.width, box.height)


def _whole(size: tuple[int, int]) -> Rect:
    return Rect(0, 0, *size)


def make(kind: str, seed: int, folder: Path, manner: Manner) -> Made:
    """Draw one file of a kind. The same arguments give the same file and the same truth."""
    return KINDS[kind](Hand(kind, seed, folder, manner))


def _crop(style: str = "plain", saved: str = "png", longest: int = 0) -> Recipe:
    def draw(hand: Hand) -> Made:
        size = hand.size(longest)
        sheet = hand.art(size, style=style)
        return hand.made(sheet.image, _whole(size), sheet, saved)

    return draw


def _poster(recipe: Recipe) -> Recipe:
    """The same at the shape of the longest poster, 4 : 1."""

    def draw(hand: Hand) -> Made:
        hand.shape = (4, 1)
        return recipe(hand)

    return draw


def _surround(
    around: str, style: str = "plain", saved: str = "png", *, corner: bool = False, band: bool = False, longest: int = 0
) -> Recipe:
    def draw(hand: Hand) -> Made:
        size = hand.size(longest)
        side = str(one_of(hand.rng, ("bottom", "top", "left", "right")))
        sheet = hand.art(size, style=style, band=hand.brand() if band else None, side=side)
        edge = margins(hand.rng, hand.manner, size)
        kind = around or str(one_of(hand.rng, SURROUNDS))
        canvas = (edge.left + size[0] + edge.right, edge.top + size[1] + edge.bottom)
        under = ground(hand.rng, hand.manner, canvas, kind)
        if band and kind == "brand" and _same(under, sheet.image, side):
            hand.knows_order = True  # nothing but the ordered shape can tell where the band ends
        radius = round(hand.rng.uniform(0.02, 0.08) * min(size)) if corner else 0
        image, window = with_surround(sheet.image, under, edge, radius)
        # A page has no pixels: drawing it may move an edge by part of one.
        return hand.made(image, window, sheet, saved, sharp=saved != "pdf")

    return draw


def _same(under: Image.Image, artwork: Image.Image, side: str) -> bool:
    spot = {"bottom": (1, -2), "top": (1, 1), "left": (1, 1), "right": (-2, 1)}[side]
    at = (spot[0] % artwork.width, spot[1] % artwork.height)
    return under.getpixel((0, 0)) == artwork.getpixel(at)


def _soft_edges(hand: Hand) -> Made:
    """The whole canvas shifted by a part of a pixel, as a file scaled on export is: every edge half covered."""
    size = hand.size()
    sheet = hand.art(size)
    edge = margins(hand.rng, hand.manner, size)
    canvas = (edge.left + size[0] + edge.right, edge.top + size[1] + edge.bottom)
    image, window = with_surround(sheet.image, ground(hand.rng, hand.manner, canvas, "grey"), edge)
    pixels = np.asarray(image).astype(np.float64)
    pixels[..., :3] *= pixels[..., 3:] / 255
    part = float(hand.rng.uniform(0.2, 0.8))
    for axis in (0, 1):
        pixels = (1 - part) * pixels + part * np.roll(pixels, 1, axis)
    alpha = np.maximum(pixels[..., 3:], 1e-9)
    pixels[..., :3] = np.where(pixels[..., 3:] > 0, pixels[..., :3] * 255 / alpha, 0)
    return hand.made(Image.fromarray(np.rint(pixels.clip(0, 255)).astype(np.uint8)), window, sheet, sharp=False)


def _framed(hand: Hand) -> Made:
    """A frame that belongs to the artwork: the canvas is the crop. Only the order can tell it from a surround."""
    hand.knows_order = True
    size = hand.size()
    sheet = hand.art(size)
    edge = round(hand.rng.uniform(0.02, 0.08) * min(size))
    draw = ImageDraw.Draw(sheet.image)
    draw.rectangle((0, 0, size[0] - 1, size[1] - 1), outline=(*hand.brand(), 255), width=edge)
    sheet.blocks, sheet.lines = [], []  # type and frame may touch
    return hand.made(sheet.image, _whole(size), sheet)


def _keyline(hand: Hand) -> Made:
    size = hand.size()
    sheet = hand.art(size)
    image, window = with_keyline(hand.rng, hand.manner, sheet.image, margins(hand.rng, hand.manner, size))
    return hand.made(image, window, sheet)


def _fault(code: str, spoil: Callable[[Hand, Image.Image], Image.Image], style: str = "plain") -> Recipe:
    def draw(hand: Hand) -> Made:
        size = hand.size()
        sheet = hand.art(size, style=style)
        spoilt = spoil(hand, sheet.image)
        return hand.made(spoilt, _whole(spoilt.size), sheet, wanted=frozenset({code}))

    return draw


def _no_alpha(hand: Hand) -> Made:
    size = hand.size()
    sheet = hand.art(size)
    path = hand.folder / f"{hand.kind}-{hand.seed}.png"
    faulty.on_white(sheet.image).convert("RGB").save(path, compress_level=1)
    return Made(path, hand.kind, _whole(size), sheet.blocks, sheet.lines, wanted=frozenset({"no-alpha"}))


def _cmyk(hand: Hand) -> Made:
    size = hand.size()
    sheet = hand.art(size)
    path = hand.folder / f"{hand.kind}-{hand.seed}.tif"
    faulty.as_cmyk(sheet.image).save(path)
    return Made(path, hand.kind, _whole(size), sheet.blocks, sheet.lines, wanted=frozenset({"no-alpha", "cmyk"}))


def _white_in_surround(hand: Hand) -> Made:
    size = hand.size()
    sheet = hand.art(size)
    edge = margins(hand.rng, hand.manner, size)
    canvas = (edge.left + size[0] + edge.right, edge.top + size[1] + edge.bottom)
    kind = str(one_of(hand.rng, ("black", "brand")))
    image, window = with_surround(faulty.on_white(sheet.image), ground(hand.rng, hand.manner, canvas, kind), edge)
    return hand.made(image, window, sheet, wanted=frozenset({"flattened-ground"}))


def _wrong_shape(hand: Hand) -> Made:
    hand.knows_order, hand.knows_px = True, False
    size = hand.size()
    sheet = hand.art(size)
    spoilt = faulty.cropped_wrong(hand.rng, sheet.image)
    sheet.blocks, sheet.lines = [], []  # some are cut through
    return hand.made(spoilt, _whole(spoilt.size), sheet, wanted=frozenset({"wrong-shape"}))


def _few_pixels(hand: Hand) -> Made:
    size = hand.size()
    sheet = hand.art(size)
    grown = hand.rng.uniform(1.05, 4)
    ordered = (round(size[0] * grown), round(size[1] * grown))
    return hand.made(
        sheet.image, _whole(size), sheet, wanted=frozenset({"too-few-pixels"}), order={"px": ordered, "aspect": None}
    )


def _off_centre(hand: Hand) -> Made:
    size = hand.size()
    sheet = hand.art(size)
    edge = margins(hand.rng, hand.manner, size)
    more = round(0.08 * max(size)) + 20
    edge = replace(edge, left=edge.left + more) if hand.rng.random() < 0.5 else replace(edge, bottom=edge.bottom + more)
    canvas = (edge.left + size[0] + edge.right, edge.top + size[1] + edge.bottom)
    image, window = with_surround(sheet.image, ground(hand.rng, hand.manner, canvas, "grey"), edge)
    return hand.made(image, window, sheet, wanted=frozenset({"window-off-centre"}))


def _nothing(hand: Hand) -> Made:
    size = hand.size()
    sheet = Sheet(Image.new("RGBA", size, (0, 0, 0, 0)))
    if hand.rng.random() < 0.5:
        sheet.image.paste((0, 0, 0, 60), (10, 10, size[0] // 2, size[1] // 3))
    return hand.made(sheet.image, _whole(size), sheet, wanted=frozenset({"nothing-solid"}), may=frozenset(
        {"no-profile", "stray-half-clear"}))  # fmt: skip


def _other_name(hand: Hand) -> Made:
    hand.knows_order = True
    made = _crop()(hand)
    wide, high = one_of(hand.rng, [shape for shape in SHAPES if shape != hand.shape])
    made.order["name"] = f"breakfast_{wide * 1000}x{high * 1000}mm_r2.png"
    made.wanted = frozenset({"name-says-other"})
    return made


def _other_language(hand: Hand) -> Made:
    made = _crop()(hand)
    made.order |= {
        "name": "shot1_poster_CY.png",
        "language": "en-GB",
        "languages": (("en-GB", "British English"), ("cy", "Welsh")),
    }
    made.wanted = frozenset({"name-says-other"})
    return made


def _last_weeks(hand: Hand) -> Made:
    """Last week's pixels under a new name, in other bytes."""
    made = _crop(saved=str(one_of(hand.rng, ("tiff", "webp", "png"))))(hand)
    old = hand.folder / f"{hand.kind}-{hand.seed}-older.png"
    with Image.open(made.path) as image:
        image.save(old, compress_level=7)
    made.order["older_file"] = old
    made.wanted = frozenset({"same-as-older"})
    return made


def _next_weeks(hand: Hand) -> Made:
    """A new revision in which one line of type has moved by a pixel: not the same."""
    made = _crop()(hand)
    old = hand.folder / f"{hand.kind}-{hand.seed}-older.png"
    with Image.open(made.path) as image:
        ImageChops.offset(image.convert("RGBA"), 1, 0).save(old, compress_level=1)
    made.order["older_file"] = old
    return made


GOOD: dict[str, Recipe] = {
    "canvas = crop": _crop(),
    "white surround": _surround("white"),
    "black surround": _surround("black"),
    "grey surround": _surround("grey"),
    "brand surround": _surround("brand"),
    "hatched surround": _surround("hatched"),
    "half-clear surround": _surround("half-clear"),
    "frame of the artwork": _framed,
    "keyline only": _keyline,
    "band touches surround": _surround("", band=True),
    "type over most": _surround("", "full"),
    "type over most, no surround": _crop("full"),
    "rounded corners": _surround("", corner=True),
    "soft shadows and glows": _crop("soft"),
    "soft, in a surround": _surround("", "soft"),
    "soft dark foot": _crop("foot"),
    "soft foot, in a surround": _surround("", "foot"),
    "anti-aliased edges": _soft_edges,
    "legal line 20 px": _surround("", "legal"),
    "16-bit": _surround("", saved="png16"),
    "grey + alpha": _surround("", saved="grey"),
    "indexed": _surround("", saved="indexed"),
    "profile sRGB": _surround("", saved="profile"),
    "profile wide": _surround("", saved="wide"),
    "PDF": _surround("", saved="pdf"),
    "PSD": _surround("", saved="psd", longest=900),
    "TIFF": _surround("", saved="tiff"),
    "WebP": _surround("", saved="webp"),
    "new revision, 1 px moved": _next_weeks,
}
LARGE: dict[str, Recipe] = {
    "12192 x 3048, surround": _poster(_surround("", "legal", longest=11_000)),
    "12192 x 3048, crop": _poster(_crop("legal", longest=12_192)),
    "12192 px, any shape": _surround("", "legal", longest=9_000),
}
FAULTY: dict[str, Recipe] = {
    "on white": _fault("flattened-ground", lambda _, image: faulty.on_white(image)),
    "on white, no alpha": _no_alpha,
    "on white, in a surround": _white_in_surround,
    "checkerboard": _fault("flattened-ground", lambda hand, image: faulty.on_checkerboard(hand.rng, image)),
    "dark fringe": _fault("dark-fringe", lambda _, image: faulty.dark_fringed(image), "light"),
    "stray haze": _fault("stray-half-clear", lambda hand, image: faulty.hazed(hand.rng, image)),
    "all half-clear": _fault("nothing-solid", lambda hand, image: faulty.faded(hand.rng, image)),
    "nothing on it": _nothing,
    "wrong shape": _wrong_shape,
    "too few pixels": _few_pixels,
    "off centre": _off_centre,
    "CMYK": _cmyk,
    "no profile": _fault("no-profile", lambda _, image: image),
    "name of another size": _other_name,
    "another language's name": _other_language,
    "last week's, new name": _last_weeks,
}
KINDS = GOOD | LARGE | FAULTY

__all__ = ["FAULTY", "GOOD", "KINDS", "LARGE", "Margins", "make"]
