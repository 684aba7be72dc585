"""A layout decoded once: the facts that inspection needs, and a reduced form that every preview starts from.

The reduced form is one PNG file holding *premultiplied* sRGB; facts and counts travel in its text chunks. PNG at
the fastest level was chosen by measurement: a layout of 3072 x 768 took 40 ms to write and 13 ms to read at 0.16 MB; a
plain array 21 and 2 ms, but at 9.4 MB; lossless WebP 74 and 38 ms at 0.37 MB.
"""

from __future__ import annotations

import base64
import json
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, PngImagePlugin

from layouts.imaging.decoding.decode import open_strips
from layouts.imaging.decoding.files import FileFacts
from layouts.imaging.decoding.reading import Reduced, reduce_strips
from layouts.imaging.geometry import Rect
from layouts.imaging.surveying.survey import Survey

LONG_SIDE = 3072  # a window that fills four fifths of its canvas still has the 2400 pixels of a preview
_KEY = "brieflock-prepared-1"
_COUNTS = ("ground_rows", "ground_cols", "ink_rows", "ink_cols")


@dataclass(frozen=True)
class Prepared(Reduced):
    """A layout ready for use: its reduced layer, what its file is, and what was counted at full resolution."""

    facts: FileFacts
    survey: Survey

    @property
    def canvas(self) -> Rect:
        """The whole canvas, in its own pixels."""
        return Rect(0, 0, self.facts.width, self.facts.height)

    def on_layer(self, part: Rect) -> Rect:
        """A rectangle of the canvas in pixels of the reduced layer."""
        return part.scaled(self.across, self.down)


def prepare_layout(path: str | Path, out: str | Path | None = None, *, long_side: int = LONG_SIDE) -> Prepared:
    """Decode a layout in one pass. `out`: also write the reduced form there, a PNG. Raises Refused, with a sentence."""
    strips = open_strips(path)
    survey = Survey(strips.facts.width, strips.facts.height)
    reduced = reduce_strips(strips, long_side, survey)
    prepared = Prepared(reduced.layer, reduced.across, reduced.down, strips.facts, survey)
    if out is not None:
        save_prepared(prepared, out)
    return prepared


def save_prepared(prepared: Prepared, out: str | Path) -> None:
    survey = prepared.survey
    head = {
        "facts": asdict(replace(prepared.facts, profile_bytes=None)),
        "scale": [prepared.across, prepared.down],
        "alpha": survey.alpha.tolist(),
        "ground": survey.ground,
    }
    notes = PngImagePlugin.PngInfo()
    notes.add_text(_KEY, json.dumps(head))
    for name in _COUNTS:
        notes.add_text(f"{_KEY}-{name}", _packed(getattr(survey, name)))
    # As plain RGBA: the file is a vessel for numbers, and nothing may un- or re-multiply them.
    Image.fromarray(prepared.layer).save(out, format="PNG", compress_level=1, pnginfo=notes)


def load_prepared(path: str | Path) -> Prepared:
    """Read back what `prepare_layout` wrote; `facts.profile_bytes` is gone, the colours being sRGB by now.

    Raises ValueError if the file is not one of ours or is damaged.
    """
    with _opened(path) as (image, head):
        layer = np.asarray(image)
        counts = {name: _unpacked(str(image.info[f"{_KEY}-{name}"])) for name in _COUNTS}
    facts = FileFacts(**head["facts"])
    ground = tuple(head["ground"]) if head["ground"] else None
    survey = Survey(facts.width, facts.height, np.array(head["alpha"], np.int64), ground, **counts)
    return Prepared(layer, head["scale"][0], head["scale"][1], facts, survey)


@dataclass(frozen=True)
class PreparedFile:
    """A prepared layout that stays on disk until its pixels are wanted."""

    path: str | Path

    @property
    def canvas(self) -> Rect:
        """The layout's whole canvas, in its own pixels. Raises ValueError as `load_prepared` does."""
        with _opened(self.path) as (_, head):
            return Rect(0, 0, head["facts"]["width"], head["facts"]["height"])

    def load(self) -> Prepared:
        return load_prepared(self.path)


@contextmanager
def _opened(path: str | Path) -> Iterator[tuple[Image.Image, dict[str, Any]]]:
    try:
        with Image.open(path, formats=["PNG"]) as image:
            yield image, json.loads(str(image.info[_KEY]))
    except (OSError, SyntaxError, KeyError, zlib.error) as error:
        raise ValueError(f"{path} is not a prepared layout, or is damaged; prepare it anew") from error


def _packed(counts: NDArray[np.int32]) -> str:
    return base64.b64encode(zlib.compress(counts.astype("<i4").tobytes(), 1)).decode("ascii")


def _unpacked(text: str) -> NDArray[np.int32]:
    return np.frombuffer(zlib.decompress(base64.b64decode(text)), "<i4").astype(np.int32)
