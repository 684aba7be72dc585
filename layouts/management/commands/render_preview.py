"""Lay a layout over a picture: `python manage.py render_preview --layout FILE --backdrop FILE --out FILE`."""

from pathlib import Path
from typing import Any

from django.core.management.base import CommandParser

from layouts.imaging.composing.preview import render_preview
from layouts.imaging.decoding.encode import way
from layouts.imaging.decoding.files import MAX_PIXELS, check_layout
from layouts.imaging.errors import Refused
from layouts.imaging.geometry import Rect
from layouts.imaging.inspecting.inspect import inspect_layout
from portal.management.report import ReportCommand, Unusable

WIDTH = 2400
MAX_SIDE = 16_383  # of a WebP; no screen shows as much


class Command(ReportCommand):
    help = (
        "Lays a layout over a picture and writes what comes out, in sRGB. The picture is cropped to the shape of the "
        "layout's window, centred. Nothing is resampled where the sizes are equal already. Rectangles are in pixels of "
        "the layout's canvas."
    )
    refusals = (Refused,)

    def takes(self, parser: CommandParser) -> None:
        parser.add_argument("--layout", required=True, metavar="FILE", help="the designer's transparent layout")
        parser.add_argument("--backdrop", required=True, metavar="FILE", help="the picture that it lies over")
        parser.add_argument(
            "--out", required=True, metavar="FILE", help="what to write: PNG, JPEG or WebP by its ending"
        )
        parser.add_argument(
            "--width",
            type=int,
            metavar="PX",
            help=f"of what is written; left out, {WIDTH} or, where that is less, the window's own",
        )
        parser.add_argument(
            "--fit",
            choices=("cover", "contain"),
            default="cover",
            help="cover (as it is when left out): the picture fills the window; contain: all of it shows, on grey",
        )
        parser.add_argument(
            "--window",
            metavar="X,Y,W,H",
            help="the poster's own area in the layout; “find” looks for it; left out, the whole canvas",
        )

    def compute(self, options: dict[str, Any]) -> dict[str, Any]:
        layout, out = Path(options["layout"]), _out(options)
        facts = check_layout(layout)
        canvas = Rect(0, 0, facts.width, facts.height)
        window = _window(options["window"], layout, canvas)
        width = options["width"] if options["width"] is not None else min(WIDTH, round(window.width))
        _check_size(width, window)
        done = render_preview(layout, options["backdrop"], out=out, width=width, window=window, fit=options["fit"])
        return {
            "width": done.width,
            "height": done.height,
            "window": {"x": _plain(window.x), "y": _plain(window.y), "width": _plain(window.width),
                       "height": _plain(window.height)},
            "seconds": round(done.seconds, 3),
            "peak_mib": round(done.peak_mib, 1),
        }  # fmt: skip

    def words(self, result: dict[str, Any]) -> str:
        window = result["window"]
        return (
            f"Written, {result['width']} x {result['height']} px, in {result['seconds']:.2f} s and "
            f"{result['peak_mib']:.0f} MiB. It shows {window['width']} x {window['height']} px of the layout from "
            f"{window['x']}, {window['y']}."
        )


def _out(options: dict[str, Any]) -> Path:
    out = Path(options["out"])
    try:
        way(out)
    except ValueError as reason:
        raise Unusable(f"--out: {reason}.") from None
    if not out.parent.is_dir():
        raise Unusable(f"--out: there is no folder {out.parent}; make it first.")
    for given in ("layout", "backdrop"):
        if out.exists() and Path(options[given]).exists() and out.samefile(options[given]):
            raise Unusable(f"--out names the {given} itself, which would be lost; give another name.")
    return out


def _window(text: str | None, layout: Path, canvas: Rect) -> Rect:
    if text is None:
        return canvas
    if text == "find":
        return inspect_layout(layout).window.rect
    try:
        x, y, width, height = (float(part) for part in text.split(","))
    except ValueError:
        raise Unusable(f"--window takes X,Y,W,H, four numbers in pixels, or “find”, and not “{text}”.") from None
    if not (abs(x) < 1e9 and abs(y) < 1e9 and 1 <= width < 1e9 and 1 <= height < 1e9):
        raise Unusable(f"--window needs a width and a height of at least 1 px, and not “{text}”.")
    try:
        return Rect(x, y, width, height).within(canvas.width, canvas.height)
    except ValueError:
        size = f"{canvas.width:g} x {canvas.height:g} px"
        raise Unusable(f"--window lies outside the layout, whose canvas is {size}: “{text}”.") from None


def _check_size(width: int, window: Rect) -> None:
    height = round(width / window.aspect)
    if width < 1:
        raise Unusable(f"--width takes at least 1 px, and not {width}.")
    if max(width, height) > MAX_SIDE or width * height > MAX_PIXELS:
        raise Unusable(
            f"--width {width} would make a picture of {width} x {height} px; at most {MAX_SIDE} px a side and "
            f"{MAX_PIXELS // 1_000_000} megapixels are written."
        )


def _plain(value: float) -> float:
    return int(value) if value == int(value) else value
