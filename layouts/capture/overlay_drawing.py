"""The pictures of one capture for live view, in a ZIP with an index. Knows no Django: plain data in, a file out.

What is drawn is `layouts.imaging.framing.overlay`'s; here are files, words in them, and the index. The same input
makes the same bytes: no time is written.
"""

from __future__ import annotations

import shutil
import textwrap
import zipfile
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from layouts.imaging.decoding.png_strips import write_png
from layouts.imaging.framing.geometry import Box, Framing
from layouts.imaging.framing.overlay import Sheet, crops_strips, hero_box, mask_strips, placement_strips, sheet
from layouts.imaging.geometry import Rect

FONT = Path(__file__).resolve().parents[2] / "portal/papers/fonts/InstrumentSans-Medium.ttf"
LOOK_SIDE = 1600
_EPOCH = (1980, 1, 1, 0, 0, 0)  # the earliest that a ZIP can say
_WIDE = 100

Data = Mapping[str, Any]
# From a crop of the order to its layout's pixels (premultiplied) and the window in them; None where it has none.
Layouts = Callable[[Data], tuple[NDArray[np.uint8], Rect] | None]


def sheet_of(order: Data) -> Sheet:
    """The frame that an order is drawn for, at its size."""
    frame = order["frame"]
    framing = Framing(frame["landscape"], frame["width"], frame["height"], frame["density"], Box(*frame["box"]))
    return sheet(framing, order["size"])


def draw(order: Data, layouts: Layouts, folder: Path) -> tuple[Path, Path]:
    """Draw an order (see `overlay_orders`) into `folder`: the ZIP, and a small copy of the outlined crops to look at.

    Memory: one layout at a time, and strips of the frame.
    """
    on = sheet_of(order)
    hero = hero_box(order["hero_aspect"])
    marked = hero if order["hero"] else None
    crops = [(group["label"], Box(*group["box"])) for group in order["groups"]]
    pack = folder / "overlays.zip"
    with zipfile.ZipFile(pack, "w", zipfile.ZIP_STORED, allowZip64=True) as into:
        _add_text(into, order["index"], index(order, on))
        _add(into, folder, order, on, order["all"], crops_strips(on, crops, hero=marked, font=FONT), "all crops")
        for crop in order["crops"]:
            found = layouts(crop)
            pixels, window = found or (None, None)
            strips = placement_strips(on, Box(*crop["box"]), pixels, window, hero=marked, dimmed=order["dimmed"] / 100)
            _add(into, folder, order, on, crop["file"], strips, crop["name"], crop["pixels"])
        for group in order["groups"]:
            strips = mask_strips(on, Box(*group["box"]))
            _add(into, folder, order, on, group["mask"], strips, f"mask of {group['name']}", group["pixels"])
    return pack, _look(order, crops, folder)


def entries(pack: Path) -> list[dict[str, Any]]:
    """Name and bytes of each file in a ZIP, in its order."""
    with zipfile.ZipFile(pack) as archive:
        return [{"name": one.filename, "bytes": one.file_size} for one in archive.infolist()]


def index(order: Data, on: Sheet) -> str:
    """What the ZIP holds, as plain text."""
    frame, shot = order["frame"], order["shot"]
    way = "landscape" if frame["landscape"] else "portrait"
    x, y, wide, high = (round(v) for v in on.framing.pixels(hero_box(order["hero_aspect"])))
    says = [
        f"{order['code']}  {order['campaign']}",
        f"Shot {shot['number']}, {shot['title']}",
        f"Capture {order['capture']} of {order['of']}, {way}",
        f"Brief: {order['stamp']}",
        f"SHA-256: {order['digest']}",
        f"Whether that still holds: {order['check']}",
        "",
        f"The frame is {frame['width']:g} x {frame['height']:g} px. Each picture here is {on.width} x {on.height} px "
        "and covers the whole frame: lay it edge to edge over live view.",
        f"The hero is {wide} x {high} px, at {x}, {y} of the frame{_marked(order)}.",
        *order["notes"],
        "",
        "All crops",
        f"  {order['all']}",
        "    outlined, numbered and named",
    ]
    for number, group in enumerate(order["groups"], start=1):
        left, top, width, height = group["pixels"]
        says += ["", f"{number}  {group['name']}"]
        says.append(f"    crop {width} x {height} px at {left}, {top} of the frame; {_pixels(group['spare'])}")
        for crop in order["crops"]:
            if crop["group"] == number - 1:
                says += [f"  {crop['file']}", f"    {crop['says']}"]
        says += [f"  {group['mask']}", "    the crop as a plain mask: white inside, black outside"]
    return "\n".join(line for text in says for line in textwrap.wrap(text, _WIDE, **_AS_IT_IS) or [""]) + "\n"


_AS_IT_IS: dict[str, Any] = {"break_long_words": False, "break_on_hyphens": False, "subsequent_indent": "    "}


def _marked(order: Data) -> str:
    return "; its corners are marked" if order["hero"] else ""


def _pixels(spare: float) -> str:
    if spare >= 1:
        return f"{spare:.2f} times the pixels that its artwork needs"
    return f"{100 * spare:.0f} % of the pixels that its artwork needs, to be enlarged"


def _add(
    into: zipfile.ZipFile,
    folder: Path,
    order: Data,
    on: Sheet,
    name: str,
    strips: Iterable[NDArray[np.uint8]],
    what: str,
    pixels: Any = None,
) -> None:
    """Draw a picture with the brief's stamp in it, and put it into the ZIP as it is: a PNG is packed already."""
    shot, frame = order["shot"], order["frame"]
    texts = {
        "Title": f"Shot {shot['number']}, capture {order['capture']} of {order['of']}: {what}",
        "Source": f"{order['code']}, {order['stamp']}, SHA-256 {order['digest']}",
        "Description": f"Lay over the whole frame of {frame['width']:g} x {frame['height']:g} px.",
    }
    if pixels:
        texts["Description"] += f" Crop {pixels[2]} x {pixels[3]} px at {pixels[0]}, {pixels[1]} of it."
    drawn = folder / "drawn.png"
    write_png(drawn, on.width, on.height, strips, texts)
    with drawn.open("rb") as source, into.open(_entry(name), "w") as entry:
        shutil.copyfileobj(source, entry, 1 << 20)
    drawn.unlink()


def _add_text(into: zipfile.ZipFile, name: str, text: str) -> None:
    with into.open(_entry(name), "w") as entry:
        entry.write(text.encode())


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, _EPOCH)
    entry.external_attr = 0o644 << 16
    entry.create_system = 3  # the same on every machine
    return entry


def _look(order: Data, crops: Any, folder: Path) -> Path:
    """The outlined crops at the size of a page: drawn for it, for reduced they would lose their dashes."""
    on = sheet_of({**order, "size": min(order["size"], LOOK_SIDE)})
    out = folder / "look.webp"
    hero = hero_box(order["hero_aspect"])
    pixels = np.concatenate(list(crops_strips(on, crops, hero=hero, font=FONT)))
    Image.fromarray(pixels).save(out, format="WEBP", lossless=True, method=2)
    return out
