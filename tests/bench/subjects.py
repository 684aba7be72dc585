"""What the benchmarks work on: a layout as a designer sends it, and pictures with a photograph's detail and grain."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
from PIL import Image

from layouts.imaging.decoding.prepare import prepare_layout
from tests.bench.ways import LANGUAGES, SHAPES, WIDTH
from tests.layouts.imaging.drawing import draw_layout

PHOTOGRAPH = Path(__file__).parents[2] / "fixtures" / "pictures" / "seeded-bun.jpg"


def layout(path: Path, size: tuple[int, int]) -> None:
    """Type, a band and a soft dark foot: a PNG at the usual level of compression."""
    draw_layout(path, size, kind="gradient", compress_level=6)


def placements(folder: Path) -> None:
    """Prepared layouts of the shapes and languages that a shot of twelve placements has."""
    for at, shape in enumerate(SHAPES):
        for language in LANGUAGES:
            size = (round(4800 * min(1, shape)), round(4800 / max(1, shape)))
            text = {"en": "Fresh from the pan", "cy": "Yn syth o'r badell"}[language]
            drawn = draw_layout(folder / "drawn.png", size, kind="gradient", headline=text)
            prepare_layout(drawn.path, folder / f"prepared-{at}-{language}.png")


def picture(path: Path, size: tuple[int, int]) -> None:
    """The demo's picture, enlarged, with fine grain: a JPEG, or a 16-bit TIFF without compression."""
    with Image.open(PHOTOGRAPH) as image:
        pixels = np.asarray(image.convert("RGB").resize(size, Image.Resampling.BICUBIC))
    grain = np.random.default_rng(4).normal(0, 5, (512, 512, 1))
    grain = np.tile(grain, (-(-size[1] // 512), -(-size[0] // 512), 1))[: size[1], : size[0]].astype(np.int8)
    if path.suffix == ".tif":
        wide = np.clip((pixels.astype(np.int32) + grain) * 257, 0, 65_535).astype(np.uint16)
        cv2.imwrite(str(path), wide[..., ::-1], [cv2.IMWRITE_TIFF_COMPRESSION, 1])
        return
    grainy = np.clip(pixels.astype(np.int16) + grain, 0, 255).astype(np.uint8)
    Image.fromarray(grainy).save(path, quality=92)


def result(folder: Path) -> None:
    """Pixels of the size and kind that come out, for what encoding costs."""
    with Image.open(folder / "layout.png") as image:
        high = round(WIDTH * image.height / image.width)
    with Image.open(PHOTOGRAPH) as image:
        np.save(folder / "result.npy", np.asarray(image.convert("RGB").resize((WIDTH, high))))
