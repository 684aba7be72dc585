"""Layouts laid over pictures, and the copies that pages show.

A preview is the layout's window at a given width; under it lies the crop of the backdrop. All output is sRGB and
says so.
"""

from __future__ import annotations

import resource
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from layouts.imaging.composite import resize_layer, source_over, unpremultiply
from layouts.imaging.decoding.encode import save_picture, way
from layouts.imaging.decoding.files import check_layout, check_picture
from layouts.imaging.decoding.prepare import Prepared, PreparedFile
from layouts.imaging.decoding.reading import Picture, open_picture, read_layout
from layouts.imaging.geometry import Rect, Zone, check_zone, contain_frame, cover_crop

Source = str | Path | Prepared | PreparedFile
Pixels = NDArray[np.uint8]


@dataclass(frozen=True)
class PreviewFacts:
    """What was written, and what it cost: size in pixels, and the window shown, in canvas pixels (None: no layout).

    `peak_mib` is the most memory that this process has held so far, not this preview's alone.
    """

    width: int
    height: int
    window: Rect | None
    seconds: float
    peak_mib: float


@dataclass(frozen=True)
class Job:
    """One picture to be made from a backdrop. Without `layout` the bare crop; see `render_preview` for the rest."""

    out: str | Path
    layout: Source | None = None
    width: int = 2400
    crop: Rect | None = None
    window: Rect | None = None
    fit: str = "cover"


def render_preview(
    layout: Source,
    backdrop_path: str | Path,
    *,
    out: str | Path,
    width: int = 2400,
    crop: Rect | None = None,
    window: Rect | None = None,
    fit: str = "cover",
) -> PreviewFacts:
    """Write the layout over the backdrop, `width` pixels wide, as PNG, JPEG or WebP by the ending of `out`.

    Parameters
    ----------
    layout : path of the file, Prepared or PreparedFile
        What was prepared spares decoding the file.
    crop : Rect, optional
        The part of the backdrop to lie under the window, in pixels of the upright picture. None: see `fit`.
    window : Rect, optional
        The poster's own area in the layout, in pixels of its canvas. None: the whole canvas.
    fit : "cover" or "contain"
        Where no crop is given: the largest centred part of the window's shape, or all of it on a neutral ground.

    Raises
    ------
    Refused
        A file cannot be read; its sentence says why.
    ValueError
        A width, fit, crop, window or ending that is not possible.
    """
    return render_batch(backdrop_path, [Job(out, layout, width, crop, window, fit)])[0]


def render_bare(backdrop_path: str | Path, crop: Rect | None, out: str | Path, width: int = 2400) -> PreviewFacts:
    """Write the crop of the backdrop alone; None: the whole picture.

    Never larger than its own pixels, so that a `width` above the crop's gives it pixel for pixel.
    """
    facts = check_picture(backdrop_path)
    crop = crop or Rect(0, 0, facts.width, facts.height)
    return render_batch(backdrop_path, [Job(out, None, min(width, max(1, round(crop.width))), crop)])[0]


def render_layer(layout: Source, out: str | Path, width: int = 2400, window: Rect | None = None) -> PreviewFacts:
    """Write the layout's window alone, transparent, straight alpha, as PNG or WebP: to be laid over in a browser."""
    begun = time.perf_counter()
    way(out, alpha=True)
    area = _window(layout, window)
    layer = _layer(layout, area, _size(width, area.aspect))
    save_picture(unpremultiply(layer), out)
    return _facts(layer, area, begun)


def render_detail(
    layout: Source | None,
    backdrop_path: str | Path,
    *,
    crop: Rect | None,
    box: Zone,
    out: str | Path,
    out_bare: str | Path | None = None,
    window: Rect | None = None,
    max_px: int = 2048,
) -> PreviewFacts:
    """Write one part of a preview pixel for pixel: one pixel of the backdrop is one pixel of `out`.

    `box` is the part, in fractions of the window (of the crop, without a layout). `out_bare`: the same without the
    layout. A part of more than `max_px` on a side is reduced to that. For the type's own sharpness give the layout's
    file; a prepared layout has only the detail of its reduced form.
    """
    begun = time.perf_counter()
    check_zone(box)
    way(out)
    facts = check_picture(backdrop_path)
    area = _window(layout, window) if layout is not None else None
    aspect = area.aspect if area else facts.width / facts.height
    part = (crop or cover_crop(facts.width, facts.height, aspect)).part(box)
    shrink = min(1.0, max_px / max(part.width, part.height))
    size = (max(1, round(part.width * shrink)), max(1, round(part.height * shrink)))
    if shrink == 1:  # whole pixels of the picture, so that nothing is resampled
        part = Rect(round(part.x), round(part.y), *size)
    pixels = open_picture(backdrop_path, shrink, part.bottom).cut(part, size)
    if out_bare is not None:
        save_picture(pixels, out_bare)
    if layout is not None and area:
        pixels = source_over(pixels, _layer(layout, area.part(box), size))
    save_picture(pixels, out)
    return _facts(pixels, area, begun)


def render_batch(backdrop_path: str | Path, jobs: Sequence[Job]) -> list[PreviewFacts]:
    """Do many jobs over one backdrop, which is decoded once, at the finest scale that any of them needs.

    Give layouts as `PreparedFile` rather than `Prepared`: then one at a time lies in memory.
    """
    begun = time.perf_counter()
    facts = check_picture(backdrop_path)
    plans = [_plan(job, facts.width, facts.height) for job in jobs]
    until = max((min(plan.crop.bottom, facts.height) for plan in plans), default=facts.height)
    picture = open_picture(backdrop_path, max((plan.scale for plan in plans), default=1.0), until)
    done = []
    for plan in plans:
        done.append(_render(picture, plan, begun))
        begun = time.perf_counter()
    return done


@dataclass(frozen=True)
class _Plan:
    job: Job
    window: Rect | None
    crop: Rect
    size: tuple[int, int]

    @property
    def scale(self) -> float:
        return max(self.size[0] / self.crop.width, self.size[1] / self.crop.height)


def _plan(job: Job, width: int, height: int) -> _Plan:
    way(job.out)
    if job.width < 1 or job.fit not in ("cover", "contain"):
        raise ValueError(f"a preview has a width of at least 1 and fits by cover or contain: {job.width}, {job.fit}")
    window = _window(job.layout, job.window) if job.layout is not None else None
    aspect = window.aspect if window else job.crop.aspect if job.crop else width / height
    crop = job.crop or (cover_crop if job.fit == "cover" else contain_frame)(width, height, aspect)
    return _Plan(job, window, crop, _size(job.width, aspect))


def _render(picture: Picture, plan: _Plan, begun: float) -> PreviewFacts:
    pixels = picture.cut(plan.crop, plan.size)
    if plan.job.layout is not None and plan.window:
        pixels = source_over(pixels, _layer(plan.job.layout, plan.window, plan.size))
    save_picture(pixels, plan.job.out)
    return _facts(pixels, plan.window, begun)


def _window(layout: Source, window: Rect | None) -> Rect:
    """The window, cut to the layout's canvas; without one the canvas itself."""
    if isinstance(layout, Prepared | PreparedFile):
        canvas = layout.canvas
    else:
        facts = check_layout(layout)
        canvas = Rect(0, 0, facts.width, facts.height)
    return window.within(canvas.width, canvas.height) if window else canvas


def _layer(layout: Source, part: Rect, size: tuple[int, int]) -> Pixels:
    """A part of the layout's canvas at `size`, premultiplied."""
    if isinstance(layout, str | Path):
        layer = read_layout(layout, size[0], part=part)
        return layer if layer.shape[0] == size[1] else resize_layer(layer, size)
    ready = layout.load() if isinstance(layout, PreparedFile) else layout
    return resize_layer(ready.layer, size, ready.on_layer(part))


def _size(width: int, aspect: float) -> tuple[int, int]:
    return width, max(1, round(width / aspect))


def _facts(pixels: Pixels, window: Rect | None, begun: float) -> PreviewFacts:
    height, width = pixels.shape[:2]
    return PreviewFacts(width, height, window, time.perf_counter() - begun, peak_mib())


def peak_mib() -> float:
    """The most memory that this process has held so far, in MiB."""
    status = Path("/proc/self/status")
    if status.exists():  # ru_maxrss of a process just started counts its parent's memory too
        line = next((line for line in status.read_text().splitlines() if line.startswith("VmHWM")), "")
        if line:
            return int(line.split()[1]) / 1024
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / (1024**2 if sys.platform == "darwin" else 1024)
